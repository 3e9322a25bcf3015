/** One SPN from one node on one channel over a whole recording. */
import type { GroupDefinition } from '../catalog/definition.js'
import type { Unit } from '../catalog/units.js'
import {
  type ColumnDefinition,
  type ColumnReader,
  columnReader,
  compileReader,
  type RawColumn,
  ROW_BYTES,
} from '../signal/column.js'
import { NOT_SENT, STATUSES, type Status, VALID } from '../signal/status.js'
import { checkRange, RecordingError } from './error.js'
import { type Overview, OverviewIndex } from './overview.js'
import { LONG, type Stream } from './stream.js'

/** Rows looked at in one go when a first value is sought. */
const SCAN_ROWS = 4_096

/** Samples of a signal: parallel columns. */
export interface Samples {
  /** Microseconds, ascending. */
  readonly time: Float64Array
  /** In the definition's unit; NaN where there was no value. */
  readonly value: Float64Array
}

/** A stretch of messages in which a signal's status was the same. */
export interface StatusInterval {
  readonly status: Status
  /** Time of the first and the last message of it, in microseconds. */
  readonly from: number
  readonly to: number
  readonly count: number
}

/** A signal of a recording: what its messages say, read when asked for. */
export class Signal {
  readonly group: GroupDefinition
  readonly definition: ColumnDefinition
  readonly stream: Stream
  /** Which of the group's repeated blocks, from 0; undefined where it is not in one. */
  readonly instance: number | undefined
  readonly #reader: ColumnReader
  /** How long a payload must be to hold it; of a repeated block, to hold the whole block. */
  readonly #bytesNeeded: number
  #overview: OverviewIndex | undefined

  constructor(group: GroupDefinition, definition: ColumnDefinition, stream: Stream, instance?: number) {
    this.group = group
    this.definition = definition
    this.stream = stream
    this.instance = instance
    const { repeat } = group
    if (instance === undefined || repeat === undefined) {
      this.#reader = columnReader(definition)
      this.#bytesNeeded = this.#reader.lastByte + 1
    } else {
      const blockStart = repeat.at - 1 + instance * repeat.bytes
      this.#reader = compileReader(definition, blockStart)
      this.#bytesNeeded = blockStart + repeat.bytes
    }
  }

  /** Suspect parameter number. */
  get spn(): number {
    return this.definition.spn
  }

  /** Unit of its values; null of states and flags. */
  get unit(): Unit | null {
    return this.definition.kind === 'numeric' ? this.definition.unit : null
  }

  /** Messages that carry it. */
  get count(): number {
    return this.stream.count
  }

