/** One thing a client follows: where it is with each signal, so that it can go on there. */
import type { ColumnFrame } from './column-frame.js'
import type { ClientMessage, Cursor, ServerMessage } from './messages.js'
import type { FollowQuery, FollowSink } from './recording-source.js'

/** The client's side of a follow. */
export class Following {
  readonly #id: number
  readonly #recording: string
  readonly #query: FollowQuery
  readonly #sink: FollowSink
  readonly #cursors: (Cursor | null)[]
  #epoch: string | undefined
  #event = 0

  constructor(id: number, recording: string, query: FollowQuery, sink: FollowSink) {
    this.#id = id
    this.#recording = recording
    this.#query = query
    this.#sink = sink
    this.#cursors = query.signals.map(() => null)
  }

  /** What to send, at first and after every break. */
  request(): ClientMessage {
    const { signals, span, columns } = this.#query
    const resume =
      this.#epoch === undefined
        ? {}
        : { resume: { epoch: this.#epoch, cursors: [...this.#cursors], event: this.#event } }
    return { type: 'follow', id: this.#id, recording: this.#recording, signals: [...signals], span, columns, ...resume }
  }

  /** Takes what the server says about it. */
  take(message: Extract<ServerMessage, { type: 'following' | 'epoch' | 'events' }>): void {
    if (message.type === 'events') {
      this.#event = message.next
      this.#sink.events?.(message.events, message.missed)
      return
    }
    const before = this.#epoch
    this.#epoch = message.epoch
    if (before === undefined || before === message.epoch) return
    this.#cursors.fill(null)
    this.#sink.restarted?.()
  }

  /** Takes columns. */
  takeFrame({ reset, sent, arrived, entries }: ColumnFrame): void {
    for (const { index, next, lastTime } of entries) {
      this.#cursors[index] = { next, lastTime: Number.isNaN(lastTime) ? null : lastTime }
    }
    this.#sink.columns({ reset, sent, arrived, entries })
  }

  connected(connected: boolean): void {
    this.#sink.connected?.(connected)
  }

  ended(detail: string): void {
    this.#sink.ended?.(detail)
  }
}
