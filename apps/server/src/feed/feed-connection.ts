/** One client of the feed. What it asks is checked; what it cannot take is not sent. */
import {
  describeProblem,
  FeedError,
  MAX_FOLLOWS,
  MAX_UNACKNOWLEDGED,
  type ProblemDetails,
  type ServerMessage,
  setFrameId,
} from '@firstcrank/feed'
import type { Logger } from 'pino'
import type { RawData, WebSocket } from 'ws'
import type { LiveSession } from '../live/session.js'
import type { Metrics } from '../metrics.js'
import { type ClientSays, parseMessage, WrongMessage } from './client-message.js'
import { type EntryCache, frameBytes, LiveFollow } from './live-follow.js'
import { TokenBucket } from './token-bucket.js'

type Ask = Extract<ClientSays, { type: 'ask' }>

/** Where a connection gets what it tells. */
export interface FeedBackend {
  /** @throws {FeedError} */
  ask(recording: string, request: Ask['request']): Promise<unknown>
  /** @throws {FeedError} `source-not-found` */
  session(recording: string): LiveSession
  readonly metrics: Metrics
  readonly log: Logger
}

/** Bytes waiting in this process for a client before it gets no live data, and before it may ask no more. Our own choice. */
const HOLD_BYTES = 262_144
const REFUSE_BYTES = 16 * 1024 * 1024
/** Requests of one client that are being answered. Our own choice. */
const MAX_ASKED = 32
/** Text messages at once and a second. Our own choice: a viewer sends a few dozen. */
const BURST = 200
const PER_SECOND = 100
/** Messages in the wrong form after which the connection is closed. Our own choice. */
const MAX_WRONG = 20

/** Close codes of RFC 6455. */
const POLICY_VIOLATION = 1008

export class FeedConnection {
  readonly #socket: WebSocket
  readonly #backend: FeedBackend
  readonly #follows = new Map<number, LiveFollow>()
  readonly #bucket = new TokenBucket(BURST, PER_SECOND)
  #asked = 0
  #wrong = 0
  #sequence = 0
  #acknowledged = 0
  /** Whether it has said anything since the last ping, and how many bytes waited for it then. */
  #alive = true
  #waited = 0

