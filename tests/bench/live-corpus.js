/** A bus on which everything a live page can show is sent 50 times a second. Deterministic. */
import { writeFile } from 'node:fs/promises'

/** Groups that hold what the live page looks for: the four vitals and its further figures. */
const GROUPS = [
  ...['0CF00400', '0CF00300', '18FEEF00', '18FEEE00', '18FEF700', '18FEF600', '18FEF500'],
  ...['18F00A00', '18FEF200', '18FEDB00', '18FEF100', '18FEFC00', '18FEE500'],
]

/** Signals the live page finds there. */
export const SIGNALS = 20
const RATE = 50

/** Every byte changes and none is in a range of special codes, so every signal has a value. */
export async function writeLive(path, seconds) {
  const lines = []
  for (let n = 0; n < seconds * RATE; n++) {
    const micros = n * (1e6 / RATE)
    for (const [index, id] of GROUPS.entries()) {
      const at = micros + index * 300
      const byte = 0x10 + ((n + index * 7) % 0x60)
      const data = byte.toString(16).toUpperCase().padStart(2, '0').repeat(8)
      lines.push(`(${1_700_000_000 + Math.floor(at / 1e6)}.${String(at % 1e6).padStart(6, '0')}) can0 ${id}#${data}`)
    }
  }
  await writeFile(path, `${lines.join('\n')}\n`)
}
