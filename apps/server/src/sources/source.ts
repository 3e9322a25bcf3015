/**
 * Where lines come from while somebody watches: a replay, a pipe, a socket, a growing file. A source
 * only ever reads; nothing here can write to what it reads from.
 */
import type { ReplayControl, ReplayPosition, SourceInfo, SourceState } from '@firstcrank/feed'

/** Who takes what a source has. */
export interface SourceSink {
  /** Bytes as they came, cut anywhere. Their memory may be used again when this returns. */
  bytes(chunk: Uint8Array): void
  /**
   * Told of every change of state. After `lost` and `ended` an unfinished line will not be finished.
   *
   * @param detail why, in plain words
   */
  state(state: SourceState, detail: string): void
  /** What comes next does not follow from what came before: a replay was moved, a file was written anew. */
  restarted(): void
}

/** A source of candump lines. */
export interface Source {
  readonly kind: SourceInfo['kind']
  /** For people: a file name, an address. */
  readonly title: string
  /**
   * Begins to read.
   *
   * @throws {SourceError} `started-twice`
   */
  start(sink: SourceSink): void
  /** Ends it. When this resolves nothing more comes, and everything it held is released. May be called again. */
  stop(): Promise<void>
  /** Replays only. */
  readonly replay?: Replay
}

/** How a replay is steered. */
export interface Replay {
  control(control: ReplayControl): Promise<void>
  readonly position: ReplayPosition
}

/** `started-twice`: a source can be started once. `bad-address`: not an address a source can be at. */
export type SourceErrorCode = 'started-twice' | 'bad-address'

/** A source used in a way it cannot be. */
export class SourceError extends Error {
  readonly code: SourceErrorCode

  constructor(code: SourceErrorCode, message: string) {
    super(message)
    this.name = 'SourceError'
    this.code = code
  }
}

/** The part all sources share: one start, one end, no word after it. */
export class SourceLife {
  #sink: SourceSink | undefined
  #started = false
  #state: SourceState = 'waiting'

  /** @throws {SourceError} `started-twice` */
  begin(sink: SourceSink): void {
    if (this.#started) throw new SourceError('started-twice', 'this source has been started before')
    this.#started = true
    this.#sink = sink
  }

  /** Whether it has been started and not ended. */
  get running(): boolean {
    return this.#sink !== undefined
  }

  bytes(chunk: Uint8Array): void {
    if (chunk.length > 0) this.#sink?.bytes(chunk)
  }

  state(state: SourceState, detail: string): void {
    if (this.#state === state) return
    this.#state = state
    this.#sink?.state(state, detail)
  }

  restarted(): void {
    this.#sink?.restarted()
  }

  end(detail: string): void {
    this.state('ended', detail)
    this.#sink = undefined
  }
}
