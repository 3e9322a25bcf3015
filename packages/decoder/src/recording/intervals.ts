/**
 * How regularly something comes, in constant memory: a histogram of the intervals between its
 * messages, sixteen buckets to each doubling, with the sums that make mean and deviation exact.
 */

/** Buckets cover 2⁰ to 2⁴⁸ microseconds: up to nine years. */
const OCTAVES = 48
const BUCKETS = OCTAVES * 16
/** An interval of more than this many periods is a gap. Source: common practice. */
export const GAP_PERIODS = 3
/** Longest intervals kept with their times. */
const LONGEST = 16

const float = new DataView(new ArrayBuffer(8))

/** Sixteen buckets an octave, from the number's own exponent and its first four mantissa bits. */
function bucketOf(interval: number): number {
  if (interval < 1) return 0
  float.setFloat64(0, interval)
  return Math.min(BUCKETS - 1, (float.getUint32(0) >>> 16) - (1023 << 4))
}

/** A stretch of time without a message that was due, in microseconds. */
export interface Gap {
  readonly from: number
  readonly to: number
}

/** What the intervals were like; times in microseconds. */
export interface IntervalReport {
  /** Median interval; null with fewer than two messages. */
  readonly period: number | null
  /** Standard deviation of the intervals that are no gaps; null with fewer than three messages. */
  readonly jitter: number | null
  /** Intervals of more than three periods, the recorder's own holes left out. */
  readonly gaps: number
  /** The longest of them, longest first. */
  readonly longestGaps: readonly Gap[]
}

/** Collects the times of one kind of message. */
export class Intervals {
  #last = Number.NaN
  #count = 0
  /** Per bucket: how many, their sum, the sum of their squares. Made at the first interval. */
  #counts: Uint32Array | undefined
  #sums = new Float64Array(0)
  #squares = new Float64Array(0)
  #longest: Gap[] = []
  #shortestKept = 0

  /**
   * Adds a message.
   *
   * @param time microseconds, not before the one added last
   * @param holeEnd end of the recorder's last hole: an interval that spans it says nothing
   */
  add(time: number, holeEnd: number = Number.NEGATIVE_INFINITY): void {
    const from = this.#last
    this.#last = time
    if (!(from >= holeEnd) || time < from) return
    const interval = time - from
    if (this.#counts === undefined) {
      this.#counts = new Uint32Array(BUCKETS)
      this.#sums = new Float64Array(BUCKETS)
      this.#squares = new Float64Array(BUCKETS)
    }
    const bucket = bucketOf(interval)
    this.#counts[bucket]++
    this.#sums[bucket] += interval
    this.#squares[bucket] += interval * interval
    this.#count++
    if (interval > this.#shortestKept) this.#keep({ from, to: time })
  }

  report(): IntervalReport {
    const period = this.#median()
    if (period === null) return { period: null, jitter: null, gaps: 0, longestGaps: [] }
    const longest = bucketOf(GAP_PERIODS * period)
    const { count, sum, squares } = this.#sumsUpTo(longest)
    const mean = sum / count
    return {
      period,
      jitter: count < 2 ? null : Math.sqrt(Math.max(0, squares / count - mean * mean)),
      gaps: this.#count - count,
      longestGaps: this.#longest.filter((gap) => bucketOf(gap.to - gap.from) > longest),
    }
  }

  /** The mean of the bucket that holds the median and, so that a bucket's edge makes no step, its neighbours. */
  #median(): number | null {
    const counts = this.#counts
    if (counts === undefined) return null
    let seen = 0
    let bucket = 0
    while (seen + counts[bucket] < (this.#count + 1) / 2) seen += counts[bucket++]
    let count = 0
    let sum = 0
    for (let i = Math.max(0, bucket - 1); i <= Math.min(BUCKETS - 1, bucket + 1); i++) {
      count += counts[i]
      sum += this.#sums[i]
    }
    return sum / count
  }

  #sumsUpTo(bucket: number): { count: number; sum: number; squares: number } {
    let count = 0
    let sum = 0
    let squares = 0
    for (let i = 0; i <= bucket; i++) {
      count += (this.#counts as Uint32Array)[i]
      sum += this.#sums[i]
      squares += this.#squares[i]
    }
    return { count, sum, squares }
  }

  #keep(gap: Gap): void {
    const at = this.#longest.findIndex((kept) => gap.to - gap.from > kept.to - kept.from)
    this.#longest.splice(at < 0 ? this.#longest.length : at, 0, gap)
    if (this.#longest.length <= LONGEST) return
    this.#longest.pop()
    const shortest = this.#longest[LONGEST - 1]
    this.#shortestKept = shortest.to - shortest.from
  }
}
