/** Lines of a file that another program is writing. */
import { type FileHandle, open, stat } from 'node:fs/promises'
import { basename } from 'node:path'
import { reasonOf } from '../reason.js'
import { type Source, SourceLife, type SourceSink } from './source.js'

/** Milliseconds between looks at the file: unnoticed beside the feed's own 50. Our own choice. */
const LOOK_EVERY = 50
const CHUNK_BYTES = 131_072
/** Bytes at its beginning by which a file is known again: some lines, each with its time. Our own choice. */
const BEGINNING_BYTES = 1_024

/**
 * Reads a file from its beginning and then whatever is added. A file that shrinks, is replaced or begins otherwise
 * is read anew; one that was away for a while, such as on a share, is read on.
 */
export class FollowSource implements Source {
  readonly kind = 'file'
  readonly title: string
  readonly #path: string
  readonly #life = new SourceLife()
  readonly #buffer = new Uint8Array(CHUNK_BYTES)
  #file: FileHandle | undefined
  #inode = 0
  #offset = 0
  #beginning: Buffer = Buffer.alloc(0)
  #timer: NodeJS.Timeout | undefined
  #looking: Promise<void> = Promise.resolve()
  #stopped = false

  constructor(path: string) {
    this.#path = path
    this.title = basename(path)
  }

  start(sink: SourceSink): void {
    this.#life.begin(sink)
    this.#lookAgain(0)
  }

  async stop(): Promise<void> {
    this.#stopped = true
    clearTimeout(this.#timer)
    await this.#looking
    await this.#close()
    this.#life.end('stopped')
  }

  #lookAgain(wait: number): void {
    if (this.#stopped) return
    this.#timer = setTimeout(() => {
      this.#looking = this.#look().then(() => this.#lookAgain(LOOK_EVERY))
    }, wait)
  }

  async #look(): Promise<void> {
    try {
      const { ino, size } = await stat(this.#path)
      const isReplaced = ino !== this.#inode
      if (isReplaced) await this.#close()
      this.#inode = ino
      this.#file ??= await open(this.#path, 'r')
      const isKnown = this.#offset > 0
      if (isKnown && (isReplaced || size < this.#offset || !(await this.#beginsAsBefore(this.#file)))) this.#startAnew()
      await this.#readOn(this.#file)
    } catch (error) {
      await this.#close()
      const isMissing = (error as NodeJS.ErrnoException).code === 'ENOENT'
      const why = isMissing ? `${this.#path} is not there; it is waited for` : `${this.#path}: ${reasonOf(error)}`
      this.#life.state('lost', why)
    }
  }

  /** The number of a file that was removed may be given to the next one at once. */
  async #beginsAsBefore(file: FileHandle): Promise<boolean> {
    const { length } = this.#beginning
    const { buffer, bytesRead } = await file.read(Buffer.alloc(length), 0, length, 0)
    return bytesRead === length && buffer.equals(this.#beginning)
  }

  #startAnew(): void {
    this.#life.state('lost', `${this.title} was written anew`)
    this.#offset = 0
    this.#beginning = Buffer.alloc(0)
    this.#life.restarted()
  }

  async #readOn(file: FileHandle): Promise<void> {
    while (!this.#stopped) {
      const { bytesRead } = await file.read(this.#buffer, 0, CHUNK_BYTES, this.#offset)
      // Not before something could be read: a folder can be opened, too.
      this.#life.state('live', `reading ${this.title}`)
      if (bytesRead === 0) return
      const chunk = this.#buffer.subarray(0, bytesRead)
      this.#offset += bytesRead
      // Before it is handed on: who takes it may write over it.
      const missing = BEGINNING_BYTES - this.#beginning.length
      if (missing > 0) this.#beginning = Buffer.concat([this.#beginning, chunk.subarray(0, missing)])
      this.#life.bytes(chunk)
    }
  }

  async #close(): Promise<void> {
    const file = this.#file
    this.#file = undefined
    await file?.close()
  }
}
