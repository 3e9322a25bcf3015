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

/**
 * Rows under one entry of the index: few, because at screen width the columns of an hour's recording have
 * some hundred rows, and what lies at a column's edges is read row by row.
 */
const RUN_ROWS = 32
/** Rows read in one go while the index is made. */
const CHUNK_ROWS = 256 * RUN_ROWS

/** First, least, greatest and last of values; none of them a value where there is none. */
class Extent {
  first = Number.NaN
  least = Number.POSITIVE_INFINITY
  greatest = Number.NEGATIVE_INFINITY
  last = Number.NaN

  get isEmpty(): boolean {
    return this.least > this.greatest
  }

  add(first: number, least: number, greatest: number, last: number): void {
    if (this.isEmpty) this.first = first
    this.last = last
    if (least < this.least) this.least = least
    if (greatest > this.greatest) this.greatest = greatest
  }

  addValues(values: Float64Array, from: number, to: number): void {
    let first = Number.NaN
    let least = Number.POSITIVE_INFINITY
    let greatest = Number.NEGATIVE_INFINITY
    let last = Number.NaN
    for (let i = from; i < to; i++) {
      const value = values[i]
      if (Number.isNaN(value)) continue
      if (least > greatest) first = value
      last = value
      if (value < least) least = value
      if (value > greatest) greatest = value
    }
    if (least <= greatest) this.add(first, least, greatest, last)
  }
}

/** The index of one signal; made anew where the signal has grown. */
export class OverviewIndex {
  readonly #signal: Signal
  /** Room for the rows at a column's edges: a new array for each would cost more than reading them. */
  readonly #edge = new Float64Array(2 * RUN_ROWS)
  #rows = 0
  #first = new Float64Array(0)
  #least = new Float64Array(0)
  #greatest = new Float64Array(0)
  #last = new Float64Array(0)

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
    let rows = 0
    for (let column = 0; column < columns; column++) {
      const edge = from + ((to - from) * (column + 1)) / columns
      // The picture's last column takes the moment `to` itself. A column mostly has as many rows as the one before.
      const end = column === columns - 1 ? stream.rowAfter(to) : stream.rowAt(edge, start + rows)
      if (end > start) this.#fill(overview, column, start, end)
      rows = end - start
      start = end
    }
    return overview
  }

  #fill(overview: Overview, column: number, start: number, end: number): void {
    overview.count[column] = end - start
    const extent = new Extent()
    const firstRun = Math.ceil(start / RUN_ROWS)
    const lastRun = Math.floor(end / RUN_ROWS)
    if (firstRun >= lastRun) {
      this.#addRows(extent, start, end)
    } else {
      this.#addRows(extent, start, firstRun * RUN_ROWS)
      for (let run = firstRun; run < lastRun; run++) {
        if (this.#least[run] > this.#greatest[run]) continue
        extent.add(this.#first[run], this.#least[run], this.#greatest[run], this.#last[run])
      }
      this.#addRows(extent, lastRun * RUN_ROWS, end)
    }
    if (extent.isEmpty) return
    overview.first[column] = extent.first
    overview.least[column] = extent.least
    overview.greatest[column] = extent.greatest
    overview.last[column] = extent.last
  }

  /** Adds less than two runs, read one by one. */
  #addRows(extent: Extent, from: number, to: number): void {
    if (to > from) extent.addValues(this.#signal.values(from, to, this.#edge), 0, to - from)
  }

  #update(): void {
    const { count } = this.#signal
    if (count === this.#rows) return
    this.#rows = count
    const runs = Math.floor(count / RUN_ROWS)
    this.#first = new Float64Array(runs)
    this.#least = new Float64Array(runs)
    this.#greatest = new Float64Array(runs)
    this.#last = new Float64Array(runs)
    const values = new Float64Array(CHUNK_ROWS)
    for (let row = 0; row < runs * RUN_ROWS; row += CHUNK_ROWS) {
      const rows = Math.min(CHUNK_ROWS, runs * RUN_ROWS - row)
      this.#signal.values(row, row + rows, values)
      for (let i = 0; i < rows; i += RUN_ROWS) this.#note((row + i) / RUN_ROWS, values, i)
    }
  }

  #note(run: number, values: Float64Array, from: number): void {
    const extent = new Extent()
    extent.addValues(values, from, from + RUN_ROWS)
    this.#first[run] = extent.first
    this.#least[run] = extent.least
    this.#greatest[run] = extent.greatest
    this.#last[run] = extent.last
  }
}
