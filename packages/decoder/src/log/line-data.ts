/**
 * The part of a line behind the identifier, in its two forms. Readers answer where they stopped, or -1
 * after {@link fail}.
 */
import {
  CLOSE_SQUARE,
  find,
  HASH,
  HEX_DIGIT,
  hasText,
  isBlank,
  MINUS,
  QUOTE,
  SEMICOLON,
  SLASH,
  skipBlanks,
  UNDERSCORE,
} from './ascii.js'
import { fail, type ParsedLine } from './parsed-line.js'

const LETTER_B = 0x42
const LETTER_E = 0x45
const LETTER_R = 0x52
const LETTER_T = 0x54
const LETTER_r = 0x72

/** Reads what follows the `#` of the file form: `R` of a remote frame, `#` and flags of CAN FD, or data. */
export function readFileData(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  const first = start < end ? bytes[start] : 0
  if (first === LETTER_R || first === LETTER_r) return readRemoteLength(bytes, start + 1, end, out)
  const fd = first === HASH
  if (fd) {
    if (start + 1 >= end || HEX_DIGIT[bytes[start + 1]] > 15) return fail(out, 'bad-data')
    out.kind = 'fd'
  }
  const from = fd ? start + 2 : start
  let at = from
  for (let high = 0; at < end; at++) {
    const digit = HEX_DIGIT[bytes[at]]
    if (digit > 15) break
    const digits = at - from
    if (digits % 2 === 0) high = digit
    else if (digits < 16) out.data[digits >> 1] = high * 16 + digit
  }
  const digits = at - from
  const afterCode = !fd && digits === 16 ? skipLengthCode(bytes, at, end) : at
  if (afterCode < end && !isBlank(bytes[afterCode])) return fail(out, 'bad-data')
  if (digits % 2 !== 0) return fail(out, 'odd-data')
  if (digits > (fd ? 128 : 16)) return fail(out, 'too-many-bytes')
  out.length = digits / 2
  return readFileEnd(bytes, afterCode, end, out)
}

function readRemoteLength(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  out.kind = 'remote'
  const length = start < end ? HEX_DIGIT[bytes[start]] : 255
  if (length <= 8) out.length = length
  const at = length === 8 ? skipLengthCode(bytes, start + 1, end) : length < 8 ? start + 1 : start
  return readFileEnd(bytes, at, end, out)
}

/** Skips `_9` to `_F`: a length code above 8, which also means 8 bytes. */
function skipLengthCode(bytes: Uint8Array, at: number, end: number): number {
  if (end - at < 2 || bytes[at] !== UNDERSCORE) return at
  const code = HEX_DIGIT[bytes[at + 1]]
  return code > 8 && code < 16 ? at + 2 : at
}

/**
 * Reads what may follow the data of the file form: `R` or `T` with flags, and a comment. The file form
 * has no length, so anything else there means that the data are not all known.
 */
function readFileEnd(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  if (start < end && !isBlank(bytes[start])) return fail(out, 'bad-data')
  let at = skipBlanks(bytes, start, end)
  if (at < end && (at + 1 === end || isBlank(bytes[at + 1])) && (bytes[at] === LETTER_R || bytes[at] === LETTER_T)) {
    out.direction = bytes[at] === LETTER_R ? 'rx' : 'tx'
    at = skipFlags(bytes, at + 1, end)
  }
  if (at < end && !isCommentMark(bytes, at, end)) return fail(out, 'bad-data')
  return end
}

/**
 * Reads what follows the `[` of the console form. Two digits of length mean CAN FD. Behind the data any
 * text may stand: the length says where they end.
 */
export function readConsoleData(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  const close = find(bytes, CLOSE_SQUARE, start, Math.min(end, start + 3))
  if (close <= start) return fail(out, end - start < 3 && close < 0 ? 'cut-short' : 'bad-data')
  const fd = close - start === 2
  const tens = fd ? HEX_DIGIT[bytes[start]] : 0
  const units = HEX_DIGIT[bytes[close - 1]]
  if (tens > 9 || units > 9) return fail(out, 'bad-data')
  out.length = tens * 10 + units
  if (out.length > (fd ? 64 : 8)) return fail(out, 'too-many-bytes')
  if (fd) out.kind = 'fd'

  const first = skipBlanks(bytes, close + 1, end)
  if (!fd && hasText(bytes, first, end, 'remote request')) {
    out.kind = 'remote'
    return first + 'remote request'.length
  }
  return readConsoleBytes(bytes, first, end, out)
}

function readConsoleBytes(bytes: Uint8Array, start: number, end: number, out: ParsedLine): number {
  let count = 0
  let at = start
  while (isByte(bytes, at, end)) {
    if (count < 8) out.data[count] = HEX_DIGIT[bytes[at]] * 16 + HEX_DIGIT[bytes[at + 1]]
    count++
    at = skipBlanks(bytes, at + 2, end)
  }
  if (count < out.length) {
    if (at === end - 1 && HEX_DIGIT[bytes[at]] < 16) return fail(out, 'odd-data')
    return fail(out, at === end || bytes[at] === QUOTE ? 'length-mismatch' : 'bad-data')
  }
  if (count > out.length) return fail(out, 'length-mismatch')
  if (hasText(bytes, at, end, 'ERRORFRAME')) out.kind = 'error'
  return at
}

/** Whether two hexadecimal digits stand alone at `at`. */
function isByte(bytes: Uint8Array, at: number, end: number): boolean {
  if (end - at < 2 || HEX_DIGIT[bytes[at]] > 15 || HEX_DIGIT[bytes[at + 1]] > 15) return false
  return at + 2 === end || isBlank(bytes[at + 2])
}

/** Skips columns of one character: `-` for a flag that is not set, `B` or `E` for one that is. */
export function skipFlags(bytes: Uint8Array, start: number, end: number): number {
  let at = skipBlanks(bytes, start, end)
  while (at < end && isFlag(bytes[at]) && (at + 1 === end || isBlank(bytes[at + 1])))
    at = skipBlanks(bytes, at + 1, end)
  return at
}

function isFlag(byte: number): boolean {
  return byte === MINUS || byte === LETTER_B || byte === LETTER_E
}

/** Whether a comment begins at `at`: `#`, `;` or `//`. */
export function isCommentMark(bytes: Uint8Array, at: number, end: number): boolean {
  const byte = bytes[at]
  return byte === HASH || byte === SEMICOLON || (byte === SLASH && at + 1 < end && bytes[at + 1] === SLASH)
}
