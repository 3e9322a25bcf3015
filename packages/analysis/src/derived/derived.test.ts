import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { bamFrames } from '../../../../tests/support/log.js'
import { type MadeRun, openRun } from '../../../../tests/support/made-run.js'
import { findEngines } from '../engine-view.js'
import { findPhases } from '../phases.js'
import { parseProfile } from '../profile.js'
import { median } from '../series.js'
import { boostIsAbsolute } from './air.js'
import { airDensity, speedDensity, standardPressure } from './atmosphere.js'
import { DERIVED_SIGNALS, type DerivedContext, deriveSignal, deriveSignals } from './index.js'
import { interpolate, lookUp } from './map.js'

describe('handbook values', () => {
  // Source: ISO 2533 standard atmosphere (tables): 0, 500, 1,000, 1,600, 3,000 m.
  test.each([
    [0, 101.325],
    [500, 95.46],
    [1000, 89.87],
    [1600, 83.5],
    [3000, 70.1],
  ])('the standard atmosphere at %d m is %d kPa', (altitude, pressure) => {
    expect(Math.abs(standardPressure(altitude) - pressure)).toBeLessThan(0.06)
  })

  test('air weighs 1.225 kg/m³ at 15 °C and 101.325 kPa (ISO 2533)', () => {
    expect(airDensity(101.325, 15)).toBeCloseTo(1.225, 3)
  })

  test('worked example of speed density: 3.0 L, 750 rpm, 100 kPa, 35 °C, filling 0.90: 68.7 kg/h', () => {
    // Density 1.131 kg/m³, swept volume 0.01688 m³/s. Source: the relation of any engine handbook, by hand.
    expect(airDensity(100, 35)).toBeCloseTo(1.131, 3)
    const flow = speedDensity({ speed: 750, displacement: 3, efficiency: 0.9, pressure: 100, temperature: 35 })
    expect(flow).toBeCloseTo(68.7, 1)
    // An indicated 58.3 kg/h is then 0.85 of it.
    expect(58.3 / flow).toBeCloseTo(0.85, 2)
  })

  test('a 76 mm tube on a calibration for 70 mm tells 0.85 at every flow', () => {
    expect((70 / 76) ** 2).toBeCloseTo(0.85, 2)
  })
})

describe('maps', () => {
  const table = {
    x: [1000, 2000],
    y: [50, 100],
    values: [
      [8, 48],
      [20, 100],
    ],
  }

  test.each([
    [1000, 50, 8],
    [1500, 50, 28],
    [1000, 75, 14],
    [1500, 75, 44],
    [500, 20, 8],
    [9000, 900, 100],
  ])('at %d rpm and %d %% it is %d kPa', (speed, load, boost) => {
    expect(lookUp(table, speed, load)).toBeCloseTo(boost, 9)
  })

  test('a curve ends in its ends', () => {
    const curve = [
      [0, 5],
      [10, 15],
    ] as const
    expect([-1, 0, 4, 10, 99].map((x) => interpolate(curve, x))).toEqual([5, 5, 9, 15, 15])
  })
})

const truck = parseProfile(JSON.stringify({ version: 1, title: 'T', engine: { displacement: 3, idleSpeed: 750 } }))

async function contextOf(run: MadeRun, profile = truck): Promise<DerivedContext> {
  const [engine] = findEngines(await openRun(run))
  return { engine, phases: findPhases(engine, profile), profile }
}

async function medianOf(id: string, run: MadeRun, profile = truck): Promise<number | null> {
  return median(deriveSignal(id, await contextOf(run, profile))?.samples.value ?? [])
}

const brief = { instants: { lamp: [50, 50], crank: 3, fire: 4, keyOff: 30, end: 32 } } as const
const driven = { instants: { ...brief.instants, drive: [8, 28] } } as const

