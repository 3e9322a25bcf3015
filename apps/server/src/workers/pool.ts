/** The server's threads: one that takes in logs, and some that hold recordings. */
import { FeedError } from '@firstcrank/feed'
import type { LogPlace, ThreadSettings } from './places.js'
import { Thread } from './thread.js'

/** All threads of a server. */
export class ThreadPool {
  /** Takes in new logs. */
  readonly jobs: Thread
  readonly #recordings: readonly Thread[]

  /**
   * @param settings the memory is for all recordings held together
   * @param threads how many hold recordings
   */
  constructor(settings: ThreadSettings, threads: number, onDeath: (error: Error) => void) {
    const start = (name: string, own: ThreadSettings): Thread =>
      new Thread(new URL(name, import.meta.url), own, onDeath)
    this.jobs = start('./jobs.js', settings)
    const share = { ...settings, memory: settings.memory / threads }
    this.#recordings = Array.from({ length: threads }, () => start('./recordings.js', share))
  }

  /** Calls that have not returned. */
  get waiting(): number {
    return this.#recordings.reduce((sum, thread) => sum + thread.waiting, this.jobs.waiting)
  }

  /** The thread that holds a run: always the same, so that no two hold it. */
  holder(run: string): Thread {
    const thread = this.#recordings[Number.parseInt(run.slice(0, 8), 16) % this.#recordings.length]
    if (thread === undefined) throw new FeedError('internal', 'there is no thread for recordings')
    return thread
  }

  /** Asks something of a run's recording. */
  ask(place: LogPlace, method: string, argument: object): Promise<unknown> {
    return this.holder(place.run).call(method, { place, ...argument })
  }

  /** Lets go of a run's recording, wherever it is held: comparing takes it to another's thread. */
  async forget(run: string): Promise<void> {
    await Promise.all(this.#running.map((thread) => thread.call('forget', { run })))
  }

  get #running(): readonly Thread[] {
    return this.#recordings.filter((thread) => thread.running)
  }

  /** Recordings held, and about how many bytes they take. */
  async usage(): Promise<{ recordings: number; bytes: number }> {
    const each = (await Promise.all(this.#running.map((thread) => thread.call('usage', {})))) as {
      recordings: number
      bytes: number
    }[]
    return each.reduce((sum, one) => ({ recordings: sum.recordings + one.recordings, bytes: sum.bytes + one.bytes }), {
      recordings: 0,
      bytes: 0,
    })
  }

  async close(): Promise<void> {
    await Promise.all([this.jobs, ...this.#recordings].map((thread) => thread.close()))
  }
}
