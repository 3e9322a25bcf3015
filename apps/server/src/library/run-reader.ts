/** Reads runs that have not been read, one after the other: summary and verdict go into the database. */
import { FeedError } from '@firstcrank/feed'
import type { Logger } from 'pino'
import type { ReadRun } from '../workers/jobs.js'
import type { LogPlace } from '../workers/places.js'
import type { RunStore } from './run-store.js'

/** The thread that does the reading. */
export interface RunThread {
  call(method: string, argument: unknown): Promise<unknown>
}

/** Works off the runs in state `reading`. */
export class RunReader {
  readonly #runs: RunStore
  readonly #place: (run: string) => LogPlace
  readonly #thread: RunThread
  readonly #log: Logger
  #working: Promise<void> | undefined
  #stopped = false

  constructor(runs: RunStore, place: (run: string) => LogPlace, thread: RunThread, log: Logger) {
    this.#runs = runs
    this.#place = place
    this.#thread = thread
    this.#log = log
  }

  /** Runs that wait. */
  get waiting(): number {
    return this.#stopped ? 0 : this.#runs.unread().length
  }

  /** There may be something to read. */
  wake(): void {
    if (this.#stopped) return
    this.#working ??= this.#work().finally(() => {
      this.#working = undefined
    })
  }

  /** What is being read is left as it is, to be read at the next start. */
  async stop(): Promise<void> {
    this.#stopped = true
    await this.#working
  }

  async #work(): Promise<void> {
    for (;;) {
      const [run] = this.#stopped ? [] : this.#runs.unread()
      if (run === undefined) return
      await this.#read(run)
    }
  }

  async #read(run: string): Promise<void> {
    try {
      const place = this.#place(run)
      const { summary, verdict, report, problem } = (await this.#thread.call('read', place)) as ReadRun
      this.#runs.setRead(run, summary, verdict, report)
      if (problem !== null) this.#runs.setState(run, 'ready', problem)
      this.#log.info({ run, frames: summary.frames, verdict: verdict?.level }, 'run read')
    } catch (error) {
      const code = error instanceof FeedError ? error.code : 'internal'
      if (code === 'stopping') {
        this.#stopped = true
        return
      }
      this.#log.warn({ run, err: error }, 'run cannot be read')
      this.#runs.setState(run, code === 'file-missing' ? 'missing' : 'failed', code)
    }
  }
}
