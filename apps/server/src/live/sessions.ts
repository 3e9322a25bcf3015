/** All live sources and replays of a server. */
import { randomBytes } from 'node:crypto'
import { createReadStream, createWriteStream } from 'node:fs'
import { rm } from 'node:fs/promises'
import { join } from 'node:path'
import { pipeline } from 'node:stream/promises'
import { createGunzip } from 'node:zlib'
import type { GroupDefinition } from '@firstcrank/decoder'
import { FeedError, type ReplayRequest, type SourceInfo } from '@firstcrank/feed'
import type { Logger } from 'pino'
import type { Library } from '../library/library.js'
import { SessionStore, type StoredSession } from '../library/session-store.js'
import { limited } from '../limited.js'
import type { Notice } from '../notice.js'
import { ReplaySource } from '../sources/replay.js'
import type { Source } from '../sources/source.js'
import { LIVE_LIMITS, type LiveLimits } from './live-recording.js'
import { Recorder, type RecorderOptions } from './recorder.js'
import { recorderNotices } from './recorder-notice.js'
import { trimRecording } from './recording-file.js'
import { LiveSession } from './session.js'

/** How sessions are kept. */
export interface SessionsOptions {
  readonly library: Library
  readonly log: Logger
  readonly limits?: LiveLimits
  readonly recorder?: Pick<RecorderOptions, 'syncEvery' | 'rotateAt' | 'openFile'>
  readonly maxUnpacked: number
  readonly definitions?: readonly GroupDefinition[]
  /** Told when a session comes, changes or goes. */
  readonly onChange?: () => void
  readonly onNotice?: Notice
}

/** Sessions at a time. Our own choice: each keeps its last minutes in memory. */
const MAX_SESSIONS = 16

/** Starts, finds and ends sessions. */
export class Sessions {
  readonly #options: SessionsOptions
  readonly #store: SessionStore
  readonly #sessions = new Map<string, LiveSession>()
  readonly #takingIn = new Set<Promise<void>>()
  /** Replays that are being unpacked. */
  #opening = 0

  constructor(options: SessionsOptions) {
    this.#options = options
    this.#store = new SessionStore(options.library.database)
  }

  get all(): readonly LiveSession[] {
    return [...this.#sessions.values()]
  }

  /** @throws {FeedError} `source-not-found` */
  get(id: string): LiveSession {
    const session = this.#sessions.get(id)
    if (session === undefined) throw new FeedError('source-not-found', `no source ${id}`)
    return session
  }

  list(): SourceInfo[] {
    return this.all.map((session) => session.info())
  }

  /**
   * Sessions that a stopped server left open and that nobody goes on with: their files become runs.
   *
   * @param titles of the sources that are being started
   */
  closeOld(titles: readonly string[]): void {
    for (const old of this.#store.open()) {
      if (titles.includes(old.title)) continue
      if (old.file !== null) {
        const file = this.#options.library.folder.absolute(old.file)
        this.#takeIn(old, file, old.part, trimRecording(file))
      }
      this.#store.end(old.id)
    }
  }

  /** Starts a live source; with `record`, what it sends is recorded, and an open session of it is resumed. */
  startLive(source: Source, record: boolean): LiveSession {
    const old = record ? this.#store.open().find(({ title }) => title === source.title) : undefined
    const id = old?.id ?? `live-${stamp()}-${randomBytes(3).toString('hex')}`
    const recorder = record ? this.#recorder(id, source.title, old) : undefined
    return this.#start(id, source, recorder === undefined ? {} : { recorder })
  }

  /**
   * Replays a run.
   *
   * @throws {FeedError} `run-not-found`, `file-missing`, `too-busy`, `unpacked-too-large`
   */
  async startReplay({ run, ...how }: ReplayRequest): Promise<LiveSession> {
    if (this.#sessions.size + this.#opening >= MAX_SESSIONS) {
      throw new FeedError('too-busy', `${MAX_SESSIONS} sources are open`)
    }
    this.#opening++
    try {
      return await this.#openReplay(run, how)
    } finally {
      this.#opening--
    }
  }

  async #openReplay(run: string, how: Omit<ReplayRequest, 'run'>): Promise<LiveSession> {
    const { library } = this.#options
    const place = library.place(run)
    const packed = library.runs.fileOf(run)?.packed ?? false
    const path = packed ? await this.#unpack(place.path) : place.path
    const release = packed ? () => rm(path, { force: true }) : undefined
    const source = new ReplaySource(path, { title: place.name, ...how, ...(release === undefined ? {} : { release }) })
    return this.#start(`replay-${randomBytes(6).toString('hex')}`, source, { run })
  }

