/**
 * The viewer's end of the feed: asks, follows, acknowledges, and comes back by itself when the
 * connection breaks, exactly where it was.
 */
import { decodeFrame } from './column-frame.js'
import { Following } from './following.js'
import type { SourceInfo } from './live.js'
import { type ClientMessage, type ServerMessage, serverMessage } from './messages.js'
import { FeedError } from './problem.js'
import {
  createSource,
  type Follow,
  type FollowQuery,
  type FollowSink,
  type RecordingSource,
} from './recording-source.js'
import type { Answers, RecordingRequest } from './requests.js'
import { FEED_PROTOCOL, FEED_VERSION } from './version.js'

/** What the client needs of a socket: the browser's own has it. */
export interface FeedSocket {
  binaryType: string
  readonly readyState: number
  send(text: string): void
  close(code?: number, reason?: string): void
  addEventListener(type: 'open' | 'close' | 'error', listener: () => void): void
  addEventListener(type: 'message', listener: (event: { readonly data: unknown }) => void): void
}

/** How a client is set up. */
export interface FeedClientOptions {
  /** Opens a socket to the server, for one subprotocol. */
  readonly connect: (protocol: string) => FeedSocket
  /** First and longest wait before trying again, in milliseconds. Default 250 and 5,000: our own choice. */
  readonly retry?: { readonly first: number; readonly longest: number }
  /** Told when the connection opens and breaks. */
  readonly onConnected?: (connected: boolean) => void
  readonly onSources?: (sources: readonly SourceInfo[], serverTime: number) => void
  /** Told when the library has changed. */
  readonly onLibrary?: (revision: number) => void
  /** Told of what the server refuses outside any request. */
  readonly onProblem?: (error: FeedError) => void
}

interface Waiting {
  resolve(answer: unknown): void
  reject(error: FeedError): void
}

const OPEN = 1

/** A connection to a server that mends itself. */
export class FeedClient {
  readonly #options: FeedClientOptions
  readonly #waiting = new Map<number, { readonly message: ClientMessage; readonly waiting: Waiting }>()
  readonly #follows = new Map<number, Following>()
  #socket: FeedSocket | undefined
  #ready = false
  #closed = false
  #lastId = 0
  #wait: number
  #unacknowledged = 0
  /** Batches between acknowledgements: a quarter of what the server allows. */
  #acknowledgeEvery = 4

  constructor(options: FeedClientOptions) {
    this.#options = options
    this.#wait = this.#retry.first
    this.#open()
  }

  /** Whether the server has said hello on the connection there is. */
  get connected(): boolean {
    return this.#ready
  }

  /**
   * A recording on the server.
   *
   * @param recording `run:` or `live:` and an id
   */
  source<Report = unknown>(recording: string): RecordingSource<Report> {
    const follows = new Set<Follow>()
    return createSource<Report>({
      ask: (request) => this.#ask(recording, request),
      follow: (query, sink) => {
        const follow = this.#follow(recording, query, sink)
        follows.add(follow)
        return follow
      },
      onProgress: () => () => undefined,
      close: () => {
        for (const follow of follows) follow.stop()
      },
    })
  }

  /** Ends the connection; what was asked and not answered is rejected. */
  close(): void {
    this.#closed = true
    this.#socket?.close(1000)
    for (const { waiting } of this.#waiting.values()) waiting.reject(new FeedError('not-found', 'the feed was closed'))
    this.#waiting.clear()
    this.#follows.clear()
  }

  get #retry(): { readonly first: number; readonly longest: number } {
    return this.#options.retry ?? { first: 250, longest: 5_000 }
  }

