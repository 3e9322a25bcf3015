import { describe, expect, test } from 'vitest'
import { analysed, dm1 } from '../../../../tests/support/made-faults.js'
import type { MadeRun } from '../../../../tests/support/made-run.js'
import { looksOf } from './exposure.js'
import { faultExposure } from './fault-exposure.js'

/** An engine's use, with the faults that came. */
async function useOf(run: MadeRun) {
  const { engine, phases, context } = await analysed(run)
  if (engine === undefined) throw new Error('no engine')
  return { faults: context.faults, use: { engine, phases, looks: looksOf(engine, phases) } }
}

/** Idle, but 2,000 rpm from second 40 to 60; at 50 the crankshaft sensor loses its pulses for a moment. */
const speed = (t: number): number => {
  if (t < 12 || t >= 120) return 0
  if (t < 14) return 200
  if (t >= 50 && t < 50.6) return 0
  return t >= 40 && t < 60 ? 2000 : 750
}
const lost = dm1([{ spn: 636, fmi: 8, from: 50.3, to: 55 }])

describe('the conditions a fault came in', () => {
  test('are those of the engine, not what the fault made of the speed', async () => {
    const { faults, use } = await useOf({ signals: { 190: speed }, others: lost })
    const chance = faultExposure(faults, use, use, undefined)
    const range = chance?.summary.enabling.find(({ spn }) => spn === 190)
    expect(range?.from).toBeGreaterThan(1500)
    expect(range?.to).toBeGreaterThan(2000)
    expect(chance?.summary.onsets).toEqual({ of: 1, again: 1 })
  })

  test('did not come again where the later run only idled', async () => {
    const before = await useOf({ signals: { 190: speed }, others: lost })
    const after = await useOf({})
    expect(faultExposure(before.faults, before.use, after.use, undefined)?.summary.onsets).toEqual({ of: 1, again: 0 })
  })

  test('that not even the earlier run was seen in are not had again by a run that never was in them either', async () => {
    const before = await useOf({ signals: { 190: speed }, others: lost })
    const never = [{ spn: 190, from: 4000, to: 4500 }]
    expect(faultExposure(before.faults, before.use, before.use, never)?.summary.onsets).toEqual({ of: 1, again: 0 })
  })
})
