/** How far a long read has come, on a terminal and nowhere else. */
import type { TextStream } from './output.js'

/** Milliseconds before anything is shown, and between two changes. */
const PATIENCE = 1000
const INTERVAL = 250
const MEGABYTE = 1_000_000
const ERASE_LINE = '\r\u001b[K'

/** One line on standard error that is written over and erased at the end. */
export class Progress {
  readonly #stream: TextStream
  #total: number | undefined
  #next = performance.now() + PATIENCE
  #shown = false

  constructor(stream: TextStream) {
    this.#stream = stream
  }

  /** Sets the size of what is read, in bytes, where it is known. */
  expect(bytes: number): void {
    this.#total = bytes
  }

  /** Shows how many bytes have been read. */
  show(bytes: number): void {
    if (!this.#stream.isTTY || performance.now() < this.#next) return
    this.#next = performance.now() + INTERVAL
    this.#shown = true
    const read = `${Math.floor(bytes / MEGABYTE)} MB`
    const share = this.#total ? ` of ${Math.ceil(this.#total / MEGABYTE)} MB, ${part(bytes, this.#total)}` : ''
    this.#stream.write(`${ERASE_LINE}read ${read}${share}`)
  }

  /** Erases the line. */
  end(): void {
    if (this.#shown) this.#stream.write(ERASE_LINE)
  }
}

function part(bytes: number, total: number): string {
  return `${Math.min(100, Math.floor((bytes / total) * 100))} %`
}
