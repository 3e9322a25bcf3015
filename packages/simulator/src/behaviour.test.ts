/**
 * What comes out of the simulator against the figures of the invented engine, read back from the text
 * by published positions: byte numbers and scales are written here a second time, so that neither
 * encoder nor decoder can hide a mistake of the other.
 */
import { describe, expect, it } from 'vitest'
import { type SimulationOptions, writeLog } from './simulate.js'
import type { Truth } from './truth.js'

interface Frame {
  /** s since key-on. */
  readonly t: number
  readonly id: number
  readonly data: Uint8Array
}

class Log {
  readonly frames: readonly Frame[]
  readonly truth: Truth

  constructor(name: string, options: SimulationOptions = {}) {
    const { text, truth } = writeLog(name, options)
    this.truth = truth
    this.frames = text
      .split('\n')
      .filter(Boolean)
      .map((line) => {
        const [, seconds, micros, id, data] = /^\((\d+)\.(\d{6})\) can0 ([0-9A-F]{8})#([0-9A-F]*)$/.exec(line) ?? []
        const bytes = Uint8Array.from((data ?? '').match(/../g) ?? [], (pair) => Number.parseInt(pair, 16))
        const t = Number(seconds) - truth.startMicros / 1e6 + Number(micros) / 1e6
        return { t, id: Number.parseInt(id ?? '', 16), data: bytes }
      })
  }

  /** Values of a signal: `[s, value]`, raw codes above the valid range left out. */
  values(id: number, at: number, bytes: 1 | 2, resolution: number, offset = 0): [number, number][] {
    return this.frames
      .filter((frame) => frame.id === id)
      .map(({ t, data }): [number, number] => {
        const low = data[at - 1] as number
        return [t, bytes === 1 ? low : low + 256 * (data[at] as number)]
      })
      .filter(([, raw]) => raw < (bytes === 1 ? 251 : 0xfb00))
      .map(([t, raw]) => [t, raw * resolution + offset])
  }

  phase(name: string, nth = 0): { from: number; to: number } {
    const phase = this.truth.phases.filter((candidate) => candidate.phase === name)[nth]
    if (!phase) throw new Error(`no ${name}`)
    return phase
  }
}

/** First index whose time is not before t. */
function firstAt(values: readonly [number, number][], t: number): number {
  let low = 0
  let high = values.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((values[middle] as [number, number])[0] < t) low = middle + 1
    else high = middle
  }
  return low
}
const between = (values: readonly [number, number][], from: number, to: number): number[] =>
  values.slice(firstAt(values, from), firstAt(values, to)).map(([, value]) => value)
const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length
const spread = (values: readonly number[]): number => {
  const centre = mean(values)
  return Math.sqrt(mean(values.map((value) => (value - centre) ** 2)))
}
/** s at which a value first reaches a level. */
const reaches = (values: readonly [number, number][], level: number, after = 0): number =>
  values.find(([t, value]) => t >= after && value >= level)?.[0] ?? Number.POSITIVE_INFINITY

// Positions: SAE J1939-71 as in a genset controller manual, a truck maker's CAN manual and others the
// catalogue names. EEC1 bytes 4–5, 0.125 rpm; VEP1 bytes 5–6, 0.05 V; EFL/P1 byte 4, 4 kPa; ET1 byte 1,
// 1 °C from −40; EGF1 bytes 3–4, 0.05 kg/h; IC1 byte 2, 2 kPa and byte 3, 1 °C from −40; LFE bytes 1–2,
// 0.05 L/h; SHUTDN byte 4 low bits; EEC2 bytes 2 and 5, 0.4 %; EFL/P2 bytes 3–4, 1/256 MPa.
const rpm = (log: Log): [number, number][] => log.values(0x0cf00400, 4, 2, 0.125)
const volts = (log: Log): [number, number][] => log.values(0x18fef700, 5, 2, 0.05)
const oil = (log: Log): [number, number][] => log.values(0x18feef00, 4, 1, 4)
const coolant = (log: Log): [number, number][] => log.values(0x18feee00, 1, 1, 1, -40)
const airMass = (log: Log): [number, number][] => log.values(0x0cf00a00, 3, 2, 0.05)
const boost = (log: Log): [number, number][] => log.values(0x18fef600, 2, 1, 2)
const charge = (log: Log): [number, number][] => log.values(0x18fef600, 3, 1, 1, -40)
const manifold = (log: Log): [number, number][] => log.values(0x18fdd000, 5, 1, 2)
const fuelRate = (log: Log): [number, number][] => log.values(0x18fef200, 1, 2, 0.05)
const pedal = (log: Log): [number, number][] => log.values(0x0cf00300, 2, 1, 0.4)
const egr = (log: Log): [number, number][] => log.values(0x18fd9400, 1, 2, 0.0025)

