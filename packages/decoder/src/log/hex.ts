/**
 * Two characters at once: tables indexed by the little-endian 16-bit word that two ASCII characters
 * make. Each costs 128 KiB and turns two branches and a multiplication into one load.
 */

/** In a table: these two characters are not what it reads. Larger than any value it holds. */
export const BAD_PAIR = 0xffff

const pair = (first: string, second: string): number => first.charCodeAt(0) | (second.charCodeAt(0) << 8)

function pairTable(alphabet: string, radix: number): Uint16Array {
  const table = new Uint16Array(0x10000).fill(BAD_PAIR)
  for (const first of alphabet) {
    for (const second of alphabet) {
      table[pair(first, second)] = Number.parseInt(first, radix) * radix + Number.parseInt(second, radix)
    }
  }
  return table
}

/** Two hexadecimal digits of either case → 0 to 255. */
export const HEX_PAIR: Uint16Array = pairTable('0123456789abcdefABCDEF', 16)

/** Two decimal digits → 0 to 99. */
export const DECIMAL_PAIR: Uint16Array = pairTable('0123456789', 10)
