/** What checks make of little, of holes, and of more than one run in a recording. */
import { describe, expect, test } from 'vitest'
import { runChecks } from '../../packages/analysis/src/checks/index.js'
import { lookUp } from '../../packages/analysis/src/derived/map.js'
import { findEngines } from '../../packages/analysis/src/engine-view.js'
import type { CheckResult, Phase, PhaseKind } from '../../packages/analysis/src/model.js'
import { findPhases } from '../../packages/analysis/src/phases.js'
import { KEY_ON, type MadeRun, openRun } from '../support/made-run.js'
import { ENGINE, longDrive, periods, slowly } from './check-cases.js'

/** Phases one after the other: when each begins, in seconds since key-on; the last row ends them. */
function phasesOf(...rows: readonly (readonly [from: number, kind: PhaseKind, cycle?: number])[]): Phase[] {
  return rows.slice(0, -1).map(([from, kind, cycle = 1], i) => ({
    from: KEY_ON + from * 1e6,
    to: KEY_ON + (rows[i + 1] as (typeof rows)[number])[0] * 1e6,
    kind,
    basis: 'reported',
    resolution: 50_000,
    cycle,
    why: 'Made for a test.',
    ...(kind === 'cranking' ? { attempt: { number: 1, started: true } } : {}),
  }))
}

async function resultOf(id: string, run: MadeRun, made?: readonly Phase[]): Promise<CheckResult> {
  const recording = await openRun({ periods, ...run })
  const [engine] = findEngines(recording)
  if (engine === undefined) throw new Error('no engine')
  const results = runChecks(recording, engine, made ?? findPhases(engine, ENGINE), ENGINE)
  return results.find((candidate) => candidate.id === id) as CheckResult
}

describe('a signal sent fifty times a second is watched for as many seconds as a slow one', () => {
  const noLamp = { lamp: [900, 900] } as const

  test('charging, eight seconds above 1,200 rpm', async () => {
    const { finding } = await resultOf('charging-voltage', {
      instants: { drive: [110, 118], keyOff: 165, end: 167 },
      periods: { ...periods, 65271: 20 },
      signals: { 168: (t) => (t < 12 ? 12.6 : t < 14 ? 10.4 : 12.9) },
    })
    expect(finding).toBe('Not judged: the engine never ran above 1200 rpm for half a minute; at idle it was 12.90 V.')
  })

  test('oil pressure, five seconds of hot idle', async () => {
    const run = { celsius: 86, instants: { ...noLamp, keyOff: 66, end: 68 }, periods: { ...periods, 65263: 20 } }
    expect((await resultOf('oil-pressure-hot-idle', run)).verdict).toBe('not-judged')
  })

  test('oil pressure, five seconds at speed', async () => {
    const run = {
      celsius: 86,
      instants: { ...noLamp, drive: [70, 75], keyOff: 100, end: 102 },
      periods: { ...periods, 65263: 20 },
    } as const
    expect((await resultOf('oil-pressure-at-speed', run)).verdict).toBe('not-judged')
  })
})

describe('a maker’s map', () => {
  test('says nothing where speed or temperature is not known', () => {
    const table = {
      x: [1000, 3000],
      y: [0, 100],
      values: [
        [10, 20],
        [30, 40],
      ],
    }
    expect(lookUp(table, Number.NaN, 50)).toBeNaN()
    expect(lookUp(table, 2000, Number.NaN)).toBeNaN()
    expect(lookUp(table, 2000, 50)).toBe(25)
    expect(lookUp(table, 9000, 500)).toBe(40)
  })
})

describe('holes', () => {
  test('two single excursions of the pedals beside a hole are not one that lasts', async () => {
    const { verdict, finding } = await resultOf('pedal-agreement', {
      silent: [[40, 45]],
      signals: { 91: (t) => (t > 20 ? 50 : 0), 29: (t) => (t > 39.9 && t < 45.1 ? 20 : t > 20 ? 50 : 0) },
    })
    expect(finding).toContain('apart 2 times')
    expect(verdict).toBe('caution')
  })

  test('two seconds of load on either side of a hole are not three of full load', async () => {
    const { verdict } = await resultOf(
      'boost-under-load',
      {
        instants: { drive: [60, 100] },
        signals: { 92: (t) => (t < 60 ? 15 : (t >= 62 && t < 70) || t >= 72 ? undefined : 85) },
      },
      phasesOf(
        [0, 'key-on'],
        [12, 'cranking'],
        [14, 'run-up'],
        [15, 'idle'],
        [60, 'load'],
        [100, 'idle'],
        [120, 'unknown'],
      ),
    )
    expect(verdict).toBe('not-judged')
  })
})

describe('one run is not another', () => {
  test('a thermostat is judged by the run that had the load', async () => {
    const { verdict, finding } = await resultOf(
      'thermostat',
      { ...longDrive, periods: slowly, signals: { 110: (t) => (t < 705 ? Math.min(86, t) : 25) } },
      phasesOf(
        [0, 'key-on'],
        [12, 'cranking'],
        [14, 'run-up'],
        [15, 'idle'],
        [60, 'load'],
        [700, 'shutdown'],
        [705, 'key-on', 2],
        [710, 'cranking', 2],
        [712, 'run-up', 2],
        [714, 'load', 2],
        [780, 'unknown', 2],
      ),
    )
    expect(finding).toContain('Coolant settled at 86 °C')
    expect(verdict).toBe('pass')
  })

  test('idle less than half a minute after a start is not settled, whatever came between', async () => {
    const { verdict } = await resultOf(
      'air-mass-idle',
      { instants: { drive: [15, 20] } },
      phasesOf([0, 'key-on'], [12, 'cranking'], [14, 'run-up'], [15, 'load'], [20, 'idle'], [42, 'unknown']),
    )
    expect(verdict).toBe('not-judged')
  })
})
