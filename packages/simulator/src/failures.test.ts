import { describe, expect, it } from 'vitest'
import { Failures } from './failures.js'
import type { DriverInputs, Plant } from './physics/plant.js'
import { Random } from './random.js'
import type { Failure } from './scenario.js'

/** As much of a plant as exposures look at. */
const plantAt = (rpm: number, running = true): Plant => ({ crank: { rpm }, running }) as unknown as Plant
const foot = (more: Partial<DriverInputs> = {}): DriverInputs => ({
  key: 'on',
  pedal: 0,
  brake: 0,
  drive: false,
  grade: 0,
  cornering: 0,
  ...more,
})

const short = (pattern?: Failure['pattern']): Failure => ({
  component: 'supply',
  kind: 'short',
  hardware: { sensorSupply1: 0 },
  ...(pattern ? { pattern } : {}),
})

/** Runs failures through `[seconds, rpm, cornering]` and gives the seconds in which the first one showed. */
function run(failure: Failure, stretches: readonly (readonly [number, number, number?])[], seed = 1): number[] {
  const failures = new Failures([failure], 1, new Random(seed))
  const shown: number[] = []
  let steps = 0
  for (const [seconds, rpm, cornering = 0] of stretches) {
    for (let i = 0; i < seconds * 100; i++) {
      failures.step(0.01, steps / 100, plantAt(rpm), foot({ cornering }))
      if (failures.hardware.sensorSupply1 === 0) shown.push(steps / 100)
      steps++
    }
  }
  return shown
}

describe('Failures', () => {
  it('a steady one is there before anything is built', () => {
    expect(new Failures([short()], 1, new Random(1)).hardware.sensorSupply1).toBe(0)
    expect(new Failures([short({ from: 5 })], 1, new Random(1)).hardware.sensorSupply1).toBe(1)
  })

  it('comes and goes at its times', () => {
    const shown = run(short({ from: 2, until: 3.5 }), [[6, 800]])
    expect([shown[0], shown.at(-1)]).toEqual([2, 3.49])
  })

  it('shows only under its exposure', () => {
    const shown = run(short({ during: 'vibration' }), [
      [2, 800],
      [1, 2000],
      [2, 800],
    ])
    expect([shown[0], shown.at(-1)]).toEqual([2, 2.99])
    const bends = run(short({ during: 'cornering' }), [
      [1, 800],
      [1, 800, -2],
    ])
    expect(bends[0]).toBe(1)
  })

  it('an intermittent one comes as often as it may, for as long as it may', () => {
    const pattern = { during: 'vibration', on: [0.3, 2], off: [3, 8], times: 4 } as const
    const failures = new Failures([short(pattern)], 1, new Random(9))
    for (let i = 0; i < 60_00; i++) failures.step(0.01, i / 100, plantAt(2000), foot())
    const appearances = failures.appearances[0]?.appearances ?? []
    expect(appearances).toHaveLength(4)
    for (const { from, until = Number.NaN } of appearances) {
      expect(until - from).toBeGreaterThan(0.29)
      expect(until - from).toBeLessThan(2.02)
    }
    const pauses = appearances.slice(1).map(({ from }, i) => from - (appearances[i]?.until as number))
    expect(Math.min(...pauses)).toBeGreaterThan(2.99)
    expect(Math.max(...pauses)).toBeLessThan(8.02)
  })

  it('undoes one failure without touching another', () => {
    const other: Failure = { component: 'battery', kind: 'old', hardware: { batteryAge: 1.5 } }
    const failures = new Failures([short({ from: 1, until: 2 }), other], 1, new Random(1))
    for (let i = 0; i < 300; i++) {
      failures.step(0.01, i / 100, plantAt(800), foot())
      expect(failures.hardware.batteryAge).toBe(1.5)
    }
    expect(failures.hardware.sensorSupply1).toBe(1)
  })

  it('scales how bad it is, except for switches', () => {
    const failure: Failure = {
      component: 'ground',
      kind: 'poor',
      hardware: { groundResistance: 0.006, airTubeBore: 76, heaterLink: 0 },
      sensors: { 'coolant-temperature': { circuit: 'open' } },
    }
    const half = new Failures([failure], 0.5, new Random(1))
    expect(half.hardware).toMatchObject({ groundResistance: 0.003, airTubeBore: 73, heaterLink: 0 })
    expect(half.sensors['coolant-temperature'].circuit).toBe('open')
    expect(half.sensors['oil-temperature'].circuit).toBe('whole')
  })
})
