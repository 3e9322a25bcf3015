/**
 * Excerpts of two real trucks: what can be known of them without the decoder. First frames by hand, from
 * the text; then quantities that a truck sends twice, on two scales, from two sensors or by two nodes. A
 * position or scale that is wrong does not survive that.
 *
 * How far two sensors may be apart: common practice, and at least one step of the coarser scale.
 */
import type { Recording, Signal } from '@firstcrank/decoder'
import { describe, expect, it } from 'vitest'
import { openExcerpt, readExcerpt } from '../support/golden.js'

const idling = await openExcerpt('truck-a-idling')
const slow = await openExcerpt('truck-a-idling-slow-groups')
const off = await openExcerpt('truck-a-engine-off')
const driving = await openExcerpt('truck-b-driving')
const hole = await openExcerpt('truck-b-recorder-hole')

function signalOf(recording: Recording, spn: number, sa?: number): Signal {
  const signal = recording.signals({ spn, ...(sa === undefined ? {} : { sa }) }).find((found) => found.hasValues())
  if (signal === undefined) throw new Error(`SPN ${spn} has no value here`)
  return signal
}

/** All values of a signal, with their times. */
function valuesOf(recording: Recording, spn: number, sa?: number): { time: number; value: number }[] {
  const { time, value } = signalOf(recording, spn, sa).samples()
  return Array.from(time, (at, index) => ({ time: at, value: value[index] })).filter(
    ({ value }) => !Number.isNaN(value),
  )
}

/** The value of a series that was sent closest to a moment. */
function closest(series: readonly { time: number; value: number }[], time: number): number {
  return series.reduce((best, one) => (Math.abs(one.time - time) < Math.abs(best.time - time) ? one : best)).value
}

/** Data bytes of the first line with an identifier, from the text alone. */
function firstBytes(name: string, id: string): number[] {
  const line = readExcerpt(name)
    .split('\n')
    .find((candidate) => candidate.includes(` ${id}#`))
  return [...Buffer.from(line?.split('#')[1] ?? '', 'hex')]
}

describe('first frames, by hand', () => {
  it('the recording begins with engine speed 0x12D1 × 0.125 = 602.125 rpm', () => {
    expect(readExcerpt('truck-a-idling').split('\n')[0]).toBe('(1626905042.645596) can1 0CF00400#507D8DD11200F48E')
    expect(0x12d1 * 0.125).toBe(602.125)
    expect(valuesOf(idling, 190)[0]).toEqual({ time: 1_626_905_042_645_596, value: 602.125 })
  })

  // Excerpt, identifier, SPN, first byte from 1, bytes, then value = raw × step + shift.
  it.each([
    ['truck-a-idling', '18FEEE00', 110, 1, 1, 1, -40],
    ['truck-a-idling', '18FEEE00', 175, 3, 2, 1 / 32, -273],
    ['truck-a-idling', '18FEEF00', 100, 4, 1, 4, 0],
    ['truck-a-idling', '18FEF500', 108, 1, 1, 0.5, 0],
    ['truck-a-idling', '18FEF500', 171, 4, 2, 1 / 32, -273],
    ['truck-a-idling', '18FEF700', 168, 5, 2, 0.05, 0],
    ['truck-a-idling', '18FEF200', 183, 1, 2, 0.05, 0],
    ['truck-a-idling', '18FEE000', 245, 5, 4, 0.125, 0],
    ['truck-a-idling', '18FEC100', 917, 1, 4, 5, 0],
    ['truck-b-driving', '18FEF100', 84, 2, 2, 1 / 256, 0],
    ['truck-b-driving', '0CF00400', 190, 4, 2, 0.125, 0],
    ['truck-b-driving', '0CF00300', 92, 3, 1, 1, 0],
  ] as const)('%s, %s: SPN %i', (name, id, spn, from, bytes, step, shift) => {
    const data = firstBytes(name, id)
    let raw = 0
    for (let number = bytes; number >= 1; number--) raw = raw * 256 + data[from + number - 2]
    const recording = name === 'truck-a-idling' ? idling : driving
    expect(valuesOf(recording, spn, 0)[0].value).toBeCloseTo(raw * step + shift, 9)
  })
})

