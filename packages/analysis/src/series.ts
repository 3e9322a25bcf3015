/**
 * Arithmetic on samples: windows, medians, slopes, crossings, stretches. Everything takes and gives
 * plain columns; times are integer microseconds. Samples without a value (NaN) count nowhere.
 */
import type { Samples, Signal } from '@firstcrank/decoder'
import type { Span } from './model.js'

/** Microseconds in a second. */
export const SECOND = 1_000_000
/** Microseconds in a minute. */
export const MINUTE: number = 60 * SECOND

/** No samples: what a signal has that is not on the bus. */
export const NO_SAMPLES: Samples = { time: new Float64Array(0), value: new Float64Array(0) }

/** The length of a stretch, in seconds. */
export function secondsOf({ from, to }: Span): number {
  return (to - from) / SECOND
}

/** The part of samples between two times, both included: a view of the same columns. */
export function windowOf({ time, value }: Samples, from: number, to: number): Samples {
  const first = firstAt(time, from)
  const end = firstAfter(time, to)
  return { time: time.subarray(first, end), value: value.subarray(first, Math.max(first, end)) }
}

/** Samples that hold a value, in columns of their own. */
export function validOf({ time, value }: Samples): Samples {
  let count = 0
  for (let i = 0; i < value.length; i++) if (!Number.isNaN(value[i] as number)) count++
  if (count === value.length) return { time, value }
  const out = { time: new Float64Array(count), value: new Float64Array(count) }
  let at = 0
  for (let i = 0; i < value.length; i++) {
    if (Number.isNaN(value[i] as number)) continue
    out.time[at] = time[i] as number
    out.value[at++] = value[i] as number
  }
  return out
}

/** The middle value; null of none. */
export function median(values: ArrayLike<number>): number | null {
  return quantile(values, 0.5)
}

/** The value below which a share of all lies, between neighbours in a straight line; null of none. */
export function quantile(values: ArrayLike<number>, share: number): number | null {
  const numbers = new Float64Array(values)
  let count = 0
  for (let i = 0; i < numbers.length; i++) {
    const value = numbers[i] as number
    if (!Number.isNaN(value)) numbers[count++] = value
  }
  if (count === 0) return null
  const at = share * (count - 1)
  const rank = Math.floor(at)
  const low = select(numbers.subarray(0, count), rank)
  if (at === rank) return low
  let high = Number.POSITIVE_INFINITY
  for (let i = rank + 1; i < count; i++) high = Math.min(high, numbers[i] as number)
  return low + (high - low) * (at - rank)
}

/**
 * The number of a rank, counted from the smallest, and whatever is greater behind it (Hoare's selection). An
 * hour of a fast message is half a million intervals: sorting them took most of an analysis.
 */
function select(numbers: Float64Array, rank: number): number {
  let left = 0
  let right = numbers.length - 1
  while (left < right) {
    const pivot = numbers[(left + right) >>> 1] as number
    let low = left
    let high = right
    while (low <= high) {
      while ((numbers[low] as number) < pivot) low++
      while ((numbers[high] as number) > pivot) high--
      if (low > high) break
      const moved = numbers[low] as number
      numbers[low++] = numbers[high] as number
      numbers[high--] = moved
    }
    if (rank <= high) right = high
    else if (rank >= low) left = low
    else break
  }
  return numbers[rank] as number
}

/** What lies between each and the next. */
export function intervalsOf(time: Float64Array): Float64Array {
  const intervals = new Float64Array(Math.max(0, time.length - 1))
  for (let i = 0; i < intervals.length; i++) intervals[i] = (time[i + 1] as number) - (time[i] as number)
  return intervals
}

/** Mean; null of none. */
export function mean(values: ArrayLike<number>): number | null {
  let sum = 0
  let count = 0
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number
    if (Number.isNaN(value)) continue
    sum += value
    count++
  }
  return count === 0 ? null : sum / count
}

