/**
 * Bytes cut anywhere → whole lines. What a lost source leaves unfinished is thrown away: a line broken
 * off after a whole byte of data would be taken for a shorter frame.
 */

const LF = 0x0a
/** Bytes of a line that has not ended yet before it is given up: twice what the reader takes. Our own choice. */
const MAX_LINE = 8_192

/** Passes on whole lines. */
export class WholeLines {
  /** Lines that were thrown away: broken off, or too long. */
  torn = 0
  readonly #take: (lines: Uint8Array) => void
  readonly #rest = new Uint8Array(MAX_LINE)
  #length = 0
  #skipping = false

  /** @param take gets whole lines, newlines included; their memory is used again */
  constructor(take: (lines: Uint8Array) => void) {
    this.#take = take
  }

  push(chunk: Uint8Array): void {
    const end = chunk.lastIndexOf(LF) + 1
    if (end === 0) {
      this.#keep(chunk)
      return
    }
    let start = 0
    if (this.#length > 0 || this.#skipping) {
      start = chunk.indexOf(LF) + 1
      this.#keep(chunk.subarray(0, start))
      if (!this.#skipping) this.#take(this.#rest.slice(0, this.#length))
      this.#length = 0
      this.#skipping = false
    }
    if (start < end) this.#take(chunk.subarray(start, end))
    this.#keep(chunk.subarray(end))
  }

  /** The rest of the line will not come. */
  breakOff(): void {
    if (this.#length > 0) this.torn++
    this.#length = 0
    this.#skipping = false
  }

  #keep(bytes: Uint8Array): void {
    if (this.#skipping) return
    if (this.#length + bytes.length > MAX_LINE) {
      this.torn++
      this.#length = 0
      this.#skipping = true
      return
    }
    this.#rest.set(bytes, this.#length)
    this.#length += bytes.length
  }
}

/** How many lines whole lines are. */
export function countLines(lines: Uint8Array): number {
  let count = 0
  for (let at = lines.indexOf(LF); at >= 0; at = lines.indexOf(LF, at + 1)) count++
  return count
}