/** Measured air against speed density by hand, where both were told within half a second. */
function airRatios(log: Log, from: number, to: number, most = 2): number[] {
  const near = (values: readonly [number, number][], t: number): number =>
    values[firstAt(values, t - 0.25)]?.[1] ?? Number.NaN
  const [speeds, pressures, temperatures, valve] = [rpm(log), manifold(log), charge(log), egr(log)].map((values) =>
    values.filter(([t]) => t > from - 1 && t < to + 1),
  ) as [[number, number][], [number, number][], [number, number][], [number, number][]]
  return airMass(log)
    .filter(([t], i) => t >= from && t < to && i % 20 === 0 && near(valve, t) < most)
    .map(([t, flow]) => {
      const density = (near(pressures, t) * 1000) / (287 * (near(temperatures, t) + 273.15))
      return flow / (3600 * 0.9 * 0.003 * (near(speeds, t) / 120) * density)
    })
}

describe('a clean first start at 5 °C', () => {
  const log = new Log('clean-first-start')
  const cranking = log.phase('cranking')
  const fire = log.phase('run-up').from

  it('lights the lamp from 1 to 9 s, cranks from 10, fires at 12', () => {
    const lamp = log.frames.filter(({ id }) => id === 0x18fee400).map(({ t, data }) => [t, (data[3] as number) & 3])
    const lit = lamp.filter(([, state]) => state === 1).map(([t]) => t as number)
    expect(Math.abs((lit[0] as number) - 1.2)).toBeLessThan(1.1)
    expect(Math.abs((lit.at(-1) as number) - 9)).toBeLessThan(1.1)
    expect(Math.abs(cranking.from - 10)).toBeLessThan(0.5)
    expect(Math.abs(fire - 12)).toBeLessThan(1)
  })

  it('sags by 0.9 V under the heater, to 10 V in cranking, and charges with 14.2 V', () => {
    const rest = mean(between(volts(log), 0, 1.2))
    expect(Math.abs(rest - 12.6)).toBeLessThan(0.1)
    expect(Math.abs(rest - between(volts(log), 2, 4)[0]! - 0.9)).toBeLessThan(0.15)
    expect(Math.abs(Math.min(...between(volts(log), cranking.from + 0.2, fire)) - 10)).toBeLessThan(0.5)
    expect(Math.abs(mean(between(volts(log), fire + 10, fire + 60)) - 14.2)).toBeLessThan(0.1)
  })

  it('cranks at 190 rpm, and the speed is not told before the crankshaft is known', () => {
    const speeds = between(rpm(log), cranking.from + 0.8, fire)
    expect(Math.abs(mean(speeds) - 190)).toBeLessThan(12)
    expect(between(rpm(log), cranking.from, cranking.from + 0.25).every((speed) => speed === 0)).toBe(true)
  })

  it('has oil pressure within 1.5 to 2.5 s of firing, and 430 kPa then', () => {
    const delay = reaches(oil(log), 70, fire) - fire
    expect(delay).toBeGreaterThan(1)
    expect(delay).toBeLessThan(2.6)
    expect(Math.abs(mean(between(oil(log), fire + 5, fire + 30)) - 430)).toBeLessThan(8)
  })

  it('idles at 850 rpm', () => {
    expect(Math.abs(mean(between(rpm(log), 20, 30)) - 850)).toBeLessThan(15)
  })

  it('starts with every temperature within 2 °C of the others', () => {
    const first = [
      coolant(log)[0]?.[1],
      charge(log)[0]?.[1],
      log.values(0x18feee00, 2, 1, 1, -40)[0]?.[1],
      log.values(0x18fef500, 6, 1, 1, -40)[0]?.[1],
      log.values(0x18feee00, 3, 2, 1 / 32, -273)[0]?.[1],
    ] as number[]
    expect(Math.max(...first) - Math.min(...first)).toBeLessThanOrEqual(2)
  })

  it('measures no air and no boost at rest, and the barometer of 1,600 m', () => {
    expect(Math.max(...between(airMass(log), 1, 9))).toBeLessThanOrEqual(3)
    expect(Math.max(...between(boost(log), 1, 9))).toBeLessThanOrEqual(2)
    expect(Math.abs(mean(between(log.values(0x18fef500, 1, 1, 0.5), 0, 30)) - 83.5)).toBeLessThan(2)
  })

  it('measures what speed and density promise, within 8 %', () => {
    const ratios = airRatios(log, 60, 120)
    expect(ratios.length).toBeGreaterThan(40)
    expect(Math.abs(mean(ratios) - 1)).toBeLessThan(0.04)
    expect(Math.max(...ratios.map((ratio) => Math.abs(ratio - 1)))).toBeLessThan(0.08)
  })

  it('warms as its fuel lets it: what it burns at 0.30, less what the block loses (energy balance)', () => {
    const [from, to] = [60, 150]
    const burned = mean(between(fuelRate(log), from, to))
    const watts = (burned * 0.836 * 42.8e6) / 3600
    const temperature = mean(between(coolant(log), from, to))
    const slope = (0.3 * watts - 25 * (temperature - 5)) / 110e3
    const early = mean(between(coolant(log), from, from + 10))
    const late = mean(between(coolant(log), to - 10, to))
    // The oil takes or gives a little; the reading is in whole degrees.
    expect(Math.abs((late - early) / (to - from - 10) - slope)).toBeLessThan(0.3 * slope + 1 / 80)
  })

  it('tells about the after-run: keyswitch off, engine still sending, then silence', () => {
    const { from, to } = log.phase('after-run')
    const key = between(log.values(0x18fef700, 7, 2, 0.05), from + 1, to)
    expect(key.length).toBeGreaterThan(1)
    expect(Math.max(...key)).toBeLessThan(1)
    expect(Math.max(...log.frames.map(({ t }) => t))).toBeLessThan(to + 0.1)
  })
})