  constructor(socket: WebSocket, backend: FeedBackend) {
    this.#socket = socket
    this.#backend = backend
    socket.on('message', (data, isBinary) => {
      this.#alive = true
      this.#receive(data, isBinary)
    })
    socket.on('pong', () => {
      this.#alive = true
    })
    socket.on('error', (error) => backend.log.debug({ err: error }, 'feed socket'))
    socket.on('close', () => this.#close())
  }

  get follows(): number {
    return this.#follows.size
  }

  /** Sends a text message. @param text the message in JSON, where it has been made already */
  send(message: ServerMessage, text: string = JSON.stringify(message)): void {
    if (this.#socket.readyState === this.#socket.OPEN) this.#socket.send(text)
  }

  /** Whether the client is ready for more. */
  get ready(): boolean {
    return this.#socket.bufferedAmount < HOLD_BYTES && this.#sequence - this.#acknowledged < MAX_UNACKNOWLEDGED
  }

  /** Tells what is new, unless the client has not yet taken what came before. */
  tick(cache: EntryCache): void {
    const { metrics } = this.#backend
    for (const follow of [...this.#follows.values()]) {
      if (!this.ready) {
        metrics.add('firstcrank_batches_held')
        return
      }
      // Told now, last in line next time: a client that takes little gets some of everything it follows.
      this.#follows.delete(follow.id)
      this.#follows.set(follow.id, follow)
      this.#tellFollow(follow, cache)
    }
  }

  /** Ends a connection that has neither answered the last ping nor taken anything since; pings the others. */
  checkAlive(): void {
    const { bufferedAmount } = this.#socket
    // The ping waits behind what a slow client has not taken yet.
    if (!this.#alive && bufferedAmount >= this.#waited) {
      this.#socket.terminate()
      return
    }
    this.#alive = false
    this.#waited = bufferedAmount
    this.#socket.ping()
  }

  close(code: number, reason: string): void {
    this.#socket.close(code, reason)
  }

  terminate(): void {
    this.#socket.terminate()
  }

  #tellFollow(follow: LiveFollow, cache: EntryCache): void {
    const { metrics } = this.#backend
    if (follow.noticeRestart()) this.send({ type: 'epoch', id: follow.id, epoch: follow.epoch })
    for (const frame of follow.take(cache)) {
      const bytes = frameBytes(follow.id, ++this.#sequence, frame)
      this.#socket.send(bytes)
      metrics.add('firstcrank_batches')
      metrics.add('firstcrank_batch_bytes', bytes.length)
    }
    const { events, next, missed } = follow.session.events.from(follow.event)
    if (events.length === 0 && missed === 0) return
    follow.event = next
    this.send({ type: 'events', id: follow.id, epoch: follow.epoch, next, missed, events: [...events] })
  }

  #receive(data: RawData, isBinary: boolean): void {
    if (!this.#bucket.take()) {
      this.close(POLICY_VIOLATION, 'too many messages')
      return
    }
    try {
      this.#obey(parseMessage(data, isBinary))
    } catch (error) {
      const problem = problemOf(error, this.#backend.log)
      this.send({ type: 'problem', id: error instanceof WrongMessage ? error.id : null, problem })
      if (++this.#wrong >= MAX_WRONG) this.close(POLICY_VIOLATION, 'too many messages in the wrong form')
    }
  }

  #obey(message: ClientSays): void {
    switch (message.type) {
      case 'ask':
        this.#ask(message).catch((error: Error) => this.#backend.log.error({ err: error }, 'feed answer'))
        break
      case 'follow':
        this.#refuseOr(message.id, () => this.#follow(message))
        break
      case 'unfollow':
        this.#unfollow(message.id)
        break
      case 'acknowledge':
        this.#acknowledged = Math.max(this.#acknowledged, Math.min(message.sequence, this.#sequence))
        break
    }
  }

  async #ask({ id, recording, request }: Ask): Promise<void> {
    if (this.#asked >= MAX_ASKED || this.#socket.bufferedAmount > REFUSE_BYTES) {
      this.#refuse(id, describeProblem('too-busy', `${this.#asked} requests are being answered`))
      return
    }
    this.#asked++
    try {
      const answer = await this.#backend.ask(recording, request)
      if (answer instanceof Uint8Array) {
        setFrameId(answer, id)
        this.#socket.send(answer)
      } else {
        this.send({ type: 'answer', id, answer })
      }
    } catch (error) {
      this.#refuse(id, problemOf(error, this.#backend.log))
    } finally {
      this.#asked--
    }
  }

  #follow(message: Extract<ClientSays, { type: 'follow' }>): void {
    if (this.#follows.has(message.id)) throw new FeedError('already-following', `follow ${message.id} is open`)
    if (this.#follows.size >= MAX_FOLLOWS) throw new FeedError('too-busy', `${MAX_FOLLOWS} follows are open`)
    const session = this.#backend.session(message.recording)
    const follow = new LiveFollow(message, session)
    session.followers++
    this.#follows.set(message.id, follow)
    this.send({ type: 'following', id: follow.id, epoch: follow.epoch, resumed: follow.resumed })
    // Tells the client the number its events begin with.
    if (!follow.resumed) {
      const { id, epoch, event } = follow
      this.send({ type: 'events', id, epoch, next: event, missed: 0, events: [] })
    }
  }

  #unfollow(id: number): void {
    const follow = this.#follows.get(id)
    if (follow === undefined) return
    follow.session.followers--
    this.#follows.delete(id)
  }

  /** A source has been taken away: who followed it is told. */
  dropSession(session: LiveSession): void {
    for (const [id, follow] of this.#follows) {
      if (follow.session !== session) continue
      this.#unfollow(id)
      this.send({ type: 'ended', id, detail: 'the source was removed' })
    }
  }

  #refuseOr(id: number, action: () => void): void {
    try {
      action()
    } catch (error) {
      this.#refuse(id, problemOf(error, this.#backend.log))
    }
  }

  #refuse(id: number, problem: ProblemDetails): void {
    this.#backend.metrics.add('firstcrank_refused', 1, `code="${problem.code}"`)
    this.send({ type: 'problem', id, problem })
  }

  #close(): void {
    for (const id of [...this.#follows.keys()]) this.#unfollow(id)
  }
}

function problemOf(error: unknown, log: Logger): ProblemDetails {
  if (error instanceof WrongMessage) return error.error.problem
  if (error instanceof FeedError && error.code !== 'internal') return error.problem
  log.error({ err: error }, 'feed')
  return describeProblem('internal', 'see the log of the server')
}
