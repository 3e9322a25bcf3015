import fc from 'fast-check'
import { describe, expect, it, test } from 'vitest'
import { axisTicks, timeTicks } from './ticks.js'

describe('time marks', () => {
  test.each<[number, number, number[]]>([
    [0, 20, [0, 5, 10, 15, 20]],
    [0.3, 29, [5, 10, 15, 20, 25]],
    [0, 320, [0, 60, 120, 180, 240, 300]],
    [100, 100, [100]],
  ])('from %d to %d s', (from, to, marks) => {
    expect(timeTicks(from * 1e6, to * 1e6)).toEqual(marks.map((seconds) => seconds * 1e6))
  })

  it('are few, in order, and inside', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1e10 }), fc.integer({ min: 1, max: 2e11 }), (from, length) => {
        const marks = timeTicks(from, from + length)
        expect(marks.length).toBeLessThanOrEqual(11)
        expect(
          marks.every((mark, i) => mark >= from && mark <= from + length && (i === 0 || mark > marks[i - 1])),
        ).toBe(true)
      }),
    )
  })
})

describe('value marks', () => {
  test.each<[number, number, number[], number]>([
    [0, 785, [0, 200, 400, 600, 800], 0],
    [10.2, 14.15, [10, 11, 12, 13, 14, 15], 0],
    [-1, 0, [-1, -0.75, -0.5, -0.25, 0], 2],
    [12.5, 12.5, [12.5, 12.6, 12.7, 12.8], 1],
    [0, 0, [0, 0.025, 0.05, 0.075, 0.1], 3],
  ])('from %d to %d', (low, high, ticks, digits) => {
    const axis = axisTicks(low, high)
    expect([axis.ticks, axis.digits]).toEqual([ticks, digits])
  })

  it('are few, round, rise evenly and hold the range', () => {
    const number = fc.double({ min: -1e5, max: 1e5, noNaN: true })
    fc.assert(
      fc.property(number, number, (a, b) => {
        const { from, to, ticks, digits } = axisTicks(a, b)
        // A billionth of a step beside a mark is on it: no eye sees more.
        const give = 2e-9 * Math.max(1, (ticks[1] as number) - (ticks[0] as number))
        expect(from).toBeLessThanOrEqual(Math.min(a, b) + give)
        expect(to).toBeGreaterThanOrEqual(Math.max(a, b) - give)
        expect(ticks.length).toBeGreaterThanOrEqual(2)
        expect(ticks.length).toBeLessThanOrEqual(7)
        for (const tick of ticks) expect(Number(tick.toFixed(digits))).toBeCloseTo(tick, 9)
      }),
      { examples: [[4.004004002790245, -1.2137602034556496e-9]] },
    )
  })
})
