import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  deviation,
  extremes,
  firstTime,
  median,
  overlap,
  periodOf,
  quantile,
  resample,
  runningMedian,
  SECOND,
  slope,
  stretches,
  touchesAny,
  validOf,
  valueAt,
  valuesAt,
  windowOf,
  without,
} from './series.js'

/** Samples one second apart from zero on. */
const everySecond = (...values: readonly number[]) => ({
  time: Float64Array.from(values, (_, i) => i * SECOND),
  value: Float64Array.from(values),
})
const NONE = Number.NaN

function runningSums(steps: readonly number[]): Float64Array {
  let sum = 0
  return Float64Array.from(steps, (step) => {
    sum += step
    return sum
  })
}

describe('samples', () => {
  test('a window has both its ends', () => {
    const { time, value } = windowOf(everySecond(10, 11, 12, 13, 14), SECOND, 3 * SECOND)
    expect([...time]).toEqual([SECOND, 2 * SECOND, 3 * SECOND])
    expect([...value]).toEqual([11, 12, 13])
    expect(windowOf(everySecond(1, 2), 5 * SECOND, 9 * SECOND).value).toHaveLength(0)
    expect(windowOf(everySecond(1, 2), 5 * SECOND, -SECOND).value).toHaveLength(0)
  })

  test('what holds no value counts nowhere', () => {
    const holed = everySecond(4, NONE, 8, NONE)
    expect([...validOf(holed).value]).toEqual([4, 8])
    expect([...validOf(holed).time]).toEqual([0, 2 * SECOND])
    expect(median(holed.value)).toBe(6)
    expect(extremes(holed)).toEqual({ min: 4, minAt: 0, max: 8, maxAt: 2 * SECOND })
    expect(slope(holed)).toBeCloseTo(2, 12)
  })

  test('of nothing there is no median, slope, deviation or extreme', () => {
    expect([median([]), quantile([], 0.2), deviation([3]), slope(everySecond(3)), extremes(everySecond(NONE))]).toEqual(
      [null, null, null, null, null],
    )
    expect(periodOf(Float64Array.of(5))).toBeNull()
  })

  test('standard deviation of a sample: 2, 4, 4, 4, 5, 5, 7, 9 has 2.138 (n − 1; handbook example)', () => {
    expect(deviation([2, 4, 4, 4, 5, 5, 7, 9])).toBeCloseTo(2.138, 3)
  })

  test('a quantile is that of the numbers in order', () => {
    const numbers = fc.array(
      fc.oneof(fc.integer({ min: -3, max: 3 }), fc.double({ noNaN: true, noDefaultInfinity: true })),
      {
        minLength: 1,
      },
    )
    fc.assert(
      fc.property(numbers, fc.integer({ min: 0, max: 100 }), (values, percent) => {
        const sorted = [...values].sort((a, b) => a - b)
        const at = (percent / 100) * (sorted.length - 1)
        const [low, high] = [sorted[Math.floor(at)] as number, sorted[Math.ceil(at)] as number]
        const expected = Math.floor(at) === at ? low : low + (high - low) * (at - Math.floor(at))
        expect(quantile([...values, NONE], percent / 100)).toEqual(expected)
      }),
    )
  })

  test('a quantile lies between its neighbours in a straight line', () => {
    expect(quantile([10, 30, 20, 40], 0.25)).toBe(17.5)
  })

  test('a value is in force until its age passes the limit', () => {
    const samples = everySecond(7, NONE, 9)
    expect(valueAt(samples, 1.5 * SECOND)).toBe(7)
    expect(valueAt(samples, 1.5 * SECOND, SECOND)).toBeNull()
    expect(valueAt(samples, -1)).toBeNull()
    expect([...valuesAt(samples, Float64Array.of(-1, 0, 1.9 * SECOND, 2 * SECOND, 60 * SECOND), 3 * SECOND)]).toEqual([
      NONE,
      7,
      7,
      9,
      NONE,
    ])
    expect([...resample(samples, 0, 2 * SECOND, SECOND).value]).toEqual([7, 7, 9])
  })

  test('the values in force at many times are those at each of them', () => {
    const gaps = fc.array(fc.integer({ min: 0, max: 5 }), { maxLength: 30 })
    const value = fc.oneof(fc.constant(NONE), fc.integer({ min: 0, max: 9 }))
    const ages = fc.constantFrom(0, 1, 4, 20, Number.POSITIVE_INFINITY)
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(5), value), { maxLength: 30 }), gaps, ages, (rows, steps, maxAge) => {
        const samples = { time: runningSums(rows.map(([gap]) => gap)), value: Float64Array.from(rows, ([, v]) => v) }
        const times = runningSums(steps)
        const each = Array.from(times, (time) => valueAt(samples, time, maxAge) ?? NONE)
        expect([...valuesAt(samples, times, maxAge)]).toEqual(each)
      }),
    )
  })

  test('the first time a condition holds', () => {
    expect(firstTime(everySecond(1, NONE, 6), (value) => value > 5)).toBe(2 * SECOND)
    expect(firstTime(everySecond(1), (value) => value > 5)).toBeNull()
  })
})

