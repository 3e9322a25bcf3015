import { describe, expect, test } from 'vitest'
import { analysed, dm1, secondsOf } from '../../../../../tests/support/made-faults.js'
import type { MadeRun } from '../../../../../tests/support/made-run.js'
import { circuitState } from './circuit.js'

/** The state of the circuit of one fault, in a recording made by hand. */
async function stateOf(spn: number, fmi: number, run: MadeRun, from = 40, to = 60) {
  const { context } = await analysed({ ...run, others: [...(run.others ?? []), ...dm1([{ spn, fmi, from, to }])] })
  const [fault] = context.faults
  if (fault === undefined) throw new Error('no fault was read')
  return circuitState(context, fault)
}

describe('what a value does while its circuit is reported', () => {
  test('error bytes', async () => {
    const found = await stateOf(100, 4, { signals: { 100: (t) => (t >= 39 && t < 55 ? 'error' : 140) } })
    expect(found?.state).toBe('error')
    expect(found?.sight.text).toContain('says "error" in place of a value for 16 s')
    expect(secondsOf(found?.sight.from ?? 0)).toBeCloseTo(39, 0)
    expect(found?.sight.signals).toMatchObject([{ spn: 100, sa: 0, pgn: 65263 }])
  })

  test('pinned at the end of the range, after something else', async () => {
    const found = await stateOf(105, 3, { signals: { 105: (t) => (t >= 38 && t < 57 ? -40 : 31) } })
    expect(found?.state).toBe('pinned')
    expect(found?.sight.text).toContain('pinned at −40 °C')
    expect(found?.sight.text).toContain('after 31 °C just before')
  })

  test('pinned from key-on, where others show that it cannot be true', async () => {
    const found = await stateOf(105, 3, { signals: { 105: -40 } }, 2, 124)
    expect(found?.state).toBe('pinned')
  })

  test('as cold as the others: not pinned', async () => {
    const found = await stateOf(105, 3, { celsius: -40 }, 2, 124)
    expect(found?.state).not.toBe('pinned')
  })

  test('a substitute that stands still where the value used to move', async () => {
    // 2 °C up and down every second, then 24 °C for twenty seconds.
    const wave = (t: number): number => (t >= 40 && t < 57 ? 24 : 24 + Math.round(2 * Math.sin(t * 3)))
    const found = await stateOf(105, 3, { signals: { 105: wave } })
    expect(found?.state).toBe('frozen')
    expect(found?.sight.text).toContain('stands still at 24 °C')
  })

  test('a value that never moved is no substitute', async () => {
    expect(await stateOf(105, 3, {})).toBeUndefined()
  })

  test('lively all the while', async () => {
    const found = await stateOf(105, 3, { signals: { 105: (t) => 24 + Math.round(3 * Math.sin(t * 2)) } })
    expect(found?.state).toBe('lively')
    expect(found?.sight.text).toContain('goes on with lively values')
  })

  test('a signal nobody sends says nothing', async () => {
    expect(await stateOf(412, 3, {})).toBeUndefined()
  })

  test('a pedal at rest is not pinned', async () => {
    expect(await stateOf(91, 4, {})).toBeUndefined()
  })
})

describe('ends that are real', () => {
  test('a foot on the floor', async () => {
    const full = (t: number): number => (t >= 45 && t < 55 ? 100 : 20)
    expect(await stateOf(91, 3, { signals: { 91: full, 29: full } })).toBeUndefined()
    expect((await stateOf(91, 3, { signals: { 91: full, 29: 20 } }))?.state).toBe('pinned')
  })

  test('an engine that stands draws no air', async () => {
    const air = (t: number): number => (t < 15 || t >= 120 ? 0 : 60 + 3 * Math.sin(t))
    expect((await stateOf(132, 4, { signals: { 132: air } }, 100, 124))?.state).not.toBe('pinned')
  })
})
