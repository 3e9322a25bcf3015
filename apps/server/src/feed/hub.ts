/** All clients of the feed, and the clock that drives them. */
import { FEED_VERSION, MAX_UNACKNOWLEDGED, type ServerMessage, type SourceInfo } from '@firstcrank/feed'
import type { WebSocket } from 'ws'
import type { LiveSession } from '../live/session.js'
import { wallClock } from '../live/session.js'
import { type FeedBackend, FeedConnection } from './feed-connection.js'
import type { EntryCache } from './live-follow.js'

/** What a hub needs beside what each connection does. */
export interface HubOptions extends FeedBackend {
  readonly version: string
  readonly sessions: () => readonly LiveSession[]
  readonly revision: () => number
}

/** Milliseconds between live batches: 20 a second. */
export const TICK = 50
/** Milliseconds between looks at whether clients are still there, and between reports on sources. Our own choice. */
const ALIVE_EVERY = 15_000
const SOURCES_EVERY = 1_000
/** Close code of RFC 6455 for a server that goes away. */
const GOING_AWAY = 1001

export class FeedHub {
  readonly #options: HubOptions
  readonly #connections = new Set<FeedConnection>()
  readonly #timers: NodeJS.Timeout[]
  #revision = 0
  #sourcesDue = true

  constructor(options: HubOptions) {
    this.#options = options
    this.#timers = [
      setInterval(() => this.tick(), TICK),
      setInterval(() => this.#each((connection) => connection.checkAlive()), ALIVE_EVERY),
      setInterval(() => this.tellSources(), SOURCES_EVERY),
    ]
  }

  get clients(): number {
    return this.#connections.size
  }

  /** Takes a client whose upgrade has been allowed. */
  accept(socket: WebSocket): void {
    const connection = new FeedConnection(socket, this.#options)
    this.#connections.add(connection)
    socket.on('close', () => this.#connections.delete(connection))
    connection.send({
      type: 'hello',
      version: FEED_VERSION,
      server: this.#options.version,
      time: wallClock(),
      tick: TICK * 1_000,
      unacknowledged: MAX_UNACKNOWLEDGED,
      sources: this.#sources(),
      library: this.#options.revision(),
    })
  }

  /** One step of the live feed: every client gets what is new, once. */
  tick(): void {
    const begun = performance.now()
    for (const session of this.#options.sessions()) session.tick()
    const cache: EntryCache = new Map()
    this.#each((connection) => connection.tick(cache))
    this.#tellLibrary()
    if (this.#sourcesDue) this.tellSources()
    this.#options.metrics.set('firstcrank_tick_seconds', (performance.now() - begun) / 1_000)
  }

  /** Something about a source has changed. */
  noticeSources(): void {
    this.#sourcesDue = true
  }

  /** Tells all clients of all sources, where there is something to tell. */
  tellSources(): void {
    const sources = this.#sources()
    if (sources.length === 0 && !this.#sourcesDue) return
    this.#sourcesDue = false
    this.#broadcast({ type: 'sources', time: wallClock(), sources })
  }

  /** A source is taken away. */
  dropSession(session: LiveSession): void {
    this.#each((connection) => connection.dropSession(session))
  }

  /** Levels for the metrics. */
  measure(): void {
    let follows = 0
    for (const connection of this.#connections) follows += connection.follows
    this.#options.metrics.set('firstcrank_clients', this.#connections.size)
    this.#options.metrics.set('firstcrank_follows', follows)
  }

  /** Says goodbye to all. */
  async close(): Promise<void> {
    for (const timer of this.#timers) clearInterval(timer)
    this.#each((connection) => connection.close(GOING_AWAY, 'the server is stopping'))
    await new Promise((resolve) => setTimeout(resolve, this.#connections.size > 0 ? 200 : 0))
    this.#each((connection) => connection.terminate())
  }

  #tellLibrary(): void {
    const revision = this.#options.revision()
    if (revision === this.#revision) return
    this.#revision = revision
    this.#broadcast({ type: 'library', revision })
  }

  #broadcast(message: ServerMessage): void {
    const text = JSON.stringify(message)
    this.#each((connection) => {
      // Who is behind gets the next one.
      if (connection.ready || message.type === 'library') connection.send(message, text)
    })
  }

  #sources(): SourceInfo[] {
    return this.#options.sessions().map((session) => session.info())
  }

  #each(action: (connection: FeedConnection) => void): void {
    for (const connection of this.#connections) action(connection)
  }
}
