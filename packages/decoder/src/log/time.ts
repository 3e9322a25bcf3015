/**
 * The time a log line begins with, as integer microseconds.
 *
 * Two forms: `(seconds.fraction)`, which may count from the epoch, from the start of the recording or
 * from the line before, and `(YYYY-MM-DD HH:MM:SS.fraction)`, the local time of the recording machine.
 * Local time is taken as if it were UTC, so that the machine that reads the log never changes a result.
 */
import { CLOSE, COLON, DOT, isBlank, MINUS } from './ascii.js'

/** How a line's time is written: not at all, as seconds, or as date and time of day. */
export type TimeForm = 'none' | 'seconds' | 'date'

/** What {@link readTime} fills. */
export interface PrintedTime {
  /** Microseconds, as printed; 0 without a time. */
  time: number
  timeForm: TimeForm
}

/** Microseconds are exact integers in a double up to 2^53: the last whole second is in the year 2255. */
export const LAST_SECOND: number = Math.floor(Number.MAX_SAFE_INTEGER / 1e6) - 1
/** West of Greenwich, a clock that starts at the epoch prints the last day of 1969. */
const FIRST_YEAR = 1969
const LAST_YEAR = 2254
const ZERO = 0x30
const DATE_LENGTH = 'YYYY-MM-DD HH:MM:SS'.length

/**
 * Reads a time.
 *
 * @param at just behind the opening bracket
 * @returns just behind the closing bracket, or -1 where it is no time in a known form; `out` is only set
 *   on success
 */
export function readTime(bytes: Uint8Array, at: number, end: number, out: PrintedTime): number {
  const dated = end - at > 4 && bytes[at + 4] === MINUS
  return dated ? readDate(bytes, at, end, out) : readSeconds(bytes, at, end, out)
}

function readSeconds(bytes: Uint8Array, start: number, end: number, out: PrintedTime): number {
  let seconds = 0
  let at = start
  while (at < end && isDigit(bytes[at])) seconds = seconds * 10 + bytes[at++] - ZERO
  if (at === start || seconds > LAST_SECOND) return -1
  return readFraction(bytes, at, end, seconds * 1e6, 'seconds', out)
}

function readDate(bytes: Uint8Array, at: number, end: number, out: PrintedTime): number {
  if (end - at < DATE_LENGTH) return -1
  const year = twoDigits(bytes, at) * 100 + twoDigits(bytes, at + 2)
  const month = twoDigits(bytes, at + 5)
  const day = twoDigits(bytes, at + 8)
  const hour = twoDigits(bytes, at + 11)
  const minute = twoDigits(bytes, at + 14)
  const second = twoDigits(bytes, at + 17)
  const punctuated =
    bytes[at + 7] === MINUS && isBlank(bytes[at + 10]) && bytes[at + 13] === COLON && bytes[at + 16] === COLON
  // A NaN from a character that is no digit fails every one of these.
  const possible =
    year >= FIRST_YEAR && year <= LAST_YEAR && month >= 1 && month <= 12 && hour <= 23 && minute <= 59 && second <= 59
  if (!punctuated || !possible || !(day >= 1 && day <= daysIn(year, month))) return -1
  const micros = Date.UTC(year, month - 1, day, hour, minute, second) * 1000
  return readFraction(bytes, at + DATE_LENGTH, end, micros, 'date', out)
}

/**
 * Reads what follows the seconds: nothing or a dot and digits, then the closing bracket. Digits behind
 * the sixth are below a microsecond and cut off, so that order never changes.
 */
function readFraction(
  bytes: Uint8Array,
  start: number,
  end: number,
  wholeSeconds: number,
  form: TimeForm,
  out: PrintedTime,
): number {
  let at = start
  let micros = 0
  if (at < end && bytes[at] === DOT) {
    const first = ++at
    for (let unit = 100_000; at < end && isDigit(bytes[at]); at++) {
      micros += (bytes[at] - ZERO) * unit
      unit = Math.floor(unit / 10)
    }
    if (at === first) return -1
  }
  if (at >= end || bytes[at] !== CLOSE) return -1
  out.time = wholeSeconds + micros
  out.timeForm = form
  return at + 1
}

function isDigit(byte: number): boolean {
  return byte >= ZERO && byte <= ZERO + 9
}

/** Two decimal digits as a number; NaN where one is none. */
function twoDigits(bytes: Uint8Array, at: number): number {
  return isDigit(bytes[at]) && isDigit(bytes[at + 1]) ? (bytes[at] - ZERO) * 10 + bytes[at + 1] - ZERO : Number.NaN
}

function daysIn(year: number, month: number): number {
  return (Date.UTC(year, month, 1) - Date.UTC(year, month - 1, 1)) / 86_400_000
}
