/** Characters of a log line, as bytes, and the few questions asked of them. Offsets never pass `end`. */

export const HASH = 0x23
export const QUOTE = 0x27
export const OPEN = 0x28
export const CLOSE = 0x29
export const MINUS = 0x2d
export const DOT = 0x2e
export const SLASH = 0x2f
export const COLON = 0x3a
export const SEMICOLON = 0x3b
export const OPEN_SQUARE = 0x5b
export const CLOSE_SQUARE = 0x5d
export const UNDERSCORE = 0x5f
export const OPEN_BRACE = 0x7b
export const CLOSE_BRACE = 0x7d

const SPACE = 0x20
const TAB = 0x09
const CR = 0x0d

/** Value of a hexadecimal digit of either case by character; 255 for every other byte. */
export const HEX_DIGIT: Uint8Array = new Uint8Array(256).fill(255)
for (const digits of ['0123456789abcdef', '0123456789ABCDEF']) {
  for (let value = 0; value < 16; value++) HEX_DIGIT[digits.charCodeAt(value)] = value
}

export function isBlank(byte: number): boolean {
  return byte === SPACE || byte === TAB
}

/** Where the first byte that is no blank stands; `end` if there is none. */
export function skipBlanks(bytes: Uint8Array, start: number, end: number): number {
  let at = start
  while (at < end && isBlank(bytes[at])) at++
  return at
}

/** Where the text ends once blanks and carriage returns at its end are taken off. */
export function trimEnd(bytes: Uint8Array, start: number, end: number): number {
  let at = end
  while (at > start && (isBlank(bytes[at - 1]) || bytes[at - 1] === CR)) at--
  return at
}

/** Where a byte first stands in bytes[start, end); -1 if nowhere. */
export function find(bytes: Uint8Array, byte: number, start: number, end: number): number {
  for (let at = start; at < end; at++) if (bytes[at] === byte) return at
  return -1
}

/** Whether the ASCII text stands at `at`. */
export function hasText(bytes: Uint8Array, at: number, end: number, text: string): boolean {
  if (end - at < text.length) return false
  for (let i = 0; i < text.length; i++) if (bytes[at + i] !== text.charCodeAt(i)) return false
  return true
}
