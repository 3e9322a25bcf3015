/**
 * Times as a log prints them → one clean time line, in integer microseconds.
 *
 * The time line never falls more than a second behind its latest point. What had to be done for that,
 * and what was odd about the times, is in the {@link ClockReport}.
 */
import type { TimeForm } from './time.js'

/**
 * A silence of all nodes longer than this is a hole. The parameter groups every running engine sends
 * have periods of 10 ms to 1 s (from memory), so a bus with one live node on it is never silent for
 * longer; four recordings (three of trucks, one of a bench; public dataset) have no silence between 0.2 s
 * and 22 s. A hole
 * across all nodes is probably the recorder's.
 */
export const HOLE_MICROS = 1_000_000
/**
 * Times this far behind the latest are a clock that was set back. Less is two interfaces handing over
 * their frames late: 0.024 s at most in a recording with two (public dataset). The limit is common practice.
 */
export const STEP_MICROS = 1_000_000
/** A silence longer than a day is a jump: the clock was set, or two recordings stand in one file. Common practice. */
export const JUMP_MICROS = 86_400_000_000
/** Times kept in each list of a report by default; all are counted. */
export const DEFAULT_MAX_CLOCK_EVENTS = 1000
/**
 * Seconds from here on are an absolute time (March 1973), never a difference from the line before nor
 * from the start of the recording, which would have run for three years.
 */
export const ABSOLUTE_FROM_MICROS = 100_000_000_000_000

/** A stretch without any frame, on the clean time line. */
export interface ClockGap {
  /** The last frame before it, in microseconds. */
  readonly from: number
  /** The first frame behind it. */
  readonly to: number
}

/** A clock that was set back while it recorded. */
export interface ClockStep {
  /** The clean time from which on the log's times are moved, in microseconds. */
  readonly at: number
  /** How far the printed times fell back, in microseconds, greater than 0. */
  readonly step: number
}

/** A line whose time is far ahead of all others. */
export interface ClockStray {
  /** The time it was given: the latest one known, in microseconds. */
  readonly at: number
  /** The time it shows. */
  readonly printed: number
}

/** Things of one kind: how many there were, and the first ones. */
export interface ClockList<T> {
  readonly total: number
  readonly kept: readonly T[]
}

/** What the times of a log were like. */
export interface ClockReport {
  /** Whether the times are differences from the line before, and were summed. */
  readonly deltas: boolean
  /**
   * Whether the first time is an absolute one, so that times are since the epoch; else they are counted from
   * the log's own zero.
   */
  readonly dated: boolean
  /** Earliest and latest point of the clean time line, in microseconds; undefined if no line had a time. */
  readonly first: number | undefined
  readonly last: number | undefined
  /** Lines without a time, or that steps and leaps would bring past exact microseconds; they took the latest time known. */
  readonly untimed: number
  /** Lines a little before the latest time known, left as they are, and by how much at most, in microseconds. */
  readonly backwards: { readonly count: number; readonly largest: number }
  /** Clocks set back; later times are continued from the latest one. */
  readonly steps: ClockList<ClockStep>
  /** Silences longer than {@link HOLE_MICROS}. */
  readonly holes: ClockList<ClockGap>
  /**
   * Silences longer than {@link JUMP_MICROS}; not among the holes. Times are left as they are, but for the
   * first line behind a jump: it takes the latest time before, since only the next line shows that the time
   * was no {@link ClockStray}.
   */
  readonly jumps: ClockList<ClockGap>
  /**
   * Lines more than {@link JUMP_MICROS} ahead of the latest time, which the next line did not bear out: a
   * damaged digit. They took the latest time known and moved nothing.
   */
  readonly strays: ClockList<ClockStray>
}

/** How a {@link Clock} takes times. */
export interface ClockOptions {
  /** Whether times in seconds are differences from the line before. Default false. See {@link looksLikeDeltas}. */
  readonly deltas?: boolean
  /** Silence that is a hole, in microseconds. Default {@link HOLE_MICROS}. */
  readonly hole?: number
  /** Length of each list in the report. Default {@link DEFAULT_MAX_CLOCK_EVENTS}. */
  readonly maxEvents?: number
}