/** Standard deviation of a sample (n − 1); null of fewer than two values. */
export function deviation(values: ArrayLike<number>): number | null {
  const middle = mean(values)
  if (middle === null) return null
  let sum = 0
  let count = 0
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number
    if (Number.isNaN(value)) continue
    sum += (value - middle) ** 2
    count++
  }
  return count < 2 ? null : Math.sqrt(sum / (count - 1))
}

/** Least and greatest value and when each first came. */
export interface Extremes {
  readonly min: number
  readonly minAt: number
  readonly max: number
  readonly maxAt: number
}

/** Least and greatest value; null where there is none. */
export function extremes({ time, value }: Samples): Extremes | null {
  let least = -1
  let most = -1
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number
    if (Number.isNaN(v)) continue
    if (least < 0 || v < (value[least] as number)) least = i
    if (most < 0 || v > (value[most] as number)) most = i
  }
  if (least < 0) return null
  return {
    min: value[least] as number,
    minAt: time[least] as number,
    max: value[most] as number,
    maxAt: time[most] as number,
  }
}

/** Slope of the least-squares line, per second; null where fewer than two instants have a value. */
export function slope({ time, value }: Samples): number | null {
  const middleTime = mean(time.filter((_, i) => !Number.isNaN(value[i] as number)))
  const middleValue = mean(value)
  if (middleTime === null || middleValue === null) return null
  let products = 0
  let squares = 0
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number
    if (Number.isNaN(v)) continue
    const t = ((time[i] as number) - middleTime) / SECOND
    products += t * (v - middleValue)
    squares += t * t
  }
  return squares === 0 ? null : products / squares
}

/**
 * The value in force at a time: that of the last sample at or before it that holds one.
 *
 * @param maxAge microseconds after which a value is no longer in force
 */
export function valueAt(samples: Samples, time: number, maxAge: number = Number.POSITIVE_INFINITY): number | null {
  for (let i = firstAfter(samples.time, time) - 1; i >= 0; i--) {
    if (time - (samples.time[i] as number) > maxAge) return null
    const value = samples.value[i] as number
    if (!Number.isNaN(value)) return value
  }
  return null
}

/** The values in force at given times, NaN where there was none; `times` ascending. See {@link valueAt}. */
export function valuesAt(samples: Samples, times: Float64Array, maxAge: number): Float64Array {
  const { time: rowTimes, value: rowValues } = samples
  const rows = rowTimes.length
  const out = new Float64Array(times.length)
  // What is older than that is not in force at any of the times; a short window need not read an hour before it.
  let row = times.length === 0 ? 0 : firstAt(rowTimes, (times[0] as number) - maxAge)
  let lastTime = Number.NEGATIVE_INFINITY
  let last = Number.NaN
  for (let i = 0; i < times.length; i++) {
    const time = times[i] as number
    for (; row < rows && (rowTimes[row] as number) <= time; row++) {
      const value = rowValues[row] as number
      if (Number.isNaN(value)) continue
      last = value
      lastTime = rowTimes[row] as number
    }
    out[i] = time - lastTime <= maxAge ? last : Number.NaN
  }
  return out
}

/** Samples at equal steps from `from` to `to`, each the value in force then. All times in microseconds. */
export function resample(samples: Samples, from: number, to: number, step: number, maxAge: number = 3 * step): Samples {
  const count = to < from ? 0 : Math.floor((to - from) / step) + 1
  const time = Float64Array.from({ length: count }, (_, i) => from + i * step)
  return { time, value: valuesAt(samples, time, maxAge) }
}

/** The time of the first sample with a value for which a condition holds; null where none does. */
export function firstTime({ time, value }: Samples, holds: (value: number) => boolean): number | null {
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number
    if (!Number.isNaN(v) && holds(v)) return time[i] as number
  }
  return null
}

/** What makes a stretch. Times in microseconds. */
export interface StretchRule {
  /** Shorter ones are left out. Default 0. */
  readonly atLeast?: number
  /** Interruptions up to this long, by values or by silence, do not end one. Default: none by values, any silence. */
  readonly bridge?: number
  /** A silence longer than this ends one. Default none. */
  readonly maxGap?: number
}

