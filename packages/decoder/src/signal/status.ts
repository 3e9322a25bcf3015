/**
 * What a raw value is, before it is a number.
 *
 * SAE J1939-71 keeps the top of each range for things that are not values. For 8 bits: up to 250 a
 * value, 251 parameter specific, 252–253 reserved, 254 an error, 255 not available. For more than
 * 8 bits the top 8 bits decide. For fewer, the highest value is "not available" and the one below
 * it "error". Sources: university course table and a truck maker's CAN manual (8, 16, 32 bits: valid,
 * error, not available), an engine maker's marine manual (top byte decides); 251–253: from memory.
 */
import type { RangeRule } from '../catalog/definition.js'

/** A raw value's kind. Only `valid` is ever a number. `not-sent`: the payload ends before it. */
export type Status = 'valid' | 'parameter-specific' | 'reserved' | 'error' | 'not-available' | 'not-sent'

/** Statuses by code, as columns hold them. */
export const STATUSES: readonly Status[] = [
  'valid',
  'parameter-specific',
  'reserved',
  'error',
  'not-available',
  'not-sent',
]

export const VALID = 0
export const PARAMETER_SPECIFIC = 1
export const RESERVED = 2
export const ERROR = 3
export const NOT_AVAILABLE = 4
export const NOT_SENT = 5

/** Status code of the top eight bits of a raw value. */
const STATUS_OF_TOP_BYTE: Uint8Array = Uint8Array.from({ length: 256 }, (_, top) => {
  if (top <= 250) return VALID
  if (top === 251) return PARAMETER_SPECIFIC
  if (top <= 253) return RESERVED
  return top === 254 ? ERROR : NOT_AVAILABLE
})

/**
 * Status code of a raw value.
 *
 * @param raw the value as an unsigned integer, exact: of more than 53 bits hand in the top byte, as 8 bits
 * @param bits width of the signal
 * @param rule the definition's own rule, where it has one
 */
export function statusOf(raw: number, bits: number, rule: RangeRule = 'standard'): number {
  if (rule === 'full') return VALID
  if (typeof rule === 'number') return raw > rule ? NOT_AVAILABLE : VALID
  if (bits >= 8) return STATUS_OF_TOP_BYTE[Math.floor(raw / 2 ** (bits - 8))]
  if (bits === 1) return VALID
  const highest = 2 ** bits - 1
  if (raw === highest) return NOT_AVAILABLE
  return raw === highest - 1 ? ERROR : VALID
}

/** The highest raw value that is a value; above it lie the special ranges. */
export function highestValidRaw(bits: number, rule: RangeRule = 'standard'): number {
  if (typeof rule === 'number') return rule
  if (rule === 'full' || bits === 1) return 2 ** bits - 1
  return bits >= 8 ? 251 * 2 ** (bits - 8) - 1 : 2 ** bits - 3
}
