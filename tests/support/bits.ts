/**
 * Reads and writes bit fields the slow and obvious way, with one big integer for the whole payload:
 * for tests that must not lean on the decoder's own readers. Little-endian, as J1939 is.
 */

/** Bytes of a string of hex digits; blanks are ignored. */
export function bytes(hex: string): Uint8Array {
  const digits = hex.replaceAll(' ', '')
  if (!/^(?:[0-9a-f]{2})*$/i.test(digits)) throw new Error(`not hex: ${hex}`)
  return Uint8Array.from(digits.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16))
}

/** The unsigned integer of `width` bits that starts at zero-based bit `start`. */
export function readBits(payload: Uint8Array, start: number, width: number): bigint {
  if (start + width > payload.length * 8) throw new Error(`bit ${start + width} is past the end`)
  let all = 0n
  for (let index = payload.length - 1; index >= 0; index--) all = (all << 8n) | BigInt(payload[index] ?? 0)
  return (all >> BigInt(start)) & ((1n << BigInt(width)) - 1n)
}

/** A copy of the payload in which `width` bits from zero-based bit `start` are the unsigned integer `raw`. */
export function writeBits(payload: Uint8Array, start: number, width: number, raw: bigint): Uint8Array {
  if (start + width > payload.length * 8) throw new Error(`bit ${start + width} is past the end`)
  if (raw < 0n || raw >> BigInt(width) !== 0n) throw new Error(`${raw} does not fit ${width} bits`)
  const copy = payload.slice()
  for (let bit = 0; bit < width; bit++) {
    const at = start + bit
    const mask = 1 << (at & 7)
    const one = (raw >> BigInt(bit)) & 1n
    copy[at >> 3] = one ? (copy[at >> 3] ?? 0) | mask : (copy[at >> 3] ?? 0) & ~mask
  }
  return copy
}
