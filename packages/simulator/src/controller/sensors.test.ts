import { describe, expect, it } from 'vitest'
import {
  bySensor,
  type Hardware,
  healthyHardware,
  healthySensor,
  type SensorCondition,
  type SensorName,
} from '../hardware.js'
import { Random } from '../random.js'
import { indicatedAirMass, SensorPins } from './sensors.js'

const TRUTH: Record<SensorName, number> = {
  'coolant-temperature': 81,
  'intake-temperature': 24,
  'air-inlet-temperature': 17,
  'fuel-temperature': 31,
  'oil-temperature': 77,
  'ambient-temperature': 12,
  'oil-pressure': 320,
  'intake-pressure': 143,
  'fuel-delivery-pressure': 410,
  'rail-pressure': 65,
  'barometric-pressure': 83.5,
  'air-mass': 212,
  'pedal-1': 37,
  'pedal-2': 37,
  'egr-position': 12,
}

/** What a pin settles at. */
function settled(
  name: SensorName,
  condition: Partial<SensorCondition> = {},
  hardware: Hardware = healthyHardware(),
): { level: number; reading: number } {
  const pins = new SensorPins(new Random(2))
  const conditions = bySensor(healthySensor)
  Object.assign(conditions[name], condition)
  for (let i = 0; i < 4000; i++) pins.read(0.01, [name], TRUTH, conditions, hardware)
  return pins.pins[name]
}

describe('a whole sensor', () => {
  it.each(Object.entries(TRUTH) as [SensorName, number][])('%s reads what there is', (name, value) => {
    const { level, reading } = settled(name)
    expect(Math.abs(reading - value)).toBeLessThan(Math.max(2, 0.02 * value))
    expect(level).toBeGreaterThan(-0.05)
    expect(level).toBeLessThan(1.05)
  })

  it('differs from specimen to specimen and from reading to reading, a little', () => {
    const read = (seed: number): number[] => {
      const pins = new SensorPins(new Random(seed))
      return Array.from({ length: 50 }, () => {
        pins.read(0.1, ['coolant-temperature'], TRUTH, bySensor(healthySensor), healthyHardware())
        return pins.pins['coolant-temperature'].reading
      })
    }
    expect(new Set(read(1)).size).toBeGreaterThan(40)
    expect(read(1)[40]).not.toBeCloseTo(read(2)[40] as number, 2)
  })
})

describe('a broken one', () => {
  // Unplugged thermistors read their coldest, shorted ones their hottest: common practice.
  it.each([
    ['intake-temperature', 'open', -40, 1.12],
    ['intake-temperature', 'short-to-ground', 150, -0.12],
    ['coolant-temperature', 'short-to-supply', -40, 1.12],
    ['intake-pressure', 'short-to-ground', 20, -0.12],
    ['intake-pressure', 'short-to-supply', 320, 1.12],
    ['air-mass', 'open', 0, -0.12],
    ['oil-pressure', 'open', 1000, 1.12],
  ] as const)('%s %s reads %f', (name, circuit, reading, level) => {
    expect(settled(name, { circuit })).toEqual({ level: expect.closeTo(level, 6), reading: expect.closeTo(reading, 6) })
  })

  it('drifts, scales and hangs on another plug', () => {
    expect(settled('intake-pressure', { offset: 9 }).reading).toBeCloseTo(152, -0.5)
    expect(settled('pedal-1', { gain: 0 }).reading).toBeLessThan(0.5)
    expect(Math.abs(settled('coolant-temperature', { pluggedInto: 'intake-temperature' }).reading - 24)).toBeLessThan(2)
    // A sender of 0 to 1000 kPa on the pin of one of 0 to 200 MPa: a third of the range is a third of the range.
    expect(Math.abs(settled('rail-pressure', { pluggedInto: 'oil-pressure' }).reading - 0.32 * 200)).toBeLessThan(2)
  })

  it('a shorted supply takes every sensor on it and no other', () => {
    const shorted = { ...healthyHardware(), sensorSupply1: 0 }
    for (const name of ['oil-pressure', 'intake-pressure', 'pedal-1'] as const) {
      expect(settled(name, {}, shorted).level).toBeCloseTo(-0.12, 6)
    }
    for (const name of ['rail-pressure', 'pedal-2', 'coolant-temperature', 'air-mass'] as const) {
      expect(settled(name, {}, shorted).level).toBeGreaterThan(0)
    }
  })
})

it('a tube of 76 instead of 70 mm makes the air-mass sensor read 0.848 of the flow (ratio of the areas)', () => {
  expect(indicatedAirMass(100, 76)).toBeCloseTo(100 * (70 / 76) ** 2, 9)
  expect(indicatedAirMass(100, 76)).toBeCloseTo(84.8, 1)
  expect(indicatedAirMass(100, 70)).toBe(100)
})
