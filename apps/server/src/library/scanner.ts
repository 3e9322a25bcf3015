/** Notices logs that are put into the library's folders, changed, or taken away. */
import { type FSWatcher, watch } from 'node:fs'
import { FeedError } from '@firstcrank/feed'
import type { Logger } from 'pino'
import type { Notice } from '../notice.js'
import type { FoundFile, LibraryFolder } from './folder.js'
import type { RunStore } from './run-store.js'

/** Milliseconds a file must rest before it is taken to be whole, and between looks. Our own choice. */
const SETTLE = 1_000
const LOOK_EVERY = 10_000
const AFTER_CHANGE = 250

/** Looks again and again, and at once where the system tells of a change. */
export class Scanner {
  readonly #folder: LibraryFolder
  readonly #runs: RunStore
  readonly #take: (file: FoundFile) => Promise<void>
  readonly #log: Logger
  readonly #onNotice: Notice
  readonly #keptOut = new Set<string>()
  /** Files that are no logs, as they were when that was found. */
  readonly #refused = new Map<string, string>()
  #watchers: FSWatcher[] = []
  #timer: NodeJS.Timeout | undefined
  #due = Number.POSITIVE_INFINITY
  #scanning: Promise<void> = Promise.resolve()
  #stopped = false

  constructor(
    folder: LibraryFolder,
    runs: RunStore,
    take: (file: FoundFile) => Promise<void>,
    log: Logger,
    onNotice: Notice,
  ) {
    this.#folder = folder
    this.#runs = runs
    this.#take = take
    this.#log = log
    this.#onNotice = onNotice
  }

  /** Looks once, and from then on. */
  async start(): Promise<void> {
    if (this.#stopped) return
    this.#watchers = this.#folder.watched.flatMap((place) => {
      try {
        return [watch(place, () => this.#lookIn(AFTER_CHANGE))]
      } catch {
        // Systems differ in what they can watch; the regular look finds it all the same.
        return []
      }
    })
    await this.scan()
    this.#lookIn(LOOK_EVERY)
  }

  async stop(): Promise<void> {
    this.#stopped = true
    clearTimeout(this.#timer)
    for (const watcher of this.#watchers) watcher.close()
    await this.#scanning
  }

  /** A file that is not to be taken in, such as one being recorded. */
  keepOut(path: string, out: boolean): void {
    if (out) this.#keptOut.add(path)
    else this.#keptOut.delete(path)
  }

  /** Looks now; a look that is under way is finished first. */
  scan(): Promise<void> {
    this.#scanning = this.#scanning.then(() => this.#scan())
    return this.#scanning
  }

  /** Looks after so many milliseconds, or sooner where that is planned already. */
  #lookIn(wait: number): void {
    const due = performance.now() + wait
    if (this.#stopped || due >= this.#due) return
    clearTimeout(this.#timer)
    this.#due = due
    this.#timer = setTimeout(() => {
      this.#due = Number.POSITIVE_INFINITY
      this.scan().then(
        () => this.#lookIn(LOOK_EVERY),
        (error: Error) => this.#log.error({ err: error }, 'the library cannot be looked through'),
      )
    }, wait)
  }

  async #scan(): Promise<void> {
    if (this.#stopped) return
    const files = await this.#folder.find()
    const present = new Set(files.map(({ path }) => path))
    for (const file of this.#runs.files()) {
      if (present.has(file.path) || (await this.#folder.isThere(file))) continue
      this.#runs.forgetFile(file.path)
      if (this.#runs.fileOf(file.run) === undefined) this.#runs.setState(file.run, 'missing')
    }
    for (const file of files) {
      if (this.#stopped) return
      await this.#consider(file)
    }
  }

  async #consider(file: FoundFile): Promise<void> {
    const { path, bytes, modified } = file
    if (this.#keptOut.has(path)) return
    const known = this.#runs.file(path)
    if (known !== undefined && known.bytes === bytes && known.modified === modified) return
    const looks = `${bytes} ${modified}`
    if (this.#refused.get(path) === looks) return
    if (Date.now() - modified < SETTLE) {
      this.#lookIn(SETTLE)
      return
    }
    try {
      await this.#take(file)
      if (known !== undefined && this.#runs.fileOf(known.run) === undefined) this.#runs.setState(known.run, 'missing')
      this.#log.info({ path }, 'log found')
    } catch (error) {
      if (error instanceof FeedError && (error.code === 'stopping' || error.code === 'file-missing')) return
      this.#refused.set(path, looks)
      // A code says all of what was foreseen; the rest is for whoever mends it.
      if (error instanceof FeedError) this.#log.info({ path, code: error.code }, 'file is not taken into the library')
      else this.#log.warn({ path, err: error }, 'file is not taken into the library')
      this.#onNotice(`${path} is not taken into the library: ${(error as Error).message}`)
    }
  }
}
