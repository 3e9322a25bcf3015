/** A frame as somebody types it: identifier and data in hexadecimal, in one word or in several. */
import { CommandError } from './command-error.js'

/** Most bytes a message of J1939's own transport protocol holds. Source: 255 packets of 7 bytes, SAE J1939-21. */
const MOST_BYTES = 1785
const IDENTIFIER = /^(?:0x)?([\da-f]+)$/i
const HEX = /^[\da-f]*$/i
/** Highest 29-bit identifier, and the bit some recorders leave in to mark it as one. */
const HIGHEST_IDENTIFIER = 0x1fffffff
const EXTENDED_FLAG = 0x80000000

/** A frame, or a longer message put together. */
export interface FrameInput {
  /** 29 bits. */
  readonly id: number
  readonly data: Uint8Array
}

/**
 * Reads `18FEEE00`, `0x18FEEE00`, `18FEEE00#7D6E`, and data in further words or with blanks or dots
 * between bytes.
 *
 * @throws {CommandError} 2, naming the word that is wrong
 */
export function readFrame(words: readonly string[]): FrameInput {
  const [first = '', ...rest] = words
    .join(' ')
    .trim()
    .split(/\s*#\s*|\s+/)
  return { id: readIdentifier(first), data: readData(rest.join('')) }
}

function readIdentifier(word: string): number {
  const digits = IDENTIFIER.exec(word)?.[1]
  if (digits === undefined) {
    throw new CommandError(2, `"${word}" is no identifier: 8 hexadecimal digits are needed, such as 18FEEE00`)
  }
  const value = Number.parseInt(digits, 16)
  if (digits.length <= 3) {
    throw new CommandError(2, `${word} is an 11-bit identifier; J1939 uses 29 bits, 8 hexadecimal digits`)
  }
  const id = value >= EXTENDED_FLAG ? value - EXTENDED_FLAG : value
  if (digits.length > 8 || id > HIGHEST_IDENTIFIER) {
    throw new CommandError(2, `${word} has more than the 29 bits of an identifier; 1FFFFFFF is the highest`)
  }
  return id
}

function readData(text: string): Uint8Array {
  const digits = text.replace(/^0x/i, '').replaceAll('.', '')
  if (!HEX.test(digits)) throw new CommandError(2, `"${text}" is no data: hexadecimal digits are needed, two a byte`)
  if (digits.length % 2 === 1) {
    throw new CommandError(
      2,
      `the data end in the middle of a byte: of ${digits.length} hexadecimal digits the last stands alone`,
    )
  }
  if (digits.length / 2 > MOST_BYTES) {
    throw new CommandError(2, `${digits.length / 2} data bytes are more than a message can hold: ${MOST_BYTES}`)
  }
  return Uint8Array.from(digits.match(/../g) ?? [], (byte) => Number.parseInt(byte, 16))
}
