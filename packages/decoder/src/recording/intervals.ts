/**
 * How regularly something comes, in constant memory: a histogram of the intervals between its
 * messages, sixteen buckets to each doubling, with the sums that make mean and deviation exact. Doublings
 * that were not met take no room, so that a log of many identifiers stays small too.
 */

/** Buckets cover 2⁰ to 2⁴⁸ microseconds: up to nine years. */
const OCTAVES = 48
const BUCKETS = OCTAVES * 16
/** An interval of more than this many periods is a gap. Source: common practice. */
const GAP_PERIODS = 3
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

/** What is known where there are no intervals. */
export const NO_INTERVALS: IntervalReport = { period: null, jitter: null, gaps: 0, longestGaps: [] }

/** Collects the times of one kind of message. */
export class Intervals {
  #last = Number.NaN
  #count = 0
  /** Of each doubling that was met, sixteen buckets of three numbers: how many, their sum, their squares' sum. */
  readonly #octaves: (Float64Array | undefined)[] = []
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
    const bucket = bucketOf(interval)
    let octave = this.#octaves[bucket >>> 4]
    if (octave === undefined) {
      octave = new Float64Array(16 * 3)
      this.#octaves[bucket >>> 4] = octave
    }
    const at = (bucket & 15) * 3
    octave[at]++
    octave[at + 1] += interval
    octave[at + 2] += interval * interval
    this.#count++
    if (interval > this.#shortestKept) this.#keep({ from, to: time })
  }

  report(): IntervalReport {
    const period = this.#median()
    if (period === null) return NO_INTERVALS
    const longest = bucketOf(GAP_PERIODS * period)
    const { count, sum, squares } = this.#sumsOf(0, longest)
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
    if (this.#count === 0) return null
    let seen = 0
    let bucket = -1
    while (seen < (this.#count + 1) / 2) seen += this.#sumsOf(++bucket, bucket).count
    const { count, sum } = this.#sumsOf(bucket - 1, bucket + 1)
    return sum / count
  }

  /** Sums over some buckets, both ends included. */
  #sumsOf(first: number, last: number): { count: number; sum: number; squares: number } {
    const sums = { count: 0, sum: 0, squares: 0 }
    for (let bucket = Math.max(0, first); bucket <= Math.min(BUCKETS - 1, last); bucket++) {
      const octave = this.#octaves[bucket >>> 4]
      if (octave === undefined) continue
      const at = (bucket & 15) * 3
      sums.count += octave[at]
      sums.sum += octave[at + 1]
      sums.squares += octave[at + 2]
    }
    return sums
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
