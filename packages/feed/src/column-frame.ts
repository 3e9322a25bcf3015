/**
 * Columns of numbers as one binary message, least significant byte first. Everything begins at a
 * multiple of eight bytes, so that a reader looks at the columns where they are.
 *
 * Frame, 32 bytes: `FCC1`, id (u32), sequence number (u32), entries (u16), flags (u16), wall clock
 * when it was sent and when its newest message arrived, microseconds (f64 each; NaN outside live data).
 * Entry, 48 bytes: index (u16), form (u8), 0 (u8), points (u32), next row, last time, from, to, skipped
 * (f64 each); then the columns. Samples: time, value (f64), status (u8). Overview: first, least,
 * greatest, last (f64), count (u32). Each column is padded to eight bytes.
 */

/** Samples of a signal: one for each message. */
export interface SampleColumns {
  readonly form: 'samples'
  /** Microseconds, ascending. */
  readonly time: Float64Array
  /** In the signal's unit; NaN where the message holds no value. */
  readonly value: Float64Array
  /** Why not: codes of the decoder's `STATUSES`. */
  readonly status: Uint8Array
}

/** A signal as a picture needs it: one entry for each equal stretch from `from` to `to`. */
export interface OverviewColumns {
  readonly form: 'overview'
  readonly first: Float64Array
  readonly least: Float64Array
  readonly greatest: Float64Array
  readonly last: Float64Array
  /** Messages in each stretch, with a value or without. */
  readonly count: Uint32Array
}

/** What is told of one signal. */
export interface ColumnEntry {
  /** Which of the signals that were asked for. */
  readonly index: number
  readonly columns: SampleColumns | OverviewColumns
  /** Number of the message after the last one told of: where to go on. */
  readonly next: number
  /** When the last one told of was sent, in microseconds; NaN where there is none. */
  readonly lastTime: number
  /** The stretch it covers, in microseconds. */
  readonly from: number
  readonly to: number
  /** Messages left out before these because they were no longer kept. */
  readonly skipped: number
}

/** One binary message. */
export interface ColumnFrame {
  /** Of the request or the follow it belongs to. */
  readonly id: number
  /** Of live data, counts up by one on each connection; else 0. */
  readonly sequence: number
  /** Whether what was told before no longer holds. */
  readonly reset: boolean
  /** Wall clock of the sender in microseconds; NaN outside live data. */
  readonly sent: number
  /** Wall clock of the sender when the newest message in it arrived; NaN outside live data. */
  readonly arrived: number
  readonly entries: readonly ColumnEntry[]
}

const MAGIC = 0x31434346
const FRAME_BYTES = 32
const ENTRY_BYTES = 48
const FLAG_RESET = 1
const FORM_SAMPLES = 0
const FORM_OVERVIEW = 1

const padded = (bytes: number): number => (bytes + 7) & ~7
const bytesOf = (columns: SampleColumns | OverviewColumns): number =>
  columns.form === 'samples'
    ? columns.time.length * 16 + padded(columns.time.length)
    : columns.first.length * 32 + padded(columns.first.length * 4)

/** One entry as bytes; entries that several frames share are encoded once. */
export function encodeEntry({ index, columns, next, lastTime, from, to, skipped }: ColumnEntry): Uint8Array {
  const bytes = new Uint8Array(ENTRY_BYTES + bytesOf(columns))
  const view = new DataView(bytes.buffer)
  const points = columns.form === 'samples' ? columns.time.length : columns.first.length
  view.setUint16(0, index, true)
  view.setUint8(2, columns.form === 'samples' ? FORM_SAMPLES : FORM_OVERVIEW)
  view.setUint32(4, points, true)
  view.setFloat64(8, next, true)
  view.setFloat64(16, lastTime, true)
  view.setFloat64(24, from, true)
  view.setFloat64(32, to, true)
  view.setFloat64(40, skipped, true)
  let at = ENTRY_BYTES
  const put = (column: Float64Array | Uint32Array | Uint8Array): void => {
    bytes.set(new Uint8Array(column.buffer, column.byteOffset, column.byteLength), at)
    at += padded(column.byteLength)
  }
  if (columns.form === 'samples') for (const column of [columns.time, columns.value, columns.status]) put(column)
  else for (const name of ['first', 'least', 'greatest', 'last', 'count'] as const) put(columns[name])
  return bytes
}

