/**
 * One line of a log → what it is. This is the slow and complete reading, and so defines what is right:
 * wherever the fast path answers, it answers the same.
 *
 * A line is one of two forms, found out line by line. File form: `(time) channel identifier#data`.
 * Console form: `(time)  channel  identifier   [length]  data`, the data as separate bytes, with or
 * without leading blanks, the time, `RX - -` or `TX B E` columns, and text behind the data. The flag
 * bits of an identifier are those of the Linux kernel's `linux/can.h`; the forms are known from public
 * recordings and from memory.
 *
 * An 8-digit identifier is an extended one whatever its value; 1 to 3 digits are an 11-bit one; 4 to 7
 * digits without a leading zero are an extended one printed without padding. A line broken off after a
 * whole data byte of the file form looks like a shorter frame and cannot be told from one.
 */
import {
  CLOSE,
  CLOSE_BRACE,
  CLOSE_SQUARE,
  find,
  HASH,
  HEX_DIGIT,
  hasText,
  isBlank,
  MINUS,
  OPEN,
  OPEN_BRACE,
  OPEN_SQUARE,
  QUOTE,
  skipBlanks,
  trimEnd,
} from './ascii.js'
import { isCommentMark, readConsoleData, readFileData, skipFlags } from './line-data.js'
import { clear, fail, type ParsedLine } from './parsed-line.js'
import { readTime } from './time.js'

export { createParsedLine, LINE_PROBLEMS, type LineKind, type LineProblem, type ParsedLine } from './parsed-line.js'

/** Bits of an identifier as the kernel holds it. Source: `linux/can.h`. Bit 31 only says "extended". */
const REMOTE_FLAG = 0x40000000
const ERROR_FLAG = 0x20000000
const EXTENDED_MASK = 0x1fffffff
const HIGHEST_STANDARD = 0x7ff

const LETTER_a = 0x61
const LETTER_z = 0x7a
/** The longest time a line begins with, brackets and nanoseconds included, is no longer than this. */
const TIME_BYTES = 32

/**
 * Reads the line bytes[start, end), which holds no newline; carriage returns and blanks at its end and
 * a UTF-8 byte-order mark at its start are ignored. Never throws, whatever the bytes, and looks at none
 * outside.
 *
 * Where another line begins inside this one (`(1648(1648577042.771725) can1 18FD7C00#E087`), the last
 * whole one is read: a line gives one frame at most.
 */
export function parseLine(bytes: Uint8Array, start: number, end: number, out: ParsedLine): void {
  const from = hasByteOrderMark(bytes, start, end) ? start + 3 : start
  const to = trimEnd(bytes, from, end)
  const first = skipBlanks(bytes, from, to)
  if (first === to) {
    clear(out, 'blank')
  } else if (isCommentMark(bytes, first, to) || (first > from && isErrorExplanation(bytes, first, to))) {
    clear(out, 'comment')
  } else {
    const read = readFrame(bytes, first, to, out)
    const unread = read < 0 ? first + 1 : read
    // The attempts to read a second half use the same object, so without one the first is read again.
    if (find(bytes, OPEN, unread, to) < 0 || readSecondHalf(bytes, unread, to, out)) return
    readFrame(bytes, first, to, out)
  }
}

/** Reads the last line that begins in bytes[start, end) with a time and is whole; false if there is none. */
function readSecondHalf(bytes: Uint8Array, start: number, end: number, out: ParsedLine): boolean {
  for (let at = end - 1; at >= start; at--) {
    if (bytes[at] !== OPEN || readFrame(bytes, at, end, out) < 0) continue
    out.problem = 'torn-line'
    out.recoveredFrom = at
    return true
  }
  return false
}

/**
 * Reads a frame. All readers below answer where they stopped, or -1 after {@link fail}.
 *
 * @returns where text behind the data begins, `end` if there is none, -1 if the line is malformed
 */
