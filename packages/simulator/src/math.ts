/**
 * The few functions the models need, from additions and multiplications only.
 *
 * The language leaves the last digit of `Math.exp` and its relatives to the engine. One digit that
 * differs can turn one bit of a payload, and a recording would no longer be the same everywhere.
 */

const LN2_HIGH = 0.6931471803691238 // upper 33 bits of ln 2, so that k × LN2_HIGH is exact
const LN2_LOW = 1.9082149292705877e-10
const TWO_PI = 2 * Math.PI

/** e to the power x, for −700 ≤ x ≤ 700; relative error below 1e-14. */
export function exp(x: number): number {
  const k = Math.round(x / (LN2_HIGH + LN2_LOW))
  const r = x - k * LN2_HIGH - k * LN2_LOW
  let term = 1
  let sum = 1
  for (let n = 1; n <= 13; n++) {
    term *= r / n
    sum += term
  }
  return sum * powerOfTwo(k)
}

/** Natural logarithm of a positive number; relative error below 1e-14. */
export function ln(x: number): number {
  let mantissa = x
  let exponent = 0
  while (mantissa > Math.SQRT2) {
    mantissa /= 2
    exponent++
  }
  while (mantissa < Math.SQRT1_2) {
    mantissa *= 2
    exponent--
  }
  // ln m = 2·(z + z³/3 + z⁵/5 + …) with z = (m − 1)/(m + 1), |z| ≤ 0.172
  const z = (mantissa - 1) / (mantissa + 1)
  const zSquared = square(z)
  let power = z
  let sum = z
  for (let n = 3; n <= 19; n += 2) {
    power *= zSquared
    sum += power / n
  }
  return 2 * sum + exponent * (LN2_HIGH + LN2_LOW)
}

/** x·x: `**` is no more fixed to the last digit than `Math.pow`. */
export function square(x: number): number {
  return x * x
}

/** A positive number to any power. */
export function power(base: number, exponent: number): number {
  return exp(exponent * ln(base))
}

/** Sine of an angle in radians, |x| below 1e6; absolute error below 1e-9. */
export function sine(x: number): number {
  const turns = Math.round(x / TWO_PI)
  const r = x - turns * TWO_PI
  // Inside ±π; the series is folded to ±π/2, where it converges fast.
  const folded = r > TWO_PI / 4 ? TWO_PI / 2 - r : r < -TWO_PI / 4 ? -TWO_PI / 2 - r : r
  const foldedSquared = square(folded)
  let term = folded
  let sum = folded
  for (let n = 2; n <= 14; n += 2) {
    term *= -foldedSquared / (n * (n + 1))
    sum += term
  }
  return sum
}

/** A number held between two others. */
export function clamp(x: number, low: number, high: number): number {
  return Math.min(Math.max(x, low), high)
}

/** Straight lines between points `[x, y]` in rising x; flat outside them. */
export function interpolate(points: readonly (readonly [number, number])[], x: number): number {
  let left = points[0] as readonly [number, number]
  if (x <= left[0]) return left[1]
  for (let i = 1; i < points.length; i++) {
    const right = points[i] as readonly [number, number]
    if (x <= right[0]) return left[1] + ((right[1] - left[1]) * (x - left[0])) / (right[0] - left[0])
    left = right
  }
  return left[1]
}

/** What a first-order lag moves towards its goal in one step (implicit Euler: stable at any step length). */
export function lagShare(step: number, timeConstant: number): number {
  return timeConstant <= 0 ? 1 : step / (timeConstant + step)
}

function powerOfTwo(k: number): number {
  let result = 1
  for (let n = Math.abs(k); n > 0; n--) result *= k > 0 ? 2 : 0.5
  return result
}