/** No time has been seen yet. */
const NEVER = Number.NEGATIVE_INFINITY
/** A silence that no two times have between them. */
const NO_SILENCE = -1

/** Puts the times of one log, line by line, on one time line. */
export class Clock {
  readonly #deltas: boolean
  readonly #hole: number
  readonly #maxEvents: number
  /** The longest silence that needs no second look. */
  readonly #usual: number
  #first = NEVER
  #latest = NEVER
  /** What is added to printed times, and what was before the last step. */
  #offset = 0
  #otherOffset = 0
  #untimed = 0
  #backwards = 0
  #largestBackwards = 0
  readonly #steps: MutableList<ClockStep> = { total: 0, kept: [] }
  readonly #holes: MutableList<ClockGap> = { total: 0, kept: [] }
  readonly #jumps: MutableList<ClockGap> = { total: 0, kept: [] }
  readonly #strays: MutableList<ClockStray> = { total: 0, kept: [] }
  /** The last stray on the clean time line, and the latest time when it came; the next line may bear it out. */
  #strayAt = NEVER
  #strayAfter = NEVER
  #dated = false

  constructor(options: ClockOptions = {}) {
    this.#deltas = options.deltas ?? false
    this.#hole = options.hole ?? HOLE_MICROS
    this.#maxEvents = options.maxEvents ?? DEFAULT_MAX_CLOCK_EVENTS
    this.#usual = this.#deltas ? NO_SILENCE : this.#hole
  }

  /**
   * Takes the time of the next line.
   *
   * @param time microseconds as printed; without a meaning where the form is `none`
   * @returns the time to use
   */
  push(time: number, form: TimeForm = 'seconds'): number {
    const at = time + this.#offset
    const silence = at - this.#latest
    if (silence >= 0 && silence <= this.#usual && form !== 'none') {
      this.#latest = at
      return at
    }
    return this.#takeUnusual(time, form)
  }

  /**
   * Takes the times of several lines, in seconds: as {@link push} of each, a line at a time.
   *
   * @param times microseconds as printed in rows `from` to `to` (not included); the times to use take their places
   */
  pushRows(times: Float64Array, from: number, to: number): void {
    let latest = this.#latest
    let offset = this.#offset
    for (let row = from; row < to; row++) {
      const at = times[row] + offset
      const silence = at - latest
      if (silence >= 0 && silence <= this.#usual) {
        latest = at
        times[row] = at
        continue
      }
      this.#latest = latest
      times[row] = this.#takeUnusual(times[row], 'seconds')
      latest = this.#latest
      offset = this.#offset
    }
    this.#latest = latest
  }

