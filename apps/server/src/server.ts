/** Everything put together: a server that is running. */
import type { Server as HttpServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { FEED_VERSION, FeedError } from '@firstcrank/feed'
import { type Logger, pino } from 'pino'
import { FeedHub } from './feed/hub.js'
import { upgradeHandler } from './feed/upgrade.js'
import { healthOf } from './health.js'
import { createApp } from './http/app.js'
import type { Context } from './http/context.js'
import { Guard, ownAddresses } from './http/guard.js'
import { createHttpServer, listen } from './http/http-server.js'
import { PAIR_PATH } from './http/pair-page.js'
import { Pairing } from './http/pairing.js'
import { measure } from './levels.js'
import { Library } from './library/library.js'
import type { LiveSession } from './live/session.js'
import { Sessions } from './live/sessions.js'
import { Metrics } from './metrics.js'
import { DEFAULT_PORT, DEFAULTS, PORTS_TRIED, type ServerOptions } from './options.js'
import { type OpenedSource, openSources } from './sources/open.js'
import { VERSION } from './version.js'
import { within } from './within.js'
import { ThreadPool } from './workers/pool.js'

/** A server that is running. */
export interface RunningServer {
  /** Where a browser on this machine finds it. */
  readonly url: string
  /** Where other devices find it; empty unless they may. */
  readonly lanUrls: readonly string[]
  /** Where another device is paired with a code; undefined where none may connect. */
  readonly pairUrl: string | undefined
  readonly port: number
  /** Ids of the live sources given, in their order. */
  readonly sources: readonly string[]
  readonly library: Library
  /** Looks for new logs at once. */
  scan(): Promise<void>
  /** Ends it: no new requests, recordings complete, clients told. */
  stop(): Promise<void>
}

/** Milliseconds a server that is stopping waits for what is under way. Our own choice. */
const STOP_WITHIN = 5_000

/**
 * Starts a server.
 *
 * @throws {LibraryError} where the library cannot be used
 * @throws {SourceError} `bad-address`
 */
export async function startServer(options: ServerOptions): Promise<RunningServer> {
  const log = options.log ?? pino({ level: 'silent' })
  const settings = { ...DEFAULTS, ...options }
  const live = openSources(options.live ?? [])
  const metrics = new Metrics()
  const threads = new ThreadPool(
    { memory: settings.memory, definitions: options.definitions ?? [] },
    settings.threads,
    (error) => {
      metrics.add('firstcrank_thread_deaths')
      log.error({ err: error }, 'a thread has died')
    },
  )
  let library: Library
  try {
    library = await Library.open({
      folder: options.library,
      outside: options.outside ?? [],
      maxUpload: settings.maxUpload,
      maxUnpacked: settings.maxUnpacked,
      thread: threads.jobs,
      log,
      onNotice: (text) => options.onNotice?.(text),
    })
  } catch (error) {
    await threads.close()
    throw error
  }
  const server = new Server(settings, library, threads, metrics, log)
  try {
    await server.listen()
    await server.start(live)
    return server
  } catch (error) {
    await server.stop()
    throw error
  }
}

type Settings = ServerOptions & Readonly<Record<keyof typeof DEFAULTS, number>>

class Server implements RunningServer {
  readonly library: Library
  readonly sources: string[] = []
  readonly #settings: Settings
  readonly #threads: ThreadPool
  readonly #metrics: Metrics
  readonly #log: Logger
  readonly #sessions: Sessions
  readonly #hub: FeedHub
  readonly #pairing: Pairing
  readonly #http: HttpServer
  #stopping: Promise<void> | undefined

  constructor(settings: Settings, library: Library, threads: ThreadPool, metrics: Metrics, log: Logger) {
    this.#settings = settings
    this.library = library
    this.#threads = threads
    this.#metrics = metrics
    this.#log = log
    this.#sessions = new Sessions({
      library,
      log,
      maxUnpacked: settings.maxUnpacked,
      onChange: () => this.#hub.noticeSources(),
      onNotice: (text) => settings.onNotice?.(text),
      ...(settings.liveLimits === undefined ? {} : { limits: settings.liveLimits }),
      ...(settings.recorder === undefined ? {} : { recorder: settings.recorder }),
      ...(settings.definitions === undefined ? {} : { definitions: settings.definitions }),
    })
    this.#hub = new FeedHub({
      version: VERSION,
      metrics,
      log,
      sessions: () => this.#sessions.all,
      revision: () => library.revision,
      session: (recording) => this.#session(recording),
      ask: async (recording, request) => {
        if (recording.startsWith('live:')) return this.#session(recording).answer(request)
        const run = recording.slice('run:'.length)
        if (request.ask === 'report') return JSON.parse(await this.#report(run))
        return threads.ask(library.place(run), 'answer', { request })
      },
    })
    this.#pairing = new Pairing(library.database, (code) => settings.onCode?.(code))
    this.#http = this.#createHttp()
  }

  get port(): number {
    return (this.#http.address() as AddressInfo | null)?.port ?? 0
  }

  get url(): string {
    return `http://localhost:${this.port}`
  }

  get lanUrls(): readonly string[] {
    return this.#settings.lan ? ownAddresses().map((address) => `http://${address}:${this.port}`) : []
  }

  get pairUrl(): string | undefined {
    const [url] = this.lanUrls
    return url && `${url}${PAIR_PATH}`
  }

  /** @throws {Error} where the port is taken */
  async listen(): Promise<void> {
    const { lan, host = lan ? '0.0.0.0' : '127.0.0.1', port = DEFAULT_PORT } = this.#settings
    const last = this.#settings.port === undefined ? port + PORTS_TRIED - 1 : port
    await listen(this.#http, host, port, last)
    this.library.lock.tell(this.url)
  }

  /** Opens the sources and looks through the library. */
  async start(live: readonly OpenedSource[]): Promise<void> {
    this.#sessions.closeOld(live.filter(({ record }) => record).map(({ source }) => source.title))
    for (const { source, record } of live) this.sources.push(this.#sessions.startLive(source, record).id)
    const { lan = false, allowHosts = [] } = this.#settings
    if (lan || allowHosts.length > 0) this.#pairing.showCode()
    this.#log.info({ url: this.url, library: this.library.folder.path }, 'server started')
    // A large library takes a while to look through: nobody has to wait for it.
    this.library
      .start()
      .catch((error: Error) => this.#log.error({ err: error }, 'the library cannot be looked through'))
  }

  scan(): Promise<void> {
    return this.library.scan()
  }

  stop(): Promise<void> {
    this.#stopping ??= this.#stop()
    return this.#stopping
  }

  async #stop(): Promise<void> {
    this.#log.info('server is stopping')
    const closed = new Promise<void>((resolve) => this.#http.close(() => resolve()))
    await within(STOP_WITHIN, this.#sessions.stop())
    await this.#hub.close()
    this.#http.closeIdleConnections()
    await within(STOP_WITHIN, closed)
    this.#http.closeAllConnections()
    await this.#threads.close()
    await this.library.close()
    this.#log.info('server has stopped')
  }

  /** Most have been made already; one of a run that has just been changed is made now. */
  async #report(run: string): Promise<string> {
    const place = this.library.place(run)
    return (
      this.library.runs.report(run) ??
      JSON.stringify(await this.#threads.ask(place, 'answer', { request: { ask: 'report' } }))
    )
  }

  #session(recording: string): LiveSession {
    if (!recording.startsWith('live:')) throw new FeedError('source-not-found', `${recording} is not live`)
    return this.#sessions.get(recording.slice('live:'.length))
  }

  #createHttp(): HttpServer {
    const { lan = false, allowHosts = [], maxUpload, maxUnpacked, maxClients, viewer } = this.#settings
    const guard = new Guard({ lan, allowHosts, pairing: this.#pairing })
    const context: Context = {
      info: {
        name: 'firstcrank',
        version: VERSION,
        feed: FEED_VERSION,
        lan,
        limits: { upload: maxUpload, unpacked: maxUnpacked, clients: maxClients },
      },
      log: this.#log,
      metrics: this.#metrics,
      library: this.library,
      threads: this.#threads,
      sessions: this.#sessions,
      hub: this.#hub,
      pairing: this.#pairing,
      report: (run) => this.#report(run),
      isStopping: () => this.#stopping !== undefined,
      health: () => healthOf(this.#sessions, this.#stopping !== undefined),
      measure: () =>
        measure({
          metrics: this.#metrics,
          hub: this.#hub,
          library: this.library,
          threads: this.#threads,
          sessions: this.#sessions,
        }),
    }
    const http = createHttpServer(createApp({ context, guard, viewer }), maxClients)
    http.on(
      'upgrade',
      upgradeHandler({
        guard,
        hub: this.#hub,
        maxClients,
        metrics: this.#metrics,
        log: this.#log,
        isStopping: () => this.#stopping !== undefined,
      }),
    )
    return http
  }
}
