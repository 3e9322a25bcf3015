import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Intervals } from './intervals.js'

function intervalsOf(times: readonly number[]): Intervals {
  const intervals = new Intervals()
  for (const time of times) intervals.add(time)
  return intervals
}

describe('intervals', () => {
  it('of a steady message are its period, without jitter', () => {
    const times = Array.from({ length: 100 }, (_, index) => 5000 + index * 10_000)
    expect(intervalsOf(times).report()).toEqual({ period: 10_000, jitter: 0, gaps: 0, longestGaps: [] })
  })

  it('that go back and forth have a jitter: the standard deviation', () => {
    // 9.8 ms and 10.2 ms in turn: mean 10 ms, deviation 0.2 ms.
    const times = Array.from({ length: 101 }, (_, index) => index * 10_000 - (index % 2) * 200)
    const { period, jitter, gaps } = intervalsOf(times).report()
    expect(period).toBeCloseTo(10_000, 6)
    expect(jitter).toBeCloseTo(200, 6)
    expect(gaps).toBe(0)
  })

  it.each([
    [[], { period: null, jitter: null, gaps: 0, longestGaps: [] }],
    [[7], { period: null, jitter: null, gaps: 0, longestGaps: [] }],
    [[7, 1007], { period: 1000, jitter: null, gaps: 0, longestGaps: [] }],
    [[7, 7, 7], { period: 0, jitter: 0, gaps: 0, longestGaps: [] }],
  ])('of the messages at %j', (times, wanted) => {
    expect(intervalsOf(times).report()).toEqual(wanted)
  })

  it('longer than three periods are gaps; the longest are kept, longest first', () => {
    const times: number[] = []
    let time = 0
    for (let index = 0; index < 200; index++) {
      time += index % 10 === 9 ? 50_000 + index * 100 : 10_000
      times.push(time)
    }
    const { period, gaps, longestGaps, jitter } = intervalsOf(times).report()
    expect(period).toBe(10_000)
    expect(jitter).toBe(0)
    expect(gaps).toBe(20)
    expect(longestGaps).toHaveLength(16)
    expect(longestGaps[0]).toEqual({ from: times[198], to: times[199] })
    expect(longestGaps.map(({ from, to }) => to - from)).toEqual(
      Array.from({ length: 16 }, (_, rank) => 50_000 + (199 - rank * 10) * 100),
    )
  })

  it('across a hole of the recorder say nothing', () => {
    const intervals = new Intervals()
    for (const time of [0, 10_000, 20_000, 30_000]) intervals.add(time)
    // The recorder was away until 5 s; this message came a little later.
    intervals.add(5_004_000, 5_000_000)
    intervals.add(5_014_000, 5_000_000)
    expect(intervals.report()).toEqual({ period: 10_000, jitter: 0, gaps: 0, longestGaps: [] })
  })

  it('that run backwards say nothing', () => {
    const intervals = intervalsOf([0, 10_000, 8000, 18_000, 28_000])
    expect(intervals.report()).toMatchObject({ period: 10_000, jitter: 0 })
  })

  it('have a period near the median, whatever they are', () => {
    const steps = fc.array(fc.integer({ min: 1, max: 1_000_000_000 }), { minLength: 1, maxLength: 60 })
    fc.assert(
      fc.property(steps, (taken) => {
        const times = [0]
        for (const step of taken) times.push(times[times.length - 1] + step)
        const sorted = taken.toSorted((a, b) => a - b)
        const median = sorted[Math.floor(sorted.length / 2)]
        const { period } = intervalsOf(times).report()
        // A bucket is a sixteenth of a doubling wide; one on either side is averaged in.
        expect((period as number) / median).toBeGreaterThan(1 / 1.14)
        expect((period as number) / median).toBeLessThan(1.14)
      }),
    )
  })
})