  /** What the times pushed so far were like. */
  report(): ClockReport {
    const timed = this.#latest !== NEVER
    return {
      deltas: this.#deltas,
      dated: this.#dated,
      first: timed ? this.#first : undefined,
      last: timed ? this.#latest : undefined,
      untimed: this.#untimed,
      backwards: { count: this.#backwards, largest: this.#largestBackwards },
      steps: copyOf(this.#steps),
      holes: copyOf(this.#holes),
      jumps: copyOf(this.#jumps),
      strays: copyOf(this.#strays),
    }
  }

  #takeUnusual(time: number, form: TimeForm): number {
    if (form === 'none') {
      this.#untimed++
      return this.#latest === NEVER ? 0 : this.#latest
    }
    const isDelta = this.#deltas && form === 'seconds' && time < ABSOLUTE_FROM_MICROS
    if (this.#latest === NEVER) {
      this.#dated = form === 'date' || time >= ABSOLUTE_FROM_MICROS
      this.#first = time
      this.#latest = time
      return time
    }
    if (isDelta) return this.#advance(this.#latest + time)
    this.#chooseOffset(time)
    const at = time + this.#offset
    const behind = this.#latest - at
    if (behind < -JUMP_MICROS && at <= Number.MAX_SAFE_INTEGER && !this.#isBorneOut(at)) return this.#stray(at, time)
    if (behind <= 0) return this.#advance(at)
    return behind < STEP_MICROS ? this.#fallBehind(at, behind) : this.#continueFrom(behind)
  }

  /**
   * Goes back to the offset before the last step where that makes the time an ordinary one: a clock that
   * was set back and then right again, or two interfaces whose clocks differ by more than a second.
   * Otherwise their lines, taking turns, would push the time line on at every turn.
   */
  #chooseOffset(time: number): void {
    const offset = this.#offset
    if (this.#isOrdinary(time + offset) || !this.#isOrdinary(time + this.#otherOffset)) return
    this.#offset = this.#otherOffset
    this.#otherOffset = offset
  }

  #isOrdinary(at: number): boolean {
    return at > this.#latest - STEP_MICROS && at <= this.#latest + this.#hole
  }

  /** Whether the line before was a stray that this time, near to it or behind it, shows to be none. */
  #isBorneOut(at: number): boolean {
    const isNext = this.#strayAfter === this.#latest
    if (!isNext || at <= this.#strayAt - STEP_MICROS || at > this.#strayAt + JUMP_MICROS) return false
    if (this.#strays.kept.length === this.#strays.total) this.#strays.kept.pop()
    this.#strays.total--
    return true
  }

  #stray(at: number, printed: number): number {
    this.#strayAt = at
    this.#strayAfter = this.#latest
    this.#record(this.#strays, { at: this.#latest, printed })
    return this.#latest
  }

  #advance(at: number): number {
    if (at > Number.MAX_SAFE_INTEGER) {
      this.#untimed++
      return this.#latest
    }
    const silence = at - this.#latest
    const list = silence > JUMP_MICROS ? this.#jumps : silence > this.#hole ? this.#holes : undefined
    if (list !== undefined) this.#record(list, { from: this.#latest, to: at })
    this.#latest = at
    return at
  }

  #fallBehind(at: number, behind: number): number {
    this.#backwards++
    this.#largestBackwards = Math.max(this.#largestBackwards, behind)
    this.#first = Math.min(this.#first, at)
    return at
  }

  #continueFrom(step: number): number {
    this.#otherOffset = this.#offset
    this.#offset += step
    this.#record(this.#steps, { at: this.#latest, step })
    return this.#latest
  }

  #record<T>(list: MutableList<T>, event: T): void {
    list.total++
    if (list.kept.length < this.#maxEvents) list.kept.push(event)
  }
}

interface MutableList<T> {
  total: number
  kept: T[]
}

function copyOf<T>(list: MutableList<T>): ClockList<T> {
  return { total: list.total, kept: [...list.kept] }
}

/**
 * Whether small times are differences from the line before, rather than counted from the start of the
 * recording. Both begin at zero. Times that count on grow; differences have no order. So of all pairs of
 * lines, take those whose times differ: where in more than one in eight the later line has the smaller
 * time, the times are differences.
 *
 * In windows of 64 lines of four recordings (three of trucks, one of a bench; public dataset), counted
 * times had at most 0.07 of such pairs (two interfaces out of step), differences at least 0.22. With half
 * as many lines the two overlap. Told wrongly: differences that are all alike, which are taken for counted
 * times that stand still, and two interfaces whose frames come in turns and whose clocks differ by more
 * than these lines last, which are taken for differences.
 *
 * @param times of the first lines, as printed; 64 are enough. Work grows with the square of their number.
 */
export function looksLikeDeltas(times: readonly number[]): boolean {
  let growing = 0
  let falling = 0
  for (let later = 1; later < times.length; later++) {
    for (let earlier = 0; earlier < later; earlier++) {
      const growth = times[later] - times[earlier]
      if (growth > 0) growing++
      else if (growth < 0) falling++
    }
  }
  return falling * 8 > growing + falling
}
