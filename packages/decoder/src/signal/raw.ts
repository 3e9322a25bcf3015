/** Raw values: little-endian integers of 1 to 64 bits at any bit of a payload. */

/** Number of bits a JavaScript number holds exactly. */
export const EXACT_BITS = 53

/** Reads a raw value; call it only where the payload holds all of it. */
export type RawReader = (bytes: Uint8Array, offset: number) => number

/**
 * A reader for one place, made once.
 *
 * @param start first bit, from 0, least significant bit of the first byte first
 * @param bits 1 to 53
 */
export function rawReader(start: number, bits: number): RawReader {
  const first = start >>> 3
  const shift = start & 7
  const last = (start + bits - 1) >>> 3
  if (first === last) {
    const mask = (1 << bits) - 1
    return (bytes, offset) => (bytes[offset + first] >>> shift) & mask
  }
  if (shift === 0 && bits === 16) return (bytes, offset) => bytes[offset + first] | (bytes[offset + first + 1] << 8)
  // Bits above and below the field are dropped before the bytes are summed, so that the sum stays exact.
  const topMask = 2 ** (((start + bits - 1) & 7) + 1) - 1
  const bitsInFirst = 2 ** (8 - shift)
  return (bytes, offset) => {
    let raw = bytes[offset + last] & topMask
    for (let i = last - 1; i > first; i--) raw = raw * 256 + bytes[offset + i]
    return raw * bitsInFirst + (bytes[offset + first] >>> shift)
  }
}

/** A raw value of up to 64 bits, exactly. */
export function readWideRaw(bytes: Uint8Array, offset: number, start: number, bits: number): bigint {
  const first = start >>> 3
  const last = (start + bits - 1) >>> 3
  let raw = 0n
  for (let i = last; i >= first; i--) raw = (raw << 8n) | BigInt(bytes[offset + i])
  return BigInt.asUintN(bits, raw >> BigInt(start & 7))
}