describe('derived signals', () => {
  test('of a healthy run the air told is the air expected', async () => {
    expect(await medianOf('air-mass-ratio', brief)).toBeCloseTo(1, 2)
    expect(await medianOf('air-mass-ratio', { ...brief, signals: { 132: 0 } })).toBe(0)
  })

  test('EGR is subtracted as told; open and untold, the air expected is unknown', async () => {
    const told = { ...brief, signals: { 27: 20, 2659: 12 } }
    const none = await medianOf('expected-air-mass', brief)
    const less = await medianOf('expected-air-mass', told)
    expect((none as number) - (less as number)).toBeCloseTo(12, 6)
    expect(await medianOf('expected-air-mass', { ...brief, signals: { 27: 20, 2659: null } })).toBeNull()
    expect(await medianOf('expected-air-mass', { ...brief, signals: { 27: 1, 2659: null } })).toBe(none)
  })

  test('altitude comes in by ambient pressure, of the bus or of the profile', async () => {
    const high = parseProfile(
      JSON.stringify({ version: 1, title: 'T', engine: { displacement: 3 }, site: { altitude: 1600 } }),
    )
    const gauge = { ...driven, signals: { 108: null, 3563: null } }
    expect(await medianOf('boost-absolute', gauge, high)).toBeCloseTo(83.5 + 90, 1)
    expect(await medianOf('boost-absolute', gauge)).toBeNull()
    expect(await medianOf('boost-absolute', { ...driven, signals: { 3563: null } })).toBe(98 + 90)
  })

  test('a boost that is sent as an absolute pressure is recognised', async () => {
    const absolute = { ...driven, signals: { 102: (t: number) => (t > 8 && t < 28 ? 188 : 98), 3563: null } }
    const { engine } = await contextOf(absolute)
    expect(boostIsAbsolute(engine, truck)).toBe(true)
    expect(await medianOf('boost-gauge', absolute)).toBe(90)
    expect(boostIsAbsolute((await contextOf(driven)).engine, truck)).toBe(false)
  })

  test('rail deviation is in percent of the command', async () => {
    const off = { ...brief, signals: { 157: (t: number) => (t > 4 ? 27 : 0) } }
    expect(await medianOf('rail-deviation', off)).toBeCloseTo(-10, 1)
  })

  test('the sag is told against the minute before', async () => {
    const { samples } = deriveSignal('supply-sag', await contextOf(brief)) ?? { samples: { value: [] } }
    expect(Math.max(...samples.value)).toBeCloseTo(12.7 - 10.4, 6)
  })

  test('cranking speed is there while cranking only', async () => {
    const { samples } = deriveSignal('crank-speed', await contextOf(brief)) ?? { samples: { value: [] } }
    const values = [...samples.value].filter((rpm) => !Number.isNaN(rpm))
    expect(median(values)).toBe(200)
    expect(values.length).toBeLessThan(60)
  })

  test('the warm-up slope of 1.4 °C a minute', async () => {
    const long = { ...brief, instants: { ...brief.instants, keyOff: 400, end: 402 }, periods: { 61444: 100 } }
    expect(await medianOf('warm-up-slope', long)).toBeCloseTo(1.4, 1)
  })

  test('oil pressure by speed, and against the profile’s own curve', async () => {
    expect(await medianOf('oil-pressure-per-speed', driven)).toBeCloseTo(400 / 2, 6)
    const curve = {
      speeds: [750, 2000],
      temperatures: [20, 90],
      pressure: [
        [280, 800],
        [100, 300],
      ],
      source: 'manual',
    }
    const own = parseProfile(JSON.stringify({ version: 1, title: 'T', oil: { pressureMap: curve } }))
    // 400 kPa told of 800 at 2,000 rpm and about 20 °C.
    expect(await medianOf('oil-pressure-ratio', driven, own)).toBeCloseTo(0.5, 1)
    expect(await medianOf('oil-pressure-ratio', driven)).toBeNull()
  })

  test('0.9 L/h at 750 rpm of four cylinders is 8.35 mg a stroke; half a tank of 90 L is 45 L', async () => {
    const own = parseProfile(JSON.stringify({ version: 1, title: 'T', engine: { cylinders: 4 }, fuel: { tank: 90 } }))
    const idle = { ...brief, signals: { 183: (t: number) => (t > 6 && t < 30 ? 0.9 : undefined) } }
    // 0.9 · 835,000 / (30 · 750 · 4); by hand.
    expect(await medianOf('fuel-per-stroke', idle, own)).toBeCloseTo(8.35, 2)
    expect(await medianOf('fuel-per-stroke', idle)).toBeNull()
    // SPN 96: PGN 65276, byte 2, 0.4 % a bit (published parameter tables): 125 is 50 %.
    const level = { at: 5, pgn: 65276, sa: 33, data: 'FF 7D FF FF FF FF FF FF' }
    expect(await medianOf('fuel-in-tank', { ...brief, others: [level] }, own)).toBeCloseTo(45, 9)
  })

  test('400 N·m at 2,000 rpm is 83.8 kW; 21.6 L/h of it are 0.215 kg/kWh', async () => {
    // 513 − 514 = 80 % of a reference torque of 500 N·m; P = M · 2π · n / 60. By hand.
    const torque = (t: number): NonNullable<MadeRun['others']>[number] => ({
      at: t,
      pgn: 61444,
      data: 'F0 FF E1 80 3E FF FF FF',
    })
    const others = [
      ...Array.from({ length: 100 }, (_, i) => torque(10 + i / 10)),
      ...Array.from({ length: 40 }, (_, i) => ({ at: 5 + i / 2, pgn: 65247, data: '91 FF FF FF FF FF FF FF' })),
      ...bamFrames({ time: 0, pgn: 65251, data: `${'FF'.repeat(19)}F401${'FF'.repeat(18)}` }).map(
        ({ time, ...frame }) => ({ ...frame, at: 2 + time / 1e6 }),
      ),
    ]
    const run = { ...driven, without: [61444, 65247], signals: { 183: 21.6 }, others }
    expect(await medianOf('engine-power', run)).toBeCloseTo(83.8, 1)
    expect(await medianOf('fuel-per-work', run)).toBeCloseTo(0.215, 3)
    // What friction takes is not at the flywheel: without it nobody can say.
    const untold = others.map((frame) => (frame.pgn === 65247 ? { ...frame, data: 'FF'.repeat(8) } : frame))
    expect(await medianOf('engine-power', { ...run, others: untold })).toBeNull()
  })

  test('idle: half a revolution of noise, 30 rpm above its target', async () => {
    const noisy = {
      ...brief,
      signals: { 190: (t: number) => (t < 3 ? 0 : t < 4 ? 200 : t > 30 ? 0 : 780 + (Math.round(t * 50) % 2)) },
    }
    expect(await medianOf('idle-deviation', noisy)).toBeCloseTo(0.5, 2)
    const offset = await medianOf('idle-offset', noisy)
    expect(offset).toBeGreaterThanOrEqual(30)
    expect(offset).toBeLessThanOrEqual(31)
    // What the engine shows by itself is no target.
    const learned = parseProfile(JSON.stringify({ version: 1, title: 'T' }))
    expect(await medianOf('idle-offset', { ...brief, without: [65247] }, learned)).toBeNull()
  })

  test('what cannot be computed is left out; all others name their signals', async () => {
    const all = deriveSignals(await contextOf(brief))
    expect(all.map(({ definition }) => definition.id)).not.toContain('oil-pressure-ratio')
    expect(all.length).toBeGreaterThan(8)
    for (const { signals } of all) expect(signals.length).toBeGreaterThan(0)
    expect(
      deriveSignals(await contextOf({ ...brief, without: [61444] })).map(({ definition }) => definition.id),
    ).toContain('boost-gauge')
  })

  test('every formula is explained in the document', () => {
    const text = readFileSync(new URL('../../../../docs/derived-signals.md', import.meta.url), 'utf8')
    for (const { id, title, formula, unit } of DERIVED_SIGNALS) {
      const row = text.split('\n').find((line) => line.startsWith(`| \`${id}\` |`))
      expect(row, id).toContain(formula)
      expect(row, id).toContain(title)
      expect(row, id).toContain(unit)
    }
  })
})
