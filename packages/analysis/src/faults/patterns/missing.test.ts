/** What is not in the recording, or came too late or too early for a pattern, is neither for nor against it. */
import { describe, expect, test } from 'vitest'
import { analysed, dm1 } from '../../../../../tests/support/made-faults.js'
import { KEY_ON, type MadeRun, openRun } from '../../../../../tests/support/made-run.js'
import { findEngines } from '../../engine-view.js'
import type { Phase, PhaseKind } from '../../model.js'
import { NO_PROFILE, parseProfile } from '../../profile.js'
import { FaultContext } from '../context.js'
import { hotUnderLoad } from './cooling.js'
import { recoversAfterCrank } from './cranking.js'
import { railLow } from './fuel.js'
import { heaterDrawsNothing } from './heater.js'
import { oilPressureAbsent, oilPressureLate } from './oil.js'
import { chargingHeldDown } from './power.js'
import { siblingsDiffer } from './value.js'
import { egrDoesNotFollow } from './valve.js'

const contextOf = async (run: MadeRun) => (await analysed(run)).context

/** A made run under phases of one's own: when each begins, in seconds since key-on; the last row ends them. */
async function contextWith(run: MadeRun, ...rows: readonly (readonly [number, PhaseKind])[]): Promise<FaultContext> {
  const phases = rows.slice(0, -1).map(
    ([from, kind], i): Phase => ({
      from: KEY_ON + from * 1e6,
      to: KEY_ON + (rows[i + 1] as (typeof rows)[number])[0] * 1e6,
      kind,
      basis: 'reported',
      resolution: 50_000,
      cycle: 1,
      why: 'Made for a test.',
    }),
  )
  const recording = await openRun(run)
  return new FaultContext(recording, findEngines(recording)[0], phases, [], NO_PROFILE)
}

describe('what was never there to be compared', () => {
  test('a command that is never in force says nothing of its valve', async () => {
    const context = await contextOf({ signals: { 27: 40, 2791: (t) => (t > 123 ? 0 : undefined) } })
    expect(egrDoesNotFollow(context)).toMatchObject({ seen: true })
    expect(egrDoesNotFollow(context)?.text).toContain('stays at 40 %')
  })

  test('a second pedal track without values around the fault', async () => {
    const { context } = await analysed({
      signals: { 91: (t) => (t > 30 ? 50 : 0), 29: (t) => (t < 5 ? 0 : undefined) },
      others: dm1([{ spn: 91, fmi: 2, from: 40, to: 60 }]),
    })
    const [fault] = context.faults
    if (fault === undefined) throw new Error('no fault was read')
    expect(siblingsDiffer(context, fault)).toBeNull()
  })

  test('oil pressure behind a hole may have come anywhere in it', async () => {
    const late = await contextOf({ signals: { 100: (t) => (t < 14.5 ? 0 : t < 24 ? undefined : 140) } })
    expect(oilPressureLate(late)).toBeNull()
    const known = await contextOf({ signals: { 100: (t) => (t < 24 ? 0 : t < 26 ? undefined : 140) } })
    expect(oilPressureLate(known)).toMatchObject({ seen: true })
  })
})

describe('what had no time', () => {
  test('oil pressure in a run of two seconds', async () => {
    expect(oilPressureAbsent(await contextOf({ instants: { keyOff: 16, end: 30 }, signals: { 100: 0 } }))).toBeNull()
  })

  test('coolant that is hottest when the recording ends may cool or not', async () => {
    const run = {
      instants: { drive: [20, 200], keyOff: 900, end: 200 },
      signals: { 110: (t: number) => 60 + t / 4 },
    } as const
    expect(hotUnderLoad(await contextOf(run))).toBeNull()
    const steady = {
      ...run,
      instants: { ...run.instants, end: 400 },
      signals: { 110: (t: number) => 60 + Math.min(50, t / 4) },
    }
    expect(hotUnderLoad(await contextOf(steady))).toMatchObject({ seen: false })
  })
})

describe('what came after', () => {
  const volts = (charged: number, until: number) => (t: number) =>
    t < 12 ? 12.6 : t < 14 ? 10.4 : t < until ? charged : 12.1

  test('the voltage behind a stall is not that of the engine running', async () => {
    const context = await contextOf({ instants: { keyOff: 20, end: 60 }, signals: { 168: volts(14.2, 20) } })
    expect(recoversAfterCrank(context)).toMatchObject({ seen: true })
  })

  test('nor does it show a load that holds the charge down', async () => {
    const context = await contextOf({ instants: { keyOff: 46, end: 120 }, signals: { 168: volts(14.2, 46) } })
    expect(chargingHeldDown(context)).toMatchObject({ seen: false })
  })

  test('a rail that empties between two runs is not low in either', async () => {
    const context = await contextWith(
      { signals: { 157: (t) => (t > 50 && t < 71 ? 0 : 30), 5313: 30 } },
      [20, 'idle'],
      [50, 'after-run'],
      [60, 'key-on'],
      [70, 'cranking'],
      [74, 'run-up'],
      [75, 'idle'],
      [110, 'after-run'],
      [111, 'unknown'],
    )
    expect(railLow(context)).toMatchObject({ seen: false })
  })
})

test('a profile says what system it is, whatever the voltage', async () => {
  const recording = await openRun({ signals: { 168: 18.5 } })
  const profile = parseProfile('{"version": 1, "title": "Made engine", "electrical": {"volts": 12}}')
  expect(new FaultContext(recording, findEngines(recording)[0], [], [], profile).voltage).toBe(1)
  expect(new FaultContext(recording, findEngines(recording)[0], [], [], NO_PROFILE).voltage).toBe(2)
})

test('a battery that was down before the lamp says why it does not sag', async () => {
  const context = await contextOf({ signals: { 168: (t) => (t < 12 ? 11.7 : t < 14 ? 9.6 : 14) } })
  expect(heaterDrawsNothing(context)).toMatchObject({ seen: false })
  expect(heaterDrawsNothing(context)?.text).not.toContain('no heater current flows')
})