describe('starts at other temperatures', () => {
  // Figures of the invented engine: rpm while cranking, s until it fires, rpm of the cold idle.
  it.each([
    [20, 220, 1.2, 760],
    [0, 180, 2, 880],
    [-10, 150, 3.5, 945],
    [-20, 120, 5, 950],
  ])('%i °C: %i rpm, fires after %f s, idles at %i', (ambient, speed, seconds, idle) => {
    const log = new Log('clean-first-start', { ambient, seed: 4, duration: 80 })
    const cranking = log.phase('cranking')
    const fire = log.phase('run-up').from
    // The rail fills first, and the crankshaft has to be found.
    expect(fire - cranking.from).toBeGreaterThan(seconds)
    expect(fire - cranking.from).toBeLessThan(1.5 * seconds + 0.9)
    expect(Math.abs(mean(between(rpm(log), cranking.from + 0.8, fire)) - speed)).toBeLessThan(0.1 * speed)
    expect(Math.abs(mean(between(rpm(log), 60, 80)) - idle)).toBeLessThan(20)
  })
})

describe('a long healthy drive', () => {
  const log = new Log('healthy-drive')
  const end = log.phase('shutdown').from

  it('idles hot at 750 ± 10 rpm with 8 rpm of unrest at most, 0.85 L/h and 125 to 160 kPa', () => {
    const [from, to] = [end - 120, end - 20]
    expect(Math.abs(mean(between(rpm(log), from, to)) - 750)).toBeLessThan(10)
    expect(spread(between(rpm(log), from, to))).toBeLessThan(8)
    expect(spread(between(rpm(log), from, to))).toBeGreaterThan(0.5)
    expect(Math.abs(mean(between(fuelRate(log), from, to)) - 0.85)).toBeLessThan(0.12)
    const pressure = mean(between(oil(log), from, to))
    expect(pressure).toBeGreaterThan(110)
    expect(pressure).toBeLessThan(165)
  })

  it('opens its thermostat where it should: coolant levels off between 80 and 95 °C', () => {
    expect(Math.max(...between(coolant(log), 0, end))).toBeLessThan(97)
    expect(mean(between(coolant(log), 700, end))).toBeGreaterThan(78)
  })

  it('follows its boost map at full load and its air estimate everywhere', () => {
    const [load, speeds, pressures] = [log.values(0x0cf00300, 3, 1, 1), rpm(log), boost(log)]
    // The map of the invented engine at full load, kPa above ambient.
    const map = (speed: number): number =>
      speed < 2000 ? 70 + (30 * (speed - 1500)) / 500 : 100 + (10 * (speed - 2000)) / 500
    let judged = 0
    for (let t = 200; t < end; t += 1) {
      const speed = mean(between(speeds, t - 0.5, t + 0.5))
      if (speed < 1600 || speed > 2500 || between(load, t - 5, t + 0.5).some((one) => one < 96)) continue
      judged++
      expect(Math.abs(mean(between(pressures, t - 0.5, t + 0.5)) / map(speed) - 1)).toBeLessThan(0.2)
    }
    expect(judged).toBeGreaterThan(40)
    expect(Math.abs(mean(airRatios(log, 480, 600, 1)) - 1)).toBeLessThan(0.05)
  })

  it('burns what its kilometres cost: 14 to 30 L per 100 km for a loaded truck in the mountains', () => {
    const litres = fuelRate(log).reduce((sum, [, value]) => sum + value / 36_000, 0)
    const metres = log.frames
      .filter(({ id }) => id === 0x18fec121)
      .map(({ data }) => new DataView(data.buffer).getUint32(4, true) * 5)
    const kilometres = Math.max(...metres) / 1000
    expect(kilometres).toBeGreaterThan(15)
    expect((litres / kilometres) * 100).toBeGreaterThan(14)
    expect((litres / kilometres) * 100).toBeLessThan(30)
  })

  it('tells one speed three ways: wheels, output shaft, distance', () => {
    const wheels = between(log.values(0x18fef121, 2, 2, 1 / 256), 200, 260)
    const shaft = between(log.values(0x0cf00203, 2, 2, 0.125), 200, 260)
    const circumference = 2 * Math.PI * 0.4
    expect((mean(shaft) / 4.3 / 60) * circumference * 3.6).toBeCloseTo(mean(wheels), 0)
    const distance = log.frames
      .filter(({ t, id }) => id === 0x18fec121 && t >= 200 && t < 260)
      .map(({ data }) => new DataView(data.buffer).getUint32(4, true) * 5)
    const metres = (distance.at(-1) as number) - (distance[0] as number)
    expect(Math.abs(metres / 59 - mean(wheels) / 3.6)).toBeLessThan(0.5)
  })

  it('has nothing to report', () => {
    expect(log.truth.episodes).toEqual([])
    const spoken = log.frames.filter(({ id }) => (id & 0xffff00) === 0xfeca00).map(({ data }) => [...data].join())
    expect(new Set(spoken)).toEqual(new Set(['0,255,0,0,0,0,255,255']))
  })
})

