/**
 * First, least, greatest and last value for each column of a picture, from an index of least and
 * greatest values over runs of rows: a window of ten million samples costs what one of ten thousand
 * does, and shows every spike.
 */
import type { Signal } from './signal.js'

/** One entry for each column of the picture; NaN where it has no value. */
export interface Overview {
  readonly first: Float64Array
  readonly least: Float64Array
  readonly greatest: Float64Array
  readonly last: Float64Array
  /** Messages in each column, with a value or without. */
  readonly count: Uint32Array
}

/** Rows under one entry of the index. */
const RUN_ROWS = 256

/** The index of one signal; made anew where the signal has grown. */
export class OverviewIndex {
  readonly #signal: Signal
  #rows = 0
  #least = new Float64Array(0)
  #greatest = new Float64Array(0)

  constructor(signal: Signal) {
    this.#signal = signal
  }

  /** See `Signal.overview`. */
  window(from: number, to: number, columns: number): Overview {
    this.#update()
    const { stream } = this.#signal
    const overview: Overview = {
      first: new Float64Array(columns).fill(Number.NaN),
      least: new Float64Array(columns).fill(Number.NaN),
      greatest: new Float64Array(columns).fill(Number.NaN),
      last: new Float64Array(columns).fill(Number.NaN),
      count: new Uint32Array(columns),
    }
    let start = stream.rowAt(from)
    for (let column = 0; column < columns; column++) {
      const edge = from + ((to - from) * (column + 1)) / columns
      // The picture's last column takes the moment `to` itself.
      const end = column === columns - 1 ? stream.rowAfter(to) : stream.rowAt(edge)
      if (end > start) this.#fill(overview, column, start, end)
      start = Math.max(start, end)
    }
    return overview
  }

  #fill(overview: Overview, column: number, start: number, end: number): void {
    overview.count[column] = end - start
    let least = Number.POSITIVE_INFINITY
    let greatest = Number.NEGATIVE_INFINITY
    const take = (low: number, high: number): void => {
      if (low < least) least = low
      if (high > greatest) greatest = high
    }
    const takeRows = (from: number, to: number): void => {
      for (const value of this.#signal.values(from, to)) take(value, value)
    }
    const firstRun = Math.ceil(start / RUN_ROWS)
    const lastRun = Math.floor(end / RUN_ROWS)
    if (firstRun >= lastRun) {
      takeRows(start, end)
    } else {
      takeRows(start, firstRun * RUN_ROWS)
      for (let run = firstRun; run < lastRun; run++) take(this.#least[run], this.#greatest[run])
      takeRows(lastRun * RUN_ROWS, end)
    }
    if (least > greatest) return
    overview.least[column] = least
    overview.greatest[column] = greatest
    overview.first[column] = this.#nearestValue(start, end, 1)
    overview.last[column] = this.#nearestValue(end - 1, start - 1, -1)
  }

  /** The first row with a value, going from one row towards another (not included). */
  #nearestValue(from: number, to: number, step: 1 | -1): number {
    for (let row = from; row !== to; row += step) {
      const value = this.#signal.values(row, row + 1)[0]
      if (!Number.isNaN(value)) return value
    }
    return Number.NaN
  }

  #update(): void {
    const rows = this.#signal.count
    if (rows === this.#rows) return
    this.#rows = rows
    const runs = Math.floor(rows / RUN_ROWS)
    this.#least = new Float64Array(runs)
    this.#greatest = new Float64Array(runs)
    for (let run = 0; run < runs; run++) {
      let least = Number.POSITIVE_INFINITY
      let greatest = Number.NEGATIVE_INFINITY
      for (const value of this.#signal.values(run * RUN_ROWS, (run + 1) * RUN_ROWS)) {
        if (value < least) least = value
        if (value > greatest) greatest = value
      }
      this.#least[run] = least
      this.#greatest[run] = greatest
    }
  }
}