function readFrame(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  clear(out, 'frame')
  const timed = bytes[start] === OPEN
  const afterTime = timed ? readTime(bytes, start + 1, end, out) : start
  if (afterTime < 0) return fail(out, isOpenTime(bytes, start, end) ? 'cut-short' : 'bad-time')

  const name = skipBlanks(bytes, afterTime, end)
  const nameEnd = skipName(bytes, name, end)
  if (nameEnd === end) return fail(out, timed ? 'cut-short' : 'not-a-log-line')
  if (nameEnd === name || !isBlank(bytes[nameEnd]) || (timed && name === afterTime)) return fail(out, 'not-a-log-line')
  out.channelStart = name
  out.channelEnd = nameEnd

  const id = readDirection(bytes, skipBlanks(bytes, nameEnd, end), end, out)
  const idEnd = skipIdentifier(bytes, id, end)
  const next = skipBlanks(bytes, idEnd, end)
  const inFile = next === idEnd && next < end
  const onConsole = next > idEnd && bytes[next] === OPEN_SQUARE
  if (next === end) return fail(out, timed ? 'cut-short' : 'not-a-log-line')
  if (!timed && !inFile && !onConsole) return fail(out, 'not-a-log-line')
  if (!readIdentifier(bytes, id, idEnd, out)) return fail(out, 'bad-identifier')
  if (!inFile && !onConsole) return fail(out, 'bad-data')
  const stop = inFile ? readFileData(bytes, idEnd + 1, end, out) : readConsoleData(bytes, next + 1, end, out)
  if (out.kind === 'remote') out.data.fill(0xff)
  return stop
}

/** Whether the line ends inside what may become a time. */
function isOpenTime(bytes: Uint8Array, start: number, end: number): boolean {
  return end - start < TIME_BYTES && find(bytes, CLOSE, start, end) < 0
}

/** Reads `RX` or `TX` and the two flag columns behind it; stays where it is if there are none. */
function readDirection(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  const rx = hasText(bytes, start, end, 'RX ')
  if (!rx && !hasText(bytes, start, end, 'TX ')) return start
  out.direction = rx ? 'rx' : 'tx'
  return skipFlags(bytes, start + 2, end)
}

/** Takes the identifier bytes[start, end) apart into its kind and value; false if it is none. */
function readIdentifier(bytes: Uint8Array, start: number, end: number, out: ParsedLine): boolean {
  const digits = end - start
  if (digits < 1 || digits > 8) return false
  let value = 0
  for (let at = start; at < end; at++) {
    const digit = HEX_DIGIT[bytes[at]]
    if (digit > 15) return false
    value = value * 16 + digit
  }
  if (digits <= 3) {
    out.kind = 'standard'
    out.id = value
    return value <= HIGHEST_STANDARD
  }
  if ((value & ERROR_FLAG) !== 0) out.kind = 'error'
  else if ((value & REMOTE_FLAG) !== 0) out.kind = 'remote'
  out.id = value & EXTENDED_MASK
  return digits === 8 || HEX_DIGIT[bytes[start]] !== 0
}

/** Where an interface's name ends: printable ASCII without the characters that have a meaning here. */
function skipName(bytes: Uint8Array, start: number, end: number): number {
  let at = start
  while (at < end && isNameByte(bytes[at])) at++
  return at
}

function isNameByte(byte: number): boolean {
  const hasMeaning =
    byte === OPEN || byte === CLOSE || byte === HASH || byte === OPEN_SQUARE || byte === CLOSE_SQUARE || byte === QUOTE
  return byte > 0x20 && byte < 0x7f && !hasMeaning
}

/** Where the identifier's text ends: at a blank or a `#`. */
function skipIdentifier(bytes: Uint8Array, start: number, end: number): number {
  let at = start
  while (at < end && bytes[at] !== HASH && !isBlank(bytes[at])) at++
  return at
}

function hasByteOrderMark(bytes: Uint8Array, start: number, end: number): boolean {
  return end - start >= 3 && bytes[start] === 0xef && bytes[start + 1] === 0xbb && bytes[start + 2] === 0xbf
}

function isErrorExplanation(bytes: Uint8Array, start: number, end: number): boolean {
  let at = start
  let hyphens = 0
  for (; at < end; at++) {
    if (bytes[at] === MINUS) hyphens++
    else if (bytes[at] < LETTER_a || bytes[at] > LETTER_z) break
  }
  const named = hyphens > 0 && bytes[start] !== MINUS
  return named && (at === end || (bytes[at] === OPEN_BRACE && bytes[end - 1] === CLOSE_BRACE))
}