describe('stories', () => {
  it('heater link open: lamp without sag, eleven seconds of cranking, unrest that fades, 729/5', () => {
    const log = new Log('heater-link-open')
    const cranking = log.phase('cranking')
    const fire = log.phase('run-up').from
    const before = between(volts(log), 0.5, 13)
    expect(Math.max(...before) - Math.min(...before)).toBeLessThan(0.25)
    expect(Math.abs(fire - cranking.from - 11)).toBeLessThan(1.5)
    expect(Math.abs(mean(between(rpm(log), cranking.from + 1, fire)) - 165)).toBeLessThan(15)
    expect(spread(between(rpm(log), fire + 4, fire + 14))).toBeGreaterThan(18)
    expect(spread(between(rpm(log), fire + 70, fire + 110))).toBeLessThan(10)
  })

  it('heater stuck on: sag until the crank, then 13.6 V without cycling, to the end', () => {
    const log = new Log('heater-stuck-on')
    const cranking = log.phase('cranking')
    expect(mean(between(volts(log), 0.5, cranking.from))).toBeLessThan(12.1)
    const running = between(volts(log), 100, 315)
    expect(Math.abs(mean(running) - 13.65)).toBeLessThan(0.15)
    expect(Math.max(...running) - Math.min(...running)).toBeLessThan(0.2)
  })

  it('poor ground: about 105 rpm and 7 to 8 V, half a second of silence, a second claim', () => {
    const log = new Log('poor-ground-in-crank')
    const cranking = log.phase('cranking')
    const fire = log.phase('run-up').from
    expect(Math.abs(mean(between(rpm(log), fire - 1, fire)) - 108)).toBeLessThan(16)
    expect(Math.abs(mean(between(volts(log), cranking.from + 0.5, fire)) - 7.5)).toBeLessThan(0.5)
    const claims = log.frames.filter(({ id }) => id === 0x18eeff00).map(({ t }) => t)
    const again = claims.filter((t) => t > 2)
    expect(again).toHaveLength(1)
    const engine = log.frames.filter(({ t, id }) => (id & 0xff) === 0 && t < (again[0] as number)).map(({ t }) => t)
    expect((again[0] as number) - (engine.at(-1) as number)).toBeGreaterThan(0.5)
    expect((again[0] as number) - (engine.at(-1) as number)).toBeLessThan(0.9)
  })

  it('wrong tube: ratio 0.85 at every flow, and zero at rest', () => {
    const log = new Log('wrong-air-mass-tube', { duration: 600 })
    expect(Math.max(...between(airMass(log), 1, 7))).toBeLessThanOrEqual(3)
    const idle = mean(airRatios(log, 120, 180))
    const climb = mean(airRatios(log, 480, 560, 1))
    expect(Math.abs(idle - 0.85)).toBeLessThan(0.02)
    expect(Math.abs(climb - 0.85)).toBeLessThan(0.02)
  })

  it('boost hose off: 1.02 at idle, 1.3 on the climb with a third of the boost', () => {
    const log = new Log('boost-hose-off', { duration: 420 })
    expect(Math.abs(mean(airRatios(log, 120, 200)) - 1.02)).toBeLessThan(0.02)
    // Wherever the exhaust gas valve is shut: the climbs.
    const climbs = airRatios(log, 285, 420, 0.5)
    expect(climbs.length).toBeGreaterThan(20)
    expect(mean(climbs)).toBeGreaterThan(1.15)
    expect(mean(climbs)).toBeLessThan(1.45)
    expect(Math.max(...between(boost(log), 285, 420))).toBeLessThan(45)
  })

  it('intake temperature unplugged: −40 from the first message, everything else lively', () => {
    const log = new Log('intake-temperature-unplugged', { duration: 60 })
    expect(new Set(charge(log).map(([, value]) => value))).toEqual(new Set([-40]))
    expect(Math.abs((coolant(log)[0]?.[1] ?? 0) - 18)).toBeLessThanOrEqual(1)
  })

  it('blocked hose: 0 to 20 kPa while it runs, red lamp five seconds after firing', () => {
    const log = new Log('blocked-oil-hose')
    const fire = log.phase('run-up').from
    expect(Math.max(...oil(log).map(([, value]) => value))).toBeLessThanOrEqual(20)
    const red = log.frames.find(({ id, data }) => id === 0x18feca00 && ((data[0] as number) & 0x30) === 0x10)
    expect(Math.abs((red?.t ?? 0) - fire - 5)).toBeLessThan(0.8)
  })

  it('dry filter: nothing for 6.5 s, then at once; 1.5 s at the restart', () => {
    const log = new Log('dry-remote-filter')
    const first = log.phase('run-up', 0).from
    const second = log.phase('run-up', 1).from
    expect(Math.abs(reaches(oil(log), 70, first) - first - 6.5)).toBeLessThan(1)
    expect(reaches(oil(log), 400, first) - reaches(oil(log), 70, first)).toBeLessThan(1.6)
    expect(reaches(oil(log), 70, second) - second).toBeLessThan(2)
  })

  it('5 V short: the supply first, its three sensors within two seconds, temperatures lively, idle forced', () => {
    const log = new Log('five-volt-short', { duration: 60 })
    const at = (spn: number): number => log.truth.episodes.find((episode) => episode.spn === spn)?.from ?? Number.NaN
    expect(Math.abs(at(3509) - 41.1)).toBeLessThan(0.2)
    for (const spn of [91, 100, 102]) {
      expect(at(spn)).toBeGreaterThan(at(3509))
      expect(at(spn)).toBeLessThan(43.5)
    }
    const supply = between(log.values(0x18fd9d00, 1, 2, 0.05), 43, 47)
    expect(Math.max(...supply)).toBeLessThan(1)
    expect(between(oil(log), 43.5, 47.5)).toEqual([])
    expect(between(coolant(log), 43, 48).length).toBeGreaterThan(3)
  })

  it('pedal wiper: one drop to zero and back within consecutive messages for each fault', () => {
    const log = new Log('pedal-wiper-before', { duration: 500 })
    const track = pedal(log)
    const drops = track.filter(
      // A foot lifts by 15 % from one message to the next at most.
      ([, value], i) =>
        (track[i - 1]?.[1] ?? 0) - value > 16 && track.slice(i + 1, i + 5).some(([, next]) => next - value > 16),
    )
    const found = log.truth.episodes.filter(({ spn, fmi }) => spn === 91 && fmi === 2)
    expect(found.length).toBeGreaterThan(0)
    expect(drops.length).toBeGreaterThanOrEqual(found.length)
    for (const [t] of drops) expect(found.some(({ from }) => Math.abs(from - t) < 0.3)).toBe(true)
  })

  it('one weak cylinder: twice the unrest of a healthy idle, six times a second', () => {
    const log = new Log('one-weak-cylinder', { duration: 120 })
    const speeds = between(rpm(log), 40, 110)
    expect(spread(speeds)).toBeGreaterThan(8)
    expect(spread(speeds)).toBeLessThan(20)
    const centre = mean(speeds)
    const rising = speeds.filter((speed, i) => i > 0 && speed >= centre && (speeds[i - 1] as number) < centre).length
    // 750 rpm are 6.25 working cycles a second; noise adds a few crossings.
    expect(Math.abs(rising / 70 - 6.25)).toBeLessThan(0.9)
  })

  it('oil switch: two values and no third', () => {
    const log = new Log('oil-pressure-switch')
    expect(new Set(between(oil(log), 12, 150).map((value) => Math.round(value / 12)))).toEqual(new Set([23]))
    expect(Math.max(...between(oil(log), 0, 4))).toBeLessThan(12)
  })

  it('at the sea the same idle draws more air', () => {
    const low = new Log('healthy-sea-level', { duration: 120, seed: 2 })
    const high = new Log('healthy-sea-level', { duration: 120, seed: 2, altitude: 1600 })
    const ratio = mean(between(airMass(low), 60, 110)) / mean(between(airMass(high), 60, 110))
    expect(Math.abs(ratio - 101.3 / 83.5)).toBeLessThan(0.06)
  })
})