  /**
   * Values of rows `from` to `to` (not included); NaN where there was none.
   *
   * @param given where they go, from its beginning; what it holds behind them is left as it is
   * @throws {RecordingError} `bad-range`
   */
  values(from = 0, to: number = this.count, given?: Float64Array): Float64Array {
    checkRange(from, to, this.count, given?.length)
    const out = given ?? new Float64Array(to - from)
    this.stream.eachBlock(from, to, (block, start, end, row) => {
      this.#reader.values(block.bytes, start, end, out, row - from)
    })
    if (!this.#cutIsNaN) {
      this.#mend(from, to, (payload, i) => {
        out[i] = payload === undefined ? Number.NaN : this.#reader.value(payload, 0)
      })
    }
    return out
  }

  /**
   * Status codes of rows `from` to `to` (not included), see `STATUSES`.
   *
   * @throws {RecordingError} `bad-range`
   */
  statuses(from = 0, to: number = this.count): Uint8Array {
    checkRange(from, to, this.count)
    const out = new Uint8Array(to - from)
    this.stream.eachBlock(from, to, (block, start, end, row) => {
      this.#reader.statuses(block.bytes, start, end, out, row - from)
    })
    this.#mend(from, to, (payload, i) => {
      out[i] = payload === undefined ? NOT_SENT : this.#reader.status(payload, 0)
    })
    return out
  }

  /**
   * Raw values of rows `from` to `to` (not included), whatever their status, in the narrowest column
   * that holds them. Where the payload ends before the signal all bits are ones; see {@link statuses}.
   *
   * @throws {RecordingError} `bad-range`
   */
  raws(from = 0, to: number = this.count): RawColumn {
    checkRange(from, to, this.count)
    const { bits } = this.definition
    const out = rawColumn(bits, to - from)
    this.stream.eachBlock(from, to, (block, start, end, row) => {
      this.#reader.raws(block.bytes, start, end, out, row - from)
    })
    this.#mend(from, to, (payload, i) => {
      out[i] = payload === undefined ? 2 ** bits - 1 : this.#reader.raw(payload, 0)
    })
    return out
  }

  /**
   * Times and values in a window, both ends included, in microseconds.
   *
   * @throws {RecordingError} `bad-window`
   */
  samples(from: number = Number.NEGATIVE_INFINITY, to: number = Number.POSITIVE_INFINITY): Samples {
    if (!(from <= to)) throw new RecordingError('bad-window', `no window from ${from} to ${to}`)
    const first = this.stream.rowAt(from)
    const last = this.stream.rowAfter(to)
    return { time: this.stream.times(first, last), value: this.values(first, last) }
  }

  /** Stretches of equal status, in order of time. */
  statusIntervals(): StatusInterval[] {
    const statuses = this.statuses()
    const intervals: StatusInterval[] = []
    for (let from = 0; from < statuses.length; ) {
      let to = from + 1
      while (to < statuses.length && statuses[to] === statuses[from]) to++
      intervals.push({
        status: STATUSES[statuses[from]],
        from: this.stream.time(from),
        to: this.stream.time(to - 1),
        count: to - from,
      })
      from = to
    }
    return intervals
  }

  /**
   * Whether any message holds a value; most signals show it in their first ones, and no more are read.
   *
   * @param from row from which to look
   * @throws {RecordingError} `bad-range`
   */
  hasValues(from = 0): boolean {
    checkRange(from, this.count, this.count)
    for (let row = from; row < this.count; row += SCAN_ROWS) {
      if (this.statuses(row, Math.min(this.count, row + SCAN_ROWS)).includes(VALID)) return true
    }
    return false
  }

  /**
   * The signal as a picture needs it: first, least, greatest and last value in each of `columns` equal
   * stretches of time, whatever the number of samples. No spike is lost.
   *
   * @param from microseconds
   * @param to microseconds
   * @throws {RecordingError} `bad-window`
   */
  overview(from: number, to: number, columns: number): Overview {
    const isWindow = Number.isFinite(from) && Number.isFinite(to) && from <= to
    if (!isWindow || !Number.isInteger(columns) || columns < 0) {
      throw new RecordingError('bad-window', `no ${columns} columns from ${from} to ${to}`)
    }
    this.#overview ??= new OverviewIndex(this)
    return this.#overview.window(from, to, columns)
  }

  /** Whether the ones in place of missing bytes alone make the values of short rows NaN: mostly so. */
  get #cutIsNaN(): boolean {
    const isInRow = this.instance === undefined && this.#bytesNeeded <= ROW_BYTES
    return this.#reader.cutIsNoValue && isInRow && !this.stream.hasLong
  }

  /**
   * Columns are read as if every row held eight bytes. The rows that do not are set right here: payload
   * undefined where it ends before the signal.
   */
  #mend(from: number, to: number, set: (payload: Uint8Array | undefined, index: number) => void): void {
    const needed = this.#bytesNeeded
    if (this.stream.uniform && needed <= ROW_BYTES) return
    this.stream.eachBlock(from, to, (block, start, end, row) => {
      for (let i = start; i < end; i++) {
        const lacking = block.lacking[i]
        if (needed <= ROW_BYTES - lacking) continue
        const payload = lacking === LONG ? this.stream.payload(row + i - start) : undefined
        set(payload !== undefined && needed <= payload.length ? payload : undefined, row + i - start - from)
      }
    })
  }
}

function rawColumn(bits: number, rows: number): RawColumn {
  if (bits <= 8) return new Uint8Array(rows)
  if (bits <= 16) return new Uint16Array(rows)
  return bits <= 32 ? new Uint32Array(rows) : new Float64Array(rows)
}