/** Stretches in which a condition on the value holds, from the first to the last sample of each. */
export function stretches(samples: Samples, holds: (value: number) => boolean, rule: StretchRule = {}): Span[] {
  const { atLeast = 0, bridge = 0, maxGap = Number.POSITIVE_INFINITY } = rule
  const { time, value } = validOf(samples)
  const found: { from: number; to: number }[] = []
  let open: { from: number; to: number } | undefined
  for (let i = 0; i < value.length; i++) {
    const at = time[i] as number
    if (open !== undefined && i > 0 && at - (time[i - 1] as number) > maxGap) open = undefined
    if (!holds(value[i] as number)) {
      if (open !== undefined && at - open.to > bridge) open = undefined
      continue
    }
    if (open === undefined) {
      open = { from: at, to: at }
      found.push(open)
    }
    open.to = at
  }
  return found.filter(({ from, to }) => to - from >= atLeast)
}

/** The running median over a window that ends at each sample, `width` microseconds long. */
export function runningMedian(samples: Samples, width: number): Samples {
  const { time, value } = validOf(samples)
  const out = new Float64Array(value.length)
  const sorted: number[] = []
  let first = 0
  for (let i = 0; i < value.length; i++) {
    insertSorted(sorted, value[i] as number)
    while ((time[i] as number) - (time[first] as number) > width) removeSorted(sorted, value[first++] as number)
    const middle = sorted.length >> 1
    out[i] =
      sorted.length % 2 === 1
        ? (sorted[middle] as number)
        : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2
  }
  return { time, value: out }
}

/** The usual time between samples: the median interval, in microseconds; null of fewer than two. */
export function periodOf(time: Float64Array): number | null {
  return median(intervalsOf(time))
}

/** The smallest step a signal can show, in its unit; 1 for codes. */
export function resolutionOf(signal: Signal): number {
  return signal.definition.kind === 'numeric' ? signal.definition.resolution : 1
}

/** The parts of a span that lie in none of the others, which are in order of time. */
export function without(span: Span, others: readonly Span[]): Span[] {
  const parts: Span[] = []
  let from = span.from
  for (const other of others) {
    if (other.to < from || other.from > span.to) continue
    if (other.from > from) parts.push({ from, to: other.from })
    from = Math.max(from, other.to)
  }
  if (from < span.to || (parts.length === 0 && from === span.from)) parts.push({ from, to: span.to })
  return parts
}

/**
 * Tells whether a stretch touches any of some spans, both ends included. It is asked in order of time, for
 * each span is looked at only once: a long recording has half a million stretches and a thousand spans.
 */
export function touchesAny(spans: readonly Span[]): (from: number, to: number) => boolean {
  const ordered = [...spans].sort((a, b) => a.from - b.from)
  let next = 0
  let until = Number.NEGATIVE_INFINITY
  return (from, to) => {
    for (; next < ordered.length && (ordered[next] as Span).from <= to; next++) {
      until = Math.max(until, (ordered[next] as Span).to)
    }
    return until >= from
  }
}

/** The common part of two spans; undefined where they do not touch. */
export function overlap(a: Span, b: Span): Span | undefined {
  const from = Math.max(a.from, b.from)
  const to = Math.min(a.to, b.to)
  return from <= to ? { from, to } : undefined
}

/** Index of the first time not before `at`. */
export function firstAt(time: Float64Array, at: number): number {
  return search(time, (t) => t < at)
}

/** Index of the first time after `at`. */
export function firstAfter(time: Float64Array, at: number): number {
  return search(time, (t) => t <= at)
}

function search(time: Float64Array, isBefore: (time: number) => boolean): number {
  let low = 0
  let high = time.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if (isBefore(time[middle] as number)) low = middle + 1
    else high = middle
  }
  return low
}

function insertSorted(sorted: number[], value: number): void {
  sorted.splice(rankOf(sorted, value), 0, value)
}

function removeSorted(sorted: number[], value: number): void {
  sorted.splice(rankOf(sorted, value), 1)
}

function rankOf(sorted: readonly number[], value: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((sorted[middle] as number) < value) low = middle + 1
    else high = middle
  }
  return low
}