  #open(): void {
    const socket = this.#options.connect(FEED_PROTOCOL)
    socket.binaryType = 'arraybuffer'
    this.#socket = socket
    socket.addEventListener('message', ({ data }) => {
      if (socket !== this.#socket) return
      if (typeof data === 'string') this.#takeText(data)
      else this.#takeBytes(new Uint8Array(data as ArrayBuffer))
    })
    socket.addEventListener('error', () => undefined)
    socket.addEventListener('close', () => {
      if (socket !== this.#socket) return
      this.#lost()
    })
  }

  #lost(): void {
    this.#socket = undefined
    if (this.#ready) {
      this.#ready = false
      this.#options.onConnected?.(false)
      for (const follow of this.#follows.values()) follow.connected(false)
    }
    if (this.#closed) return
    setTimeout(() => {
      if (!this.#closed) this.#open()
    }, this.#wait)
    this.#wait = Math.min(this.#retry.longest, this.#wait * 2)
  }

  #send(message: ClientMessage): void {
    if (this.#ready && this.#socket?.readyState === OPEN) this.#socket.send(JSON.stringify(message))
  }

  #ask<Kind extends RecordingRequest['ask']>(
    recording: string,
    request: Extract<RecordingRequest, { ask: Kind }>,
  ): Promise<Answers[Kind]> {
    if (this.#closed) return Promise.reject(new FeedError('not-found', 'the feed was closed'))
    return new Promise((resolve, reject) => {
      const id = ++this.#lastId
      const message = { type: 'ask', id, recording, request } satisfies ClientMessage
      this.#waiting.set(id, { message, waiting: { resolve: (answer) => resolve(answer as Answers[Kind]), reject } })
      this.#send(message)
    })
  }

  #follow(recording: string, query: FollowQuery, sink: FollowSink): Follow {
    const id = ++this.#lastId
    const follow = new Following(id, recording, query, sink)
    this.#follows.set(id, follow)
    this.#send(follow.request())
    return {
      stop: () => {
        if (this.#follows.delete(id)) this.#send({ type: 'unfollow', id })
      },
    }
  }

  #takeText(text: string): void {
    const parsed = serverMessage.safeParse(JSON.parse(text))
    if (!parsed.success) return
    const message = parsed.data
    switch (message.type) {
      case 'hello':
        this.#takeHello(message)
        break
      case 'answer':
        this.#settle(message.id, ({ resolve }) => resolve(message.answer))
        break
      case 'problem':
        this.#takeProblem(message)
        break
      case 'following':
      case 'epoch':
      case 'events':
        this.#follows.get(message.id)?.take(message)
        break
      case 'ended':
        this.#follows.get(message.id)?.ended(message.detail)
        this.#follows.delete(message.id)
        break
      case 'sources':
        this.#options.onSources?.(message.sources, message.time)
        break
      case 'library':
        this.#options.onLibrary?.(message.revision)
        break
    }
  }

  #takeHello(hello: Extract<ServerMessage, { type: 'hello' }>): void {
    if (hello.version !== FEED_VERSION) {
      const detail = `the server speaks version ${hello.version}, this viewer ${FEED_VERSION}`
      this.#options.onProblem?.(new FeedError('feed-version', detail))
      this.close()
      return
    }
    this.#ready = true
    this.#wait = this.#retry.first
    this.#unacknowledged = 0
    this.#acknowledgeEvery = Math.max(1, hello.unacknowledged >> 2)
    this.#options.onConnected?.(true)
    this.#options.onSources?.(hello.sources, hello.time)
    this.#options.onLibrary?.(hello.library)
    for (const { message } of this.#waiting.values()) this.#send(message)
    for (const follow of this.#follows.values()) {
      this.#send(follow.request())
      follow.connected(true)
    }
  }

  #takeProblem({ id, problem }: Extract<ServerMessage, { type: 'problem' }>): void {
    const error = new FeedError(problem.code, problem.detail, problem.errors)
    if (id === null) this.#options.onProblem?.(error)
    else if (this.#follows.has(id)) {
      this.#follows.get(id)?.ended(problem.detail)
      this.#follows.delete(id)
    } else this.#settle(id, ({ reject }) => reject(error))
  }

  #takeBytes(bytes: Uint8Array): void {
    const frame = decodeFrame(bytes)
    if (frame.sequence === 0) {
      this.#settle(frame.id, ({ resolve }) => resolve(bytes))
      return
    }
    // What was stopped in the meantime is acknowledged all the same: the server counts what it sent.
    this.#follows.get(frame.id)?.takeFrame(frame)
    if (++this.#unacknowledged < this.#acknowledgeEvery) return
    this.#unacknowledged = 0
    this.#send({ type: 'acknowledge', sequence: frame.sequence })
  }

  #settle(id: number, settle: (waiting: Waiting) => void): void {
    const asked = this.#waiting.get(id)
    this.#waiting.delete(id)
    if (asked !== undefined) settle(asked.waiting)
  }
}
