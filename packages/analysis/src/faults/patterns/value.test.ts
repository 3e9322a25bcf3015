import { describe, expect, test } from 'vitest'
import { analysed, dm1 } from '../../../../../tests/support/made-faults.js'
import type { MadeRun, ValueAt } from '../../../../../tests/support/made-run.js'
import { impossibleStep, limitCrossed, siblingsDiffer } from './value.js'

async function look<Result>(
  pattern: (context: Awaited<ReturnType<typeof analysed>>['context'], fault: (typeof context.faults)[number]) => Result,
  spn: number,
  fmi: number,
  run: MadeRun,
  from = 40,
  to = 60,
): Promise<Result> {
  const { context } = await analysed({ ...run, others: dm1([{ spn, fmi, from, to }]) })
  const [fault] = context.faults
  if (fault === undefined) throw new Error('no fault was read')
  return pattern(context, fault)
}

describe('a limit', () => {
  test('that the value crosses supports the fault', async () => {
    const seen = await look(limitCrossed, 110, 16, { signals: { 110: (t) => (t >= 35 && t < 65 ? 108 : 88) } })
    expect(seen).toMatchObject({ seen: true })
    expect(seen?.text).toBe('Engine coolant temperature reached 108 °C; controllers commonly warn above about 102 °C.')
  })

  test('that it never comes near contradicts it', async () => {
    const seen = await look(limitCrossed, 110, 16, { signals: { 110: 71 } })
    expect(seen).toMatchObject({ seen: false })
    expect(seen?.text).toContain('at most 71 °C')
  })

  test('that it comes near says nothing', async () => {
    expect(await look(limitCrossed, 110, 16, { signals: { 110: 97 } })).toBeNull()
  })

  test('counts only while the engine runs where it means nothing at rest', async () => {
    // Oil pressure is zero before the start; while it runs there is plenty.
    expect(await look(limitCrossed, 100, 18, {}, 10, 60)).toMatchObject({ seen: false })
  })

  test('doubles in a 24 V system', async () => {
    const seen = await look(
      limitCrossed,
      168,
      18,
      { signals: { 168: (t) => (t >= 12 && t < 14 ? 16.8 : 25.4), 158: 25.4 } },
      13,
      16,
    )
    expect(seen?.text).toContain('below about 19.2 V')
  })
})

describe('siblings', () => {
  const cold = { celsius: 18 }

  test('that agree with one another and not with it', async () => {
    const seen = await look(siblingsDiffer, 105, 3, { ...cold, signals: { 105: -40 } }, 2, 124)
    expect(seen).toMatchObject({ seen: true })
    expect(seen?.text).toContain('read −40 °C while 5 others read about 18 °C')
  })

  test('that agree with it', async () => {
    expect(await look(siblingsDiffer, 105, 3, cold, 2, 124)).toMatchObject({ seen: false })
  })

  test('an engine that is still warm proves nothing', async () => {
    const seen = await look(
      siblingsDiffer,
      105,
      3,
      { signals: { 110: 70, 175: 82, 174: 40, 172: 20, 171: 12 } },
      2,
      124,
    )
    expect(seen).toBeNull()
  })

  test('two tracks of a pedal in the same instant', async () => {
    const seen = await look(siblingsDiffer, 91, 2, { signals: { 91: (t) => (t > 39.5 && t < 39.7 ? 0 : 22), 29: 22 } })
    expect(seen).toMatchObject({ seen: true })
    expect(seen?.text).toBe('The two tracks differ: 0 % here, 22 % on the other, in the same instant.')
  })

  test('two tracks that agree', async () => {
    expect(await look(siblingsDiffer, 91, 2, {})).toMatchObject({ seen: false })
  })
})

describe('a step', () => {
  const dip: ValueAt = (t) => (t > 39.6 && t < 39.72 ? 0 : Math.min(60, Math.max(0, (t - 38.5) * 20)))

  test('down and back within consecutive messages is no foot', async () => {
    const seen = await look(impossibleStep, 91, 2, { signals: { 91: dip } })
    expect(seen).toMatchObject({ seen: true })
    expect(seen?.text).toMatch(/^Accelerator pedal position 1 jumps from 2\d to 0 % within 50 ms and back/)
  })

  test('a foot that lifts is no fault', async () => {
    const lift: ValueAt = (t) => (t < 39 ? 60 : Math.max(0, 60 - (t - 39) * 200))
    expect(await look(impossibleStep, 91, 2, { signals: { 91: lift } })).toMatchObject({ seen: false })
  })

  test('of a temperature stays', async () => {
    const seen = await look(impossibleStep, 110, 2, { signals: { 110: (t) => (t < 39 ? 60 : 82) } })
    expect(seen?.text).toContain('jumps from 60 to 82 °C within 1.0 s:')
  })
})
