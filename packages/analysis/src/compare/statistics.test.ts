import { describe, expect, test } from 'vitest'
import {
  binomialAtMost,
  clopperPearson,
  compareRates,
  incompleteBeta,
  neededTime,
  studentT,
  zeroInTime,
  zeroInTrials,
} from './statistics.js'

/** P(X ≤ k) for p = a/b by summing whole numbers: nothing is rounded before the last division. */
function sumOfBinomials(k: number, n: number, a: bigint, b: bigint): number {
  let sum = 0n
  let choose = 1n
  for (let i = 0; i <= k; i++) {
    sum += choose * a ** BigInt(i) * (b - a) ** BigInt(n - i)
    choose = (choose * BigInt(n - i)) / BigInt(i + 1)
  }
  return Number((sum * 10n ** 18n) / b ** BigInt(n)) / 1e18
}

// Published: the rule of three of a research institute's article, and the exact bound behind it.
describe('not seen in n trials', () => {
  test.each([
    [3, '63'],
    [10, '26'],
    [30, '9.5'],
  ])('%i trials leave up to %s %%', (n, percent) => {
    const digits = percent.includes('.') ? 1 : 0
    expect((100 * zeroInTrials(n)).toFixed(digits)).toBe(percent)
    expect((1 - zeroInTrials(n)) ** n).toBeCloseTo(0.05, 12)
  })

  test('no trial says nothing', () => expect(zeroInTrials(0)).toBe(1))

  test('is about three divided by their number', () => expect(zeroInTrials(1000) * 1000).toBeCloseTo(3, 1))
})

test('not seen in a time: about three divided by it, exactly −ln 0.05', () => {
  expect(zeroInTime(1)).toBeCloseTo(2.995732273553991, 14)
  expect(zeroInTime(22 / 60).toFixed(0)).toBe('8')
  expect(zeroInTime(0)).toBe(Number.POSITIVE_INFINITY)
})

// Worked values of the conditional binomial with a Clopper–Pearson interval.
describe('two rates', () => {
  test('6 in 0.8 h, then none in 0.5 h: no change is not excluded', () => {
    const { p, ratio } = compareRates({ events: 6, time: 0.8 }, { events: 0, time: 0.5 })
    expect(p.toFixed(3)).toBe('0.054')
    expect(ratio.from).toBe(0)
    expect(ratio.to.toFixed(2)).toBe('1.36')
  })

  test('6 in 0.8 h, then none in 2.0 h', () => {
    const { p, ratio } = compareRates({ events: 6, time: 0.8 }, { events: 0, time: 2 })
    expect(p.toFixed(4)).toBe('0.0005')
    expect(ratio.to.toFixed(2)).toBe('0.34')
  })

  test('the unit of time changes nothing', () => {
    const hours = compareRates({ events: 4, time: 1.5 }, { events: 2, time: 3 })
    const seconds = compareRates({ events: 4, time: 5400 }, { events: 2, time: 10_800 })
    expect(seconds.p).toBeCloseTo(hours.p, 14)
    expect(seconds.ratio.to).toBeCloseTo(hours.ratio.to, 12)
  })

  test('swapped, the ratio is one divided by itself', () => {
    const a = { events: 5, time: 2 }
    const b = { events: 3, time: 3 }
    const there = compareRates(a, b).ratio
    const back = compareRates(b, a).ratio
    expect(back.from).toBeCloseTo(1 / there.to, 12)
    expect(back.to).toBeCloseTo(1 / there.from, 12)
  })

  test.each([
    [1, '19'],
    [2, '3.5'],
    [3, '1.7'],
    [6, '0.65'],
  ])('after %i events, %s times as long without one is needed', (events, times) => {
    expect((neededTime(events, 1) as number).toFixed(times.split('.')[1]?.length ?? 0)).toBe(times)
    const { p } = compareRates({ events, time: 1 }, { events: 0, time: neededTime(events, 1) as number })
    expect(p).toBeCloseTo(0.05, 12)
  })

  test('without events nothing can be said', () => {
    expect(compareRates({ events: 0, time: 1 }, { events: 0, time: 1 })).toEqual({
      p: 1,
      ratio: { from: 0, to: Number.POSITIVE_INFINITY },
      needed: null,
    })
  })
})

// Independent computation: direct sums of binomial terms in whole numbers.
describe('binomial sums by the incomplete beta function', () => {
  const cases = [1, 2, 5, 13, 40, 200].flatMap((n) =>
    [0, 1, Math.floor(n / 3), n - 1].flatMap((k) => [1n, 7n, 13n, 19n].map((a) => [k, n, a] as const)),
  )
  test.each(cases)('P(X ≤ %i) of %i trials of chance %i/20', (k, n, a) => {
    expect(binomialAtMost(k, n, Number(a) / 20)).toBeCloseTo(sumOfBinomials(k, n, a, 20n), 12)
  })

  test.each([
    [0, 6],
    [1, 6],
    [3, 10],
    [10, 10],
    [17, 120],
  ])('an end of the interval of %i of %i leaves 2.5 %% outside', (k, n) => {
    const { from, to } = clopperPearson(k, n)
    // As fractions of a million millionth: fine enough for nine digits.
    const scale = 10n ** 12n
    const fraction = (p: number): bigint => BigInt(Math.round(p * 1e12))
    if (k > 0) expect(1 - sumOfBinomials(k - 1, n, fraction(from), scale)).toBeCloseTo(0.025, 9)
    if (k < n) expect(sumOfBinomials(k, n, fraction(to), scale)).toBeCloseTo(0.025, 9)
  })
})

test('the incomplete beta function has its ends and its mirror', () => {
  expect(incompleteBeta(0, 2, 3)).toBe(0)
  expect(incompleteBeta(1, 2, 3)).toBe(1)
  expect(incompleteBeta(0.3, 2.5, 4)).toBeCloseTo(1 - incompleteBeta(0.7, 4, 2.5), 14)
  expect(incompleteBeta(0.3, 1, 1)).toBeCloseTo(0.3, 14)
})

// Table of Student's t, two-sided 95 %: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2.
test.each([
  [1, '12.706'],
  [2, '4.303'],
  [5, '2.571'],
  [10, '2.228'],
  [30, '2.042'],
  [100, '1.984'],
])('t of %i degrees of freedom is %s', (freedom, t) => expect(studentT(freedom).toFixed(3)).toBe(t))
