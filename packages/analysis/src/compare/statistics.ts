/**
 * What counts and times prove, exactly: no normal approximation of a count anywhere.
 *
 * Sources: bound for zero events, a research institute's article on the rule of three; two Poisson
 * rates by the conditional binomial, the handbook of a statistics package's test for their ratio; interval
 * of a proportion, Clopper and Pearson 1934; incomplete beta function by its continued fraction, NIST
 * Digital Library of Mathematical Functions, 8.17.22.
 */

/** Chance of a wrong statement that is accepted. Common practice: one in twenty. */
export const ALPHA = 0.05

/** Coefficients of the Lanczos approximation of the gamma function, g = 7, n = 9. Published; good to 15 digits. */
const LANCZOS: readonly number[] = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
]

/** Logarithm of the gamma function of a positive number. */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x)
  const shifted = x - 1
  const base = shifted + 7.5
  const sum = LANCZOS.reduce((total, c, i) => total + (i === 0 ? c : c / (shifted + i)), 0)
  return 0.5 * Math.log(2 * Math.PI) + (shifted + 0.5) * Math.log(base) - base + Math.log(sum)
}

const MOST_TERMS = 10_000
const TINY = 1e-300

/** The regularised incomplete beta function I_x(a, b); a, b > 0, 0 ≤ x ≤ 1. */
export function incompleteBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0
  if (x >= 1) return 1
  // The fraction converges fast below the mean; beyond it, the mirror is used.
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(1 - x, b, a)
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b)) / a
  return front / betaFraction(x, a, b)
}

/** The continued fraction of DLMF 8.17.22, by Lentz's method. */
function betaFraction(x: number, a: number, b: number): number {
  let value = 1
  let up = 1
  let down = 0
  for (let n = 1; n <= MOST_TERMS; n++) {
    const m = Math.floor(n / 2)
    const d =
      n % 2 === 0
        ? (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
        : (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    down = 1 / awayFromZero(1 + d * down)
    up = awayFromZero(1 + d / up)
    const step = up * down
    value *= step
    if (Math.abs(step - 1) < 1e-16) break
  }
  return value
}

const awayFromZero = (value: number): number => (Math.abs(value) < TINY ? TINY : value)

/** The x at which I_x(a, b) is `share`: by halving, to the last bit that changes anything. */
export function inverseIncompleteBeta(share: number, a: number, b: number): number {
  let low = 0
  let high = 1
  for (let i = 0; i < 200 && low < high; i++) {
    const middle = (low + high) / 2
    if (middle === low || middle === high) break
    if (incompleteBeta(middle, a, b) < share) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** P(X ≤ k) of X binomial with n trials of chance p. */
export function binomialAtMost(k: number, n: number, p: number): number {
  if (k < 0) return 0
  return k >= n ? 1 : incompleteBeta(1 - p, n - k, k + 1)
}

/** Both ends of an interval. */
export interface Interval {
  readonly from: number
  readonly to: number
}

/** The exact two-sided interval of a proportion, k of n, after Clopper and Pearson; n ≥ 1. */
export function clopperPearson(k: number, n: number, alpha: number = ALPHA): Interval {
  return {
    from: k === 0 ? 0 : inverseIncompleteBeta(alpha / 2, k, n - k + 1),
    to: k === n ? 1 : inverseIncompleteBeta(1 - alpha / 2, k + 1, n - k),
  }
}

/** Not seen in n trials: the greatest chance in each trial that remains possible, one-sided. 1 for no trial. */
export function zeroInTrials(n: number, alpha: number = ALPHA): number {
  return n <= 0 ? 1 : -Math.expm1(Math.log(alpha) / n)
}

/** Not seen in a time: the greatest rate that remains possible, one-sided; about 3 divided by the time. */
export function zeroInTime(time: number, alpha: number = ALPHA): number {
  return time <= 0 ? Number.POSITIVE_INFINITY : -Math.log(alpha) / time
}

/** Two rates compared. Times are in one unit, whichever. */
export interface RateComparison {
  /** Chance to see so few events after, or fewer, if nothing changed; one-sided. */
  readonly p: number
  /** Rate after divided by rate before: two-sided interval. `to` is infinite where there were no events before. */
  readonly ratio: Interval
  /** Time that must pass without an event, in all, before so little is unlikely by chance; null without events before. */
  readonly needed: number | null
}

/**
 * Compares x events in a time before with those in a time after: on condition of the total, those after
 * are binomial with the share of time after.
 */
export function compareRates(
  before: { readonly events: number; readonly time: number },
  after: { readonly events: number; readonly time: number },
  alpha: number = ALPHA,
): RateComparison {
  const total = before.events + after.events
  const needed = neededTime(before.events, before.time, alpha)
  if (total === 0 || before.time <= 0 || after.time <= 0) {
    return { p: 1, ratio: { from: 0, to: Number.POSITIVE_INFINITY }, needed }
  }
  const share = clopperPearson(after.events, total, alpha)
  const ratio = (p: number): number => (p >= 1 ? Number.POSITIVE_INFINITY : ((p / (1 - p)) * before.time) / after.time)
  return {
    p: binomialAtMost(after.events, total, after.time / (before.time + after.time)),
    ratio: { from: ratio(share.from), to: ratio(share.to) },
    needed,
  }
}

/** How long nothing may be seen after x events in a time, before that is unlikely by chance; null of no events. */
export function neededTime(events: number, time: number, alpha: number = ALPHA): number | null {
  return events <= 0 ? null : time * ((1 / alpha) ** (1 / events) - 1)
}

/** Mean, variance of a sample and its size. */
export interface SampleStatistics {
  readonly mean: number
  readonly variance: number
  readonly count: number
}

/** Mean and variance; undefined of fewer than two values. */
export function statisticsOf(values: readonly number[]): SampleStatistics | undefined {
  const count = values.length
  if (count < 2) return undefined
  const mean = values.reduce((sum, value) => sum + value, 0) / count
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1)
  return { mean, variance, count }
}

/** The value that Student's t exceeds, either way, with chance alpha; any degrees of freedom above 0. */
export function studentT(freedom: number, alpha: number = ALPHA): number {
  // t² / (f + t²) has the beta distribution of ½ and f/2.
  const x = inverseIncompleteBeta(1 - alpha, 0.5, freedom / 2)
  return Math.sqrt((freedom * x) / (1 - x))
}
