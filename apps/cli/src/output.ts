/** Text on its way out: collected, written in large pieces, and no faster than the reader takes it. */
import type { Writable } from 'node:stream'
import { CommandError, fileProblem } from './command-error.js'

/** Where text goes, and whether a person looks at it as it comes. */
export type TextStream = Writable & { readonly isTTY?: boolean }

/** What the command reads from and writes to. `process` is one. */
export interface Io {
  readonly stdin: AsyncIterable<Uint8Array> & { readonly isTTY?: boolean; readonly fd?: number }
  readonly stdout: TextStream
  readonly stderr: TextStream
}

/** Whoever read the output has gone, as `head` does: there is nothing left to do. */
export class OutputClosed extends Error {
  constructor() {
    super('nobody reads the output any more')
    this.name = 'OutputClosed'
  }
}

/** Codes by which a stream says that its other end has been closed. */
const CLOSED: ReadonlySet<string> = new Set(['EPIPE', 'ERR_STREAM_DESTROYED'])

/** Bytes that are made room for at first; it grows as needed, and is used again after each flush. */
const FIRST_ROOM = 65_536
/** Most bytes a character of a string takes in UTF-8. */
const BYTES_A_CHARACTER = 3

/** Collects text for a stream, as bytes: joining long strings costs many times as much as copying bytes. */
export class Output {
  readonly #stream: TextStream
  #room: Buffer = Buffer.allocUnsafe(FIRST_ROOM)
  #length = 0

  constructor(stream: TextStream) {
    this.#stream = stream
    // Failures are told to whoever writes; without a listener they would end the process as well.
    stream.on('error', () => {})
  }

  /** Adds text. */
  add(text: string): void {
    this.#makeRoom(text.length * BYTES_A_CHARACTER)
    this.#length += this.#room.write(text, this.#length)
  }

  /** Adds lines. */
  addLines(lines: readonly string[]): void {
    for (const line of lines) this.add(`${line}\n`)
  }

  /** Adds text that is UTF-8 already. */
  addBytes(bytes: Uint8Array): void {
    this.#makeRoom(bytes.length)
    this.#room.set(bytes, this.#length)
    this.#length += bytes.length
  }

  /**
   * Writes what was added, and waits until it was taken.
   *
   * @throws {OutputClosed} where nobody reads it any more
   * @throws {CommandError} 1, where it cannot be written
   */
  async flush(): Promise<void> {
    if (this.#length === 0) return
    const bytes = this.#room.subarray(0, this.#length)
    this.#length = 0
    await new Promise<void>((resolve, reject) => {
      this.#stream.write(bytes, (error) => (error ? reject(writeFailure(error)) : resolve()))
    })
  }

  #makeRoom(bytes: number): void {
    if (this.#length + bytes <= this.#room.length) return
    const larger = Buffer.allocUnsafe(Math.max(this.#room.length * 2, this.#length + bytes))
    this.#room.copy(larger, 0, 0, this.#length)
    this.#room = larger
  }
}

function writeFailure(error: Error): Error {
  if (CLOSED.has((error as NodeJS.ErrnoException).code ?? '')) return new OutputClosed()
  return new CommandError(1, `cannot write the output: ${fileProblem(error)}`, { cause: error })
}
