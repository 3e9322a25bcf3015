/** Lines from a pipe, such as `candump -L can0 | firstcrank serve --live -`. */
import type { Readable } from 'node:stream'
import { type Source, SourceLife, type SourceSink } from './source.js'

/** Reads a stream to its end. */
export class StreamSource implements Source {
  readonly kind = 'stream'
  readonly title: string
  readonly #stream: Readable
  readonly #life = new SourceLife()
  readonly #take = (chunk: Uint8Array): void => this.#life.bytes(chunk)

  /** @param stream bytes; it is not closed but by its own end or {@link stop} */
  constructor(stream: Readable, title = 'standard input') {
    this.#stream = stream
    this.title = title
  }

  start(sink: SourceSink): void {
    this.#life.begin(sink)
    this.#life.state('live', `reading ${this.title}`)
    this.#stream.on('data', this.#take)
    this.#stream.once('end', () => this.#life.end(`${this.title} has ended`))
    this.#stream.once('close', () => this.#life.end(`${this.title} was closed`))
    this.#stream.once('error', (error) => this.#life.end(`${this.title}: ${error.message}`))
  }

  async stop(): Promise<void> {
    this.#stream.off('data', this.#take)
    this.#stream.pause()
    this.#stream.destroy()
    this.#life.end('stopped')
  }
}