/** An encoded entry with another index: a copy, since others may be sending this one. */
export function withIndex(entry: Uint8Array, index: number): Uint8Array {
  const copy = new Uint8Array(entry)
  new DataView(copy.buffer).setUint16(0, index, true)
  return copy
}

/** A frame of entries that have been encoded already. */
export function joinFrame(head: Omit<ColumnFrame, 'entries'>, entries: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const length = entries.reduce((sum, entry) => sum + entry.length, FRAME_BYTES)
  const bytes = new Uint8Array(length)
  const view = new DataView(bytes.buffer)
  view.setUint32(0, MAGIC, true)
  view.setUint32(4, head.id, true)
  view.setUint32(8, head.sequence, true)
  view.setUint16(12, entries.length, true)
  view.setUint16(14, head.reset ? FLAG_RESET : 0, true)
  view.setFloat64(16, head.sent, true)
  view.setFloat64(24, head.arrived, true)
  let at = FRAME_BYTES
  for (const entry of entries) {
    bytes.set(entry, at)
    at += entry.length
  }
  return bytes
}

/** A frame as bytes. */
export function encodeFrame(frame: ColumnFrame): Uint8Array<ArrayBuffer> {
  return joinFrame(frame, frame.entries.map(encodeEntry))
}

/** Gives an encoded frame the id under which it was asked for. */
export function setFrameId(bytes: Uint8Array, id: number): void {
  new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).setUint32(4, id, true)
}

/** Bytes that are no column frame. */
export class ColumnFrameError extends Error {
  readonly code = 'not-a-column-frame'

  constructor(message: string) {
    super(message)
    this.name = 'ColumnFrameError'
  }
}

/**
 * A frame out of its bytes. The columns are views of them where they lie at a multiple of eight, and
 * else of a copy.
 *
 * @throws {ColumnFrameError}
 */
export function decodeFrame(given: Uint8Array): ColumnFrame {
  // Not `slice`, which of Node's buffers makes no copy.
  const bytes = given.byteOffset % 8 === 0 ? given : new Uint8Array(given)
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  if (bytes.length < FRAME_BYTES || view.getUint32(0, true) !== MAGIC) {
    throw new ColumnFrameError('it does not begin as a column frame does')
  }
  const total = view.getUint16(12, true)
  const entries: ColumnEntry[] = []
  let at = FRAME_BYTES
  while (entries.length < total) {
    const entry = decodeEntry(bytes, view, at)
    entries.push(entry)
    at += ENTRY_BYTES + bytesOf(entry.columns)
  }
  if (at !== bytes.length) throw new ColumnFrameError(`${bytes.length - at} bytes follow the last entry`)
  return {
    id: view.getUint32(4, true),
    sequence: view.getUint32(8, true),
    reset: (view.getUint16(14, true) & FLAG_RESET) !== 0,
    sent: view.getFloat64(16, true),
    arrived: view.getFloat64(24, true),
    entries,
  }
}

function decodeEntry(bytes: Uint8Array, view: DataView, start: number): ColumnEntry {
  if (start + ENTRY_BYTES > bytes.length) throw new ColumnFrameError('it ends inside an entry')
  const form = view.getUint8(start + 2)
  if (form !== FORM_SAMPLES && form !== FORM_OVERVIEW) throw new ColumnFrameError(`it has an entry of form ${form}`)
  const points = view.getUint32(start + 4, true)
  const length = form === FORM_SAMPLES ? points * 16 + padded(points) : points * 32 + padded(points * 4)
  if (start + ENTRY_BYTES + length > bytes.length) throw new ColumnFrameError('it ends inside a column')
  let at = bytes.byteOffset + start + ENTRY_BYTES
  const float = (): Float64Array => {
    const column = new Float64Array(bytes.buffer, at, points)
    at += points * 8
    return column
  }
  const columns: SampleColumns | OverviewColumns =
    form === FORM_SAMPLES
      ? { form: 'samples', time: float(), value: float(), status: new Uint8Array(bytes.buffer, at, points) }
      : {
          form: 'overview',
          first: float(),
          least: float(),
          greatest: float(),
          last: float(),
          count: new Uint32Array(bytes.buffer, at, points),
        }
  return {
    index: view.getUint16(start, true),
    columns,
    next: view.getFloat64(start + 8, true),
    lastTime: view.getFloat64(start + 16, true),
    from: view.getFloat64(start + 24, true),
    to: view.getFloat64(start + 32, true),
    skipped: view.getFloat64(start + 40, true),
  }
}