describe('counts, from the text alone', () => {
  it.each([
    ['truck-a-idling', idling],
    ['truck-a-idling-slow-groups', slow],
    ['truck-a-engine-off', off],
    ['truck-b-driving', driving],
    ['truck-b-recorder-hole', hole],
  ] as const)('%s', (name, recording) => {
    const lines = readExcerpt(name).trimEnd().split('\n')
    const standard = lines.filter((line) => / [0-9A-F]{3}#/.test(line)).length
    const times = lines.map((line) => Number(line.slice(1, 11)) * 1e6 + Number(line.slice(12, 18)))
    expect(recording.counts).toMatchObject({ lines: lines.length, standard, extended: lines.length - standard })
    expect(recording.clock).toMatchObject({ first: Math.min(...times), last: Math.max(...times) })
    const late = times.filter((time, index) => time < Math.max(...times.slice(0, index)))
    expect(recording.clock.backwards.count).toBe(late.length)
    expect([...new Set(lines.map((line) => line.split(' ')[1]))]).toEqual(recording.channels)
  })

  it('the two interfaces were written a little out of order', () => {
    expect(driving.channels).toEqual(['can0', 'can1'])
    expect(driving.clock.backwards.count).toBeGreaterThan(0)
    expect(driving.counts.standard).toBeGreaterThan(0)
    expect(driving.clock.steps.total).toBe(0)
  })

  it('the hole of the recorder is a hole of the clock and a gap of no group', () => {
    expect(hole.clock.holes.kept).toEqual([{ from: 1_648_580_462_153_439, to: 1_648_580_484_924_657 }])
    const groups = hole.summary()?.nodes.flatMap((node) => node.groups) ?? []
    expect(groups.length).toBeGreaterThan(1)
    expect(groups.flatMap(({ intervals }) => intervals.longestGaps.filter(({ to, from }) => to - from > 1e7))).toEqual(
      [],
    )
  })
})

/** Name, recording, SPN, the SPN it must agree with, how far apart they may be. All pairs at the nearest times. */
const PAIRS: readonly (readonly [string, Recording, number, number, number])[] = [
  ['commanded and measured rail pressure, MPa', idling, 5313, 157, 0.15],
  ['rail pressure, sent twice, MPa', idling, 157, 156, 0],
  ['injection control pressure is rail pressure, MPa', idling, 157, 164, 0],
  ['coolant, fine and coarse, °C', idling, 1637, 110, 0.5],
  ['coolant, fine and coarse, °C', slow, 1637, 110, 0.5],
  ['coolant, fine and coarse, engine off, °C', off, 1637, 110, 0.5],
  ['coolant at the pump and in the head, °C', slow, 4193, 110, 2],
  ['coolant at the pump and in the head, engine off, °C', off, 4193, 110, 2],
  ['manifold air, fine and coarse, °C', slow, 1636, 105, 1.1],
  ['manifold air, fine and coarse, engine off, °C', off, 1636, 105, 0.5],
  ['manifold and intercooler, °C', slow, 105, 52, 1],
  ['exhaust gas before the filter, two groups, °C', idling, 173, 3242, 2],
  ['exhaust gas before the filter, one sensor named twice, °C', idling, 3241, 3242, 0],
  ['manifold and inlet pressure, two groups, kPa', idling, 3563, 106, 4],
  ['manifold pressure and barometer, engine off, kPa', off, 3563, 108, 2.5],
  ['inlet pressure and barometer, engine off, kPa', off, 106, 108, 2.5],
  ['battery at the switch and at the engine, V', idling, 158, 168, 0.1],
  ['idle speed wanted and engine speed, rpm', idling, 515, 190, 12],
]

describe('quantities sent twice', () => {
  it.each(PAIRS)('%s', (_, recording, spn, otherSpn, apart) => {
    const one = valuesOf(recording, spn)
    const other = valuesOf(recording, otherSpn)
    for (const { time, value } of one) expect(Math.abs(value - closest(other, time))).toBeLessThanOrEqual(apart + 1e-9)
  })

  it('total distance, fine in metres and coarse in kilometres', () => {
    const fine = valuesOf(idling, 917, 0)[0].value / 1000
    const coarse = valuesOf(idling, 245)[0].value
    expect(fine).toBeGreaterThan(600_000)
    // The coarse step is 0.125 km; a counter may round up.
    expect(Math.abs(fine - coarse)).toBeLessThanOrEqual(0.125)
  })

  it('three nodes measure one battery', () => {
    const volts = [0, 23, 33].map((sa) => valuesOf(idling, 168, sa)[0].value)
    expect(Math.max(...volts) - Math.min(...volts)).toBeLessThanOrEqual(0.2)
  })

  it('fuel economy is speed over fuel rate', () => {
    const speeds = valuesOf(driving, 84, 0)
    const rates = valuesOf(driving, 183)
    const checked = valuesOf(driving, 184).filter(({ time, value }) => {
      const rate = closest(rates, time)
      if (rate === 0) return false
      const ratio = value / (closest(speeds, time) / rate)
      expect(ratio).toBeGreaterThan(0.99)
      expect(ratio).toBeLessThan(1.001)
      return true
    })
    expect(checked.length).toBeGreaterThan(5)
  })

  it('a truck that stands says so of its wheels and of its front axle', () => {
    for (const spn of [84, 904]) expect(new Set(valuesOf(idling, spn).map(({ value }) => value))).toEqual(new Set([0]))
  })
})

describe('what runs on', () => {
  it.each([
    ['AEBS2 message counter', 5682],
    ['XBR message counter', 3189],
  ])('%s counts one by one, from 15 to 0', (_, spn) => {
    const { stream } = signalOf(idling, spn)
    const counts = [...signalOf(idling, spn).raws()]
    expect(stream.count).toBeGreaterThan(3)
    expect(counts.slice(1).map((count, index) => (count - counts[index] + 16) % 16)).toEqual(
      Array.from({ length: counts.length - 1 }, () => 1),
    )
  })

  it.each([
    ['total distance', idling, 917],
    ['trip distance', idling, 918],
    ['engine hours', slow, 247],
    ['engine revolutions', slow, 249],
    ['total fuel', slow, 250],
  ] as const)('%s never falls', (_, recording, spn) => {
    const values = valuesOf(recording, spn, 0).map(({ value }) => value)
    expect(values.length).toBeGreaterThan(0)
    expect(values.slice(1).filter((value, index) => value < values[index])).toEqual([])
  })

  it('groups come as often as the standard says: engine speed every 10 ms, temperatures every second', () => {
    const periodOf = (recording: Recording, pgn: number): number | null | undefined =>
      recording
        .summary()
        ?.nodes.find(({ sa, channel }) => sa === 0 && recording.channels[channel] === 'can1')
        ?.groups.find((group) => group.pgn === pgn)?.intervals.period
    expect(Math.abs((periodOf(idling, 61444) ?? 0) - 10_000)).toBeLessThan(500)
    expect(Math.abs((periodOf(slow, 65262) ?? 0) - 1_000_000)).toBeLessThan(10_000)
    expect(Math.abs((periodOf(slow, 65263) ?? 0) - 500_000)).toBeLessThan(10_000)
  })
})

/** What a warm-up of a heavy diesel can be like: common practice. Recording, SPN, least, greatest. */
const PLAUSIBLE: readonly (readonly [string, Recording, number, number, number])[] = [
  ['engine speed at idle, rpm', idling, 190, 500, 900],
  ['oil pressure at idle, kPa', idling, 100, 100, 600],
  ['oil pressure, engine off, kPa', off, 100, 0, 0],
  ['coolant, °C', idling, 110, 0, 110],
  ['oil, °C', idling, 175, 0, 130],
  ['fuel, °C', idling, 174, 0, 80],
  ['outside air, °C', idling, 171, -40, 50],
  ['barometer, kPa', idling, 108, 60, 108],
  ['battery while charged, V', idling, 168, 13, 15],
  ['battery at rest, V', off, 168, 11.5, 13],
  ['fuel rate at idle, L/h', idling, 183, 1, 6],
  ['load at idle, %', idling, 92, 5, 40],
  ['rail pressure at idle, MPa', idling, 157, 20, 70],
  ['air flow at idle, kg/h', idling, 132, 100, 600],
  ['turbocharger at idle, rpm', slow, 103, 1000, 40_000],
  ['engine speed on the road, rpm', driving, 190, 600, 2200],
  ['road speed, km/h', driving, 84, 20, 110],
]

describe('plausible', () => {
  it.each(PLAUSIBLE)('%s', (_, recording, spn, least, greatest) => {
    const values = valuesOf(recording, spn)
    for (const { value } of values) {
      expect(value).toBeGreaterThanOrEqual(least)
      expect(value).toBeLessThanOrEqual(greatest)
    }
    expect(values.length).toBeGreaterThan(0)
  })
})

describe('fault-free trucks', () => {
  it('every node of truck A lists no fault, with every lamp off or not there', () => {
    const lists = [...slow.messages({ pgn: 65226 })].map((message) => message.diagnostic())
    expect(lists.length).toBeGreaterThan(30)
    for (const list of lists) {
      if (list?.kind !== 'fault-list') throw new Error('a DM1 is a fault list')
      expect(list.faults).toEqual([])
      const states = Object.values(list.lamps ?? {}).map(({ state }) => state)
      expect(states.filter((state) => state === 'on' || state === 'reserved')).toEqual([])
    }
    expect(slow.episodes).toEqual([])
    expect(slow.lamps.length).toBe(new Set(slow.lamps.map(({ sa }) => sa)).size)
  })
})
