import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { formatDuration, formatTime, tickStep, ticksBetween } from './time.js'

describe('marks of a time axis', () => {
  it.each([
    [0, 10, 5, [0, 2, 4, 6, 8, 10]],
    [0, 60, 6, [0, 10, 20, 30, 40, 50, 60]],
    [3.2, 9.9, 4, [4, 6, 8]],
    [0.01, 0.052, 5, [0.01, 0.02, 0.03, 0.04, 0.05]],
    [-3, 3, 3, [-2, 0, 2]],
    [0, 7_200, 4, [0, 1_800, 3_600, 5_400, 7_200]],
  ])('from %f to %f, at most about %i', (from, to, most, ticks) => {
    expect(ticksBetween(from, to, most)).toEqual(ticks)
  })

  it('are none where there is no room', () => {
    expect(ticksBetween(0, 10, 0)).toEqual([])
    expect(ticksBetween(5, 5, 10)).toEqual([])
  })

  it('lie inside, ascend, and are at most one more than asked for', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e5, max: 1e6, noNaN: true }),
        fc.double({ min: 0.01, max: 1e6, noNaN: true }),
        fc.integer({ min: 1, max: 40 }),
        (from, span, most) => {
          const to = from + span
          const ticks = ticksBetween(from, to, most)
          expect(ticks.length).toBeLessThanOrEqual(most + 1)
          const step = tickStep(to - from, most)
          for (const [index, tick] of ticks.entries()) {
            expect(tick).toBeGreaterThanOrEqual(from - step * 1e-3)
            expect(tick).toBeLessThanOrEqual(to + step * 1e-3)
            if (index > 0) expect(tick - ticks[index - 1]!).toBeCloseTo(step, 5)
          }
        },
      ),
    )
  })
})

describe('times in words', () => {
  it.each([
    [0, 1, '0:00'],
    [4.25, 0.01, '0:04.25'],
    [59.96, 0.1, '1:00.0'],
    [125, 1, '2:05'],
    [3_723.4, 0.1, '1:02:03.4'],
    [-2.5, 0.1, '−0:02.5'],
    [-0.001, 0.1, '0:00.0'],
  ])('%f s, to %f', (seconds, step, text) => {
    expect(formatTime(seconds, step)).toBe(text)
  })

  it.each([
    [0.004, '4 ms'],
    [0.0996, '0.1 s'],
    [9.94, '9.9 s'],
    [9.96, '10 s'],
    [59.7, '1 min'],
    [61, '1 min 1 s'],
    [3_660, '1 h 1 min'],
  ])('%f s as a length', (seconds, text) => {
    expect(formatDuration(seconds)).toBe(text)
  })
})
