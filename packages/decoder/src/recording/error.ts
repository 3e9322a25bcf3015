/**
 * What is wrong with a call to a recording, a stream or a signal.
 * - `bad-row`: no row of the stream
 * - `bad-range`: rows that are not integers, that run backwards or past the end, or more than `out` has room for
 * - `bad-window`: a window of time that runs backwards or is no number, or columns that are no number from 0 on
 */
export type RecordingErrorCode = 'bad-row' | 'bad-range' | 'bad-window'

/** A wrong call to a recording. */
export class RecordingError extends Error {
  readonly code: RecordingErrorCode

  constructor(code: RecordingErrorCode, message: string) {
    super(message)
    this.name = 'RecordingError'
    this.code = code
  }
}

/** @throws {RecordingError} `bad-row` */
export function checkRow(row: number, count: number): void {
  if (!Number.isInteger(row) || row < 0 || row >= count)
    throw new RecordingError('bad-row', `no row ${row} of ${count}`)
}

/** @throws {RecordingError} `bad-range` where there are no rows `from` to `to` (not included), or no room for them */
export function checkRange(from: number, to: number, count: number, room: number = Number.POSITIVE_INFINITY): void {
  const isRange = Number.isInteger(from) && Number.isInteger(to) && from >= 0 && from <= to && to <= count
  if (!isRange) throw new RecordingError('bad-range', `no rows ${from} to ${to} of ${count}`)
  if (to - from > room) throw new RecordingError('bad-range', `no room for ${to - from} rows in ${room}`)
}