describe('stretches', () => {
  const isHigh = (value: number) => value > 5

  test('run from the first to the last sample that fits', () => {
    expect(stretches(everySecond(9, 9, 1, 9, 1, 9, 9), isHigh)).toEqual([
      { from: 0, to: SECOND },
      { from: 3 * SECOND, to: 3 * SECOND },
      { from: 5 * SECOND, to: 6 * SECOND },
    ])
  })

  test('short ones are left out, short interruptions bridged, long silences not', () => {
    const samples = everySecond(9, 9, 1, 9, 1, 1, 1, 9)
    expect(stretches(samples, isHigh, { atLeast: SECOND })).toEqual([{ from: 0, to: SECOND }])
    expect(stretches(samples, isHigh, { bridge: SECOND })).toEqual([
      { from: 0, to: 3 * SECOND },
      { from: 7 * SECOND, to: 7 * SECOND },
    ])
    const silent = { time: Float64Array.of(0, SECOND, 60 * SECOND), value: Float64Array.of(9, 9, 9) }
    expect(stretches(silent, isHigh, { maxGap: 5 * SECOND })).toHaveLength(2)
    expect(stretches(silent, isHigh)).toHaveLength(1)
  })

  test('a span without others keeps what is left', () => {
    const others = [
      { from: 2, to: 3 },
      { from: 8, to: 20 },
    ]
    expect(without({ from: 0, to: 10 }, others)).toEqual([
      { from: 0, to: 2 },
      { from: 3, to: 8 },
    ])
    expect(without({ from: 2, to: 3 }, others)).toEqual([])
    expect(overlap({ from: 0, to: 5 }, { from: 5, to: 9 })).toEqual({ from: 5, to: 5 })
    expect(overlap({ from: 0, to: 4 }, { from: 5, to: 9 })).toBeUndefined()
  })
})

test('the running median is the median of every window', () => {
  const values = fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 1, maxLength: 60 })
  fc.assert(
    fc.property(values, fc.integer({ min: 0, max: 9 }), (numbers, width) => {
      const samples = everySecond(...numbers)
      const running = runningMedian(samples, width * SECOND)
      numbers.forEach((_, i) => {
        expect(running.value[i]).toBe(median(numbers.slice(Math.max(0, i - width), i + 1)))
      })
    }),
  )
})

test('asked in order of time, touching any of some spans is touching one of them', () => {
  const span = fc.tuple(fc.nat(60), fc.nat(20)).map(([from, length]) => ({ from, to: from + length }))
  fc.assert(
    fc.property(fc.array(span, { maxLength: 6 }), fc.array(fc.nat(8), { minLength: 2 }), (spans, steps) => {
      const times = runningSums(steps)
      const touches = touchesAny(spans)
      for (let i = 1; i < times.length; i++) {
        const [from, to] = [times[i - 1] as number, times[i] as number]
        expect(touches(from, to)).toBe(spans.some((one) => one.from <= to && one.to >= from))
      }
    }),
  )
})
