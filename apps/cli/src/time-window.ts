/** The stretch of a log somebody wants to see: it can be told only once the first frame is known. */
import { resolveBound, type ValueFilter } from './value-filter.js'

/** Times in microseconds on the log's own time line. */
export class TimeWindow {
  readonly #bounds: Pick<ValueFilter, 'from' | 'to'>
  #start = Number.NaN
  #from = Number.NEGATIVE_INFINITY
  #to = Number.POSITIVE_INFINITY

  constructor(bounds: Pick<ValueFilter, 'from' | 'to'>) {
    this.#bounds = bounds
  }

  /** The time of the log's first frame; NaN before it. */
  get start(): number {
    return this.#start
  }

  /** The last moment of interest. */
  get end(): number {
    return this.#to
  }

  /** Tells the time of a frame of any kind; the first one counts. */
  begin(time: number): void {
    if (!Number.isNaN(this.#start)) return
    this.#start = time
    this.#from = resolveBound(this.#bounds.from, time, Number.NEGATIVE_INFINITY)
    this.#to = resolveBound(this.#bounds.to, time, Number.POSITIVE_INFINITY)
  }

  /** Whether a moment is wanted; both ends are. */
  holds(time: number): boolean {
    return time >= this.#from && time <= this.#to
  }
}
