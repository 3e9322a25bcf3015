/** Text parameters: Latin-1, fields ended by `*` (SAE J1939-71). */
import type { Status } from './status.js'

const DELIMITER = 0x2a
const NOT_AVAILABLE_BYTE = 0xff
const NUL = 0x00

/** A text and what kind of thing it is. */
export interface TextValue {
  readonly status: Status
  /** Without blanks and NULs at its ends; empty unless the status is `valid`. */
  readonly text: string
}

const NOT_SENT_TEXT: TextValue = { status: 'not-sent', text: '' }

/**
 * A text of a fixed number of bytes; what the payload holds of it.
 *
 * @param offset first byte, from 0
 */
export function fixedText(payload: Uint8Array, offset: number, bytes: number): TextValue {
  if (offset >= payload.length) return NOT_SENT_TEXT
  return textOf(payload.subarray(offset, offset + bytes))
}

/**
 * One of the `*`-separated fields from `offset` on; the last one may end with the payload.
 *
 * @param field counted from 0
 */
export function delimitedText(payload: Uint8Array, offset: number, field: number): TextValue {
  let start = offset
  for (let skipped = 0; skipped < field; skipped++) {
    const delimiter = payload.indexOf(DELIMITER, start)
    if (delimiter < 0) return NOT_SENT_TEXT
    start = delimiter + 1
  }
  const end = payload.indexOf(DELIMITER, start)
  if (start >= payload.length && end < 0) return NOT_SENT_TEXT
  return textOf(payload.subarray(start, end < 0 ? payload.length : end))
}

/** All FF is "not available"; all NUL is the standard's error; FF and NUL around a text are padding. */
function textOf(bytes: Uint8Array): TextValue {
  if (bytes.length > 0 && bytes.every((byte) => byte === NOT_AVAILABLE_BYTE))
    return { status: 'not-available', text: '' }
  if (bytes.length > 0 && bytes.every((byte) => byte === NUL)) return { status: 'error', text: '' }
  const padding = (byte: number): boolean => byte === NUL || byte === NOT_AVAILABLE_BYTE || byte === 0x20
  let start = 0
  let end = bytes.length
  while (start < end && padding(bytes[start])) start++
  while (end > start && padding(bytes[end - 1])) end--
  let text = ''
  for (let i = start; i < end; i++) text += String.fromCharCode(bytes[i])
  return { status: 'valid', text }
}