  /** Ends a session and forgets it. @throws {FeedError} `source-not-found` */
  async remove(id: string): Promise<void> {
    const session = this.get(id)
    await session.stop()
    this.#sessions.delete(id)
    this.#options.onChange?.()
  }

  /** Whether a run is being replayed. */
  isReplayed(run: string): boolean {
    return this.all.some((session) => session.run === run && session.state !== 'ended')
  }

  /** Ends all; what was recorded is complete and in the library when this resolves, as far as it can be. */
  async stop(): Promise<void> {
    await Promise.all(this.all.map((session) => session.stop()))
    await Promise.all(this.#takingIn)
  }

  #start(id: string, source: Source, parts: { recorder?: Recorder; run?: string }): LiveSession {
    const { limits = LIVE_LIMITS, log, definitions = [], onChange, onNotice } = this.#options
    const session = new LiveSession({
      id,
      source,
      limits,
      definitions,
      ...parts,
      onState: (state, detail) => {
        log.info({ source: id, state, detail }, 'source')
        // Who steers a replay sees it.
        if (parts.run === undefined && detail !== 'stopped') onNotice?.(noticeOf(source.title, detail))
        if (state === 'ended') this.#complete(session)
      },
      onChange: () => onChange?.(),
    })
    this.#sessions.set(id, session)
    session.start()
    onChange?.()
    return session
  }

  /** The source has ended by itself: nothing more is to be recorded. */
  #complete(session: LiveSession): void {
    session.stop().catch((error: Error) => this.#options.log.error({ err: error }, 'source cannot be ended'))
  }

  #recorder(id: string, title: string, old: StoredSession | undefined): Recorder {
    const { library, log, onNotice = () => undefined } = this.#options
    const tell = recorderNotices(title, onNotice)
    if (old === undefined) this.#store.begin(id, title)
    const goesOn = old?.file != null ? { resume: { file: library.folder.absolute(old.file), part: old.part } } : {}
    if (old?.file != null) library.keepOut(library.folder.absolute(old.file), true)
    return new Recorder({
      folder: library.folder.logs,
      session: id,
      title,
      ...this.#options.recorder,
      ...goesOn,
      ...(old !== undefined && old.file === null ? { firstPart: old.part } : {}),
      onState: (state, detail) => {
        const isBad = state === 'disk-full' || state === 'failed'
        log[isBad ? 'error' : 'info']({ source: id, state, detail }, 'recorder')
        tell(state, detail)
        this.#sessions.get(id)?.tellRecorder(state, detail)
        if (state === 'stopped') this.#store.end(id)
      },
      onFile: (file, part, complete) => {
        if (complete) {
          this.#store.setFile(id, null, part + 1)
          this.#takeIn({ id, title }, file, part)
        } else {
          library.keepOut(file, true)
          this.#store.setFile(id, library.folder.name(file), part)
        }
      },
    })
  }

  /** @param ready what has to be done with the file before */
  #takeIn(
    { id, title }: Pick<StoredSession, 'id' | 'title'>,
    file: string,
    part: number,
    ready: Promise<void> = Promise.resolve(),
  ): void {
    const { library, log } = this.#options
    library.keepOut(file, true)
    const taken = ready
      .then(() => library.recorded(file, { id, part }, part === 1 ? `Live: ${title}` : `Live: ${title}, part ${part}`))
      .catch((error: Error) => log.warn({ file, err: error }, 'recording is not taken into the library'))
      .finally(() => library.keepOut(file, false))
    this.#takingIn.add(taken)
    taken.finally(() => this.#takingIn.delete(taken)).catch(() => undefined)
  }

  async #unpack(path: string): Promise<string> {
    const { library, maxUnpacked } = this.#options
    const plain = join(library.folder.logs, `.replay-${randomBytes(8).toString('hex')}`)
    try {
      await pipeline(
        createReadStream(path),
        createGunzip(),
        limited(maxUnpacked),
        createWriteStream(plain, { flags: 'wx' }),
      )
    } catch (error) {
      // What could be unpacked of a damaged archive can be replayed.
      if (!String((error as NodeJS.ErrnoException).code).startsWith('Z_')) {
        await rm(plain, { force: true })
        throw error
      }
    }
    return plain
  }
}

/** What became of a source, and which. */
const noticeOf = (title: string, detail: string): string => (detail.includes(title) ? detail : `${title}: ${detail}`)

/** The time as digits, for names. */
function stamp(): string {
  return new Date().toISOString().slice(0, 19).replaceAll(/[-:]/g, '').replace('T', '-')
}
