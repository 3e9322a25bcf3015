/**
 * The library of runs: a folder of logs, and a database for what a log cannot hold. Logs come in by
 * upload, by being put into the folder, or by being recorded; each is read once, in a thread.
 */
import { randomBytes } from 'node:crypto'
import { createWriteStream, existsSync, renameSync } from 'node:fs'
import { rename, rm } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import type { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { FeedError, type Run } from '@firstcrank/feed'
import type { Logger } from 'pino'
import { limited } from '../limited.js'
import type { Notice } from '../notice.js'
import { VERSION } from '../version.js'
import type { Examined } from '../workers/examine.js'
import type { LogPlace } from '../workers/places.js'
import { type Database, openDatabase } from './database.js'
import { type FoundFile, LibraryFolder } from './folder.js'
import { type FolderLock, lockFolder } from './lock.js'
import { RunReader, type RunThread } from './run-reader.js'
import { RunStore } from './run-store.js'
import { Scanner } from './scanner.js'
import { titleOf } from './title.js'

/** What a library needs. */
export interface LibraryOptions {
  readonly folder: string
  /** Logs and folders of logs that are shown from where they are. */
  readonly outside?: readonly string[]
  /** Bytes an upload may have, and unpack to. */
  readonly maxUpload: number
  readonly maxUnpacked: number
  readonly thread: RunThread
  readonly log: Logger
  readonly onNotice?: Notice
}

/** A library that is open, and locked. */
export class Library {
  readonly folder: LibraryFolder
  readonly database: Database
  readonly runs: RunStore
  readonly lock: FolderLock
  /** Grows with every change. */
  revision = 0
  /** Another one each time a library is opened: revisions are counted anew. */
  readonly instance: string = randomBytes(6).toString('hex')
  readonly #options: LibraryOptions
  readonly #reader: RunReader
  readonly #scanner: Scanner
  #starting: Promise<void> = Promise.resolve()

  /**
   * Opens a library, which is made where it is not there.
   *
   * @throws {LibraryError} `library-in-use`, `library-unusable`, `library-too-new`, `library-damaged`
   */
  static async open(options: LibraryOptions): Promise<Library> {
    const lock = lockFolder(options.folder)
    try {
      const library = new Library(options, lock, openDatabase(options.folder))
      await library.folder.create()
      return library
    } catch (error) {
      lock.release()
      throw error
    }
  }

  private constructor(options: LibraryOptions, lock: FolderLock, database: Database) {
    this.#options = options
    this.lock = lock
    this.database = database
    this.folder = new LibraryFolder(options.folder, options.outside)
    this.runs = new RunStore(database, () => {
      this.revision++
    })
    this.#reader = new RunReader(this.runs, (run) => this.place(run), options.thread, options.log)
    const { log, onNotice = () => undefined } = options
    this.#scanner = new Scanner(this.folder, this.runs, (file) => this.#takeFound(file), log, onNotice)
  }

  /** Begins to look for logs, and to read those that have not been read. */
  start(): Promise<void> {
    this.#starting = this.#start()
    return this.#starting
  }

  async #start(): Promise<void> {
    await this.folder.tidy()
    this.runs.forgetVerdicts(VERSION)
    this.#reader.wake()
    await this.#scanner.start()
  }

  async close(): Promise<void> {
    await this.#scanner.stop()
    // Who started it has been told of what went wrong.
    await this.#starting.catch(() => undefined)
    await this.#reader.stop()
    this.database.close()
    this.lock.release()
  }

  /** Looks for new logs now. */
  scan(): Promise<void> {
    return this.#scanner.scan()
  }

  /** Runs that wait to be read. */
  get waiting(): number {
    return this.#reader.waiting
  }

  /** A log that is being written: it is not taken in yet. */
  keepOut(path: string, out: boolean): void {
    this.#scanner.keepOut(this.folder.name(path), out)
  }

  /**
   * Where a run's log is.
   *
   * @throws {FeedError} `run-not-found`, `file-missing`
   */
  place(id: string): LogPlace {
    const run = this.runs.get(id)
    const file = this.runs.fileOf(id)
    if (file === undefined) throw new FeedError('file-missing', `the log of ${run.title} is not where it was`)
    return { run: id, path: this.folder.absolute(file.path), name: run.title, profile: run.profile }
  }

  /**
   * Refuses an upload by the length its sender gives, before any of it is read.
   *
   * @throws {FeedError} `too-large`
   */
  checkLength(header: string | undefined): void {
    if (Number(header ?? 0) > this.#options.maxUpload) {
      throw new FeedError('too-large', `more than ${this.#options.maxUpload} bytes`)
    }
  }

  /**
   * Takes a log from a stream.
   *
   * @param name what the sender calls it: becomes the title, never a path
   * @throws {FeedError} `too-large`, `unpacked-too-large`, `not-a-log`, `disk-full`
   */
  async receive(stream: Readable, name: string): Promise<{ run: Run; duplicate: boolean }> {
    const path = join(this.folder.logs, `.upload-${randomBytes(8).toString('hex')}`)
    try {
      await pipeline(stream, limited(this.#options.maxUpload), createWriteStream(path, { flags: 'wx', flush: true }))
      const examined = await this.#examine(path)
      const id = idOf(examined)
      const before = this.runs.find(id)
      // Before it is looked for: what was in the trash may have been removed by hand.
      if (before !== undefined && before.trashed !== null) this.restore(id)
      if (before !== undefined && this.runs.fileOf(id) !== undefined) {
        return { run: this.runs.get(id), duplicate: true }
      }
      const kept = join(this.folder.logs, `${id}.log${examined.packed ? '.gz' : ''}`)
      await rename(path, kept)
      this.#add(examined, kept, titleOf(name))
      return { run: this.runs.get(id), duplicate: false }
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOSPC') throw new FeedError('disk-full', 'no room for the log')
      throw error
    } finally {
      await rm(path, { force: true })
    }
  }

  /** Takes in a log that has been recorded. */
  async recorded(path: string, session: { readonly id: string; readonly part: number }, title: string): Promise<void> {
    this.#add(await this.#examine(path), path, title, session)
  }

  /**
   * Moves a run to the trash, with every copy of its log. One outside the library stays where it is.
   *
   * @throws {FeedError} `run-not-found`
   */
  trash(id: string): void {
    this.runs.get(id)
    this.#move(id, this.folder.trash, (folder) => folder !== this.folder.trash)
    this.runs.setTrashed(id, true)
  }

  /** Takes a run out of the trash. @throws {FeedError} `run-not-found` */
  restore(id: string): void {
    this.runs.get(id)
    this.#move(id, this.folder.logs, (folder) => folder === this.folder.trash)
    this.runs.setTrashed(id, false)
    this.#reader.wake()
  }

  /** Something about a run has changed that its verdict depends on. */
  reread(): void {
    this.#reader.wake()
  }

  /**
   * In one go, so that the scanner never sees a half of it. A file that was removed by hand is forgotten.
   *
   * @param isMoved whether the files of a folder are moved
   */
  #move(id: string, to: string, isMoved: (folder: string) => boolean): void {
    for (const file of this.runs.filesOf(id)) {
      const from = this.folder.absolute(file.path)
      if (file.kept === 'outside' || !isMoved(dirname(from))) continue
      const moved = moveInto(to, from)
      this.runs.forgetFile(file.path)
      if (moved !== undefined) this.runs.addFile({ ...file, path: this.folder.name(moved) })
    }
    if (this.runs.fileOf(id) === undefined) this.runs.setState(id, 'missing')
  }

  async #takeFound(file: FoundFile): Promise<void> {
    const path = this.folder.absolute(file.path)
    const examined = await this.#examine(path)
    this.#add(examined, path, titleOf(basename(path)))
    if (examined.damaged) {
      this.#options.onNotice?.(`${file.path} is damaged or ends early: what could be unpacked of it is shown`)
    }
  }

  #examine(path: string): Promise<Examined> {
    return this.#options.thread.call('examine', { path, limit: this.#options.maxUnpacked }) as Promise<Examined>
  }

  /** Writes a file down, and its run where that is new. */
  #add(
    examined: Examined,
    path: string,
    title: string,
    session?: { readonly id: string; readonly part: number },
  ): void {
    const id = idOf(examined)
    const name = this.folder.name(path)
    const before = this.runs.find(id)
    const { hash, unpacked, bytes, modified, packed } = examined
    if (before === undefined)
      this.runs.add({ id, hash, title, bytes: unpacked, ...(session === undefined ? {} : { session }) })
    const kept = name === path ? 'outside' : 'library'
    this.runs.addFile({ path: name, run: id, bytes, modified, packed, kept })
    if (before?.state === 'missing') this.runs.setState(id, before.summary === null ? 'reading' : 'ready')
    this.#reader.wake()
  }
}

/** Where a file of that name can be put without taking the place of another run's. */
function freePath(folder: string, name: string): string {
  let path = join(folder, name)
  for (let n = 2; existsSync(path); n++) path = join(folder, `${n}-${name}`)
  return path
}

/** Moves a file. Returns where to; undefined where it is not there. */
function moveInto(folder: string, from: string): string | undefined {
  const to = freePath(folder, basename(from))
  try {
    renameSync(from, to)
    return to
  } catch (error) {
    // Where the folder is missing, the file is still there.
    if (existsSync(from)) throw error
    return undefined
  }
}

const idOf = ({ hash }: Examined): string => hash.slice(0, 32)
