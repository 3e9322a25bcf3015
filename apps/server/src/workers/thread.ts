/**
 * A worker thread and calls to it. Reading and decoding logs happens there, so that a large one never
 * holds up the live feed. A thread that dies fails the calls it had and is started anew.
 */
import { Worker } from 'node:worker_threads'
import { FeedError, type ProblemDetails } from '@firstcrank/feed'

/** What goes to a thread. */
export interface Call {
  readonly id: number
  readonly method: string
  readonly argument: unknown
}

/** What comes back. */
export type Return =
  | { readonly id: number; readonly result: unknown }
  | { readonly id: number; readonly problem: ProblemDetails }

interface Waiting {
  resolve(result: unknown): void
  reject(error: Error): void
}

/** Calls a thread has at most; more are refused. Our own choice. */
const MAX_WAITING = 256

/** One thread running one module. */
export class Thread {
  readonly #module: URL
  readonly #settings: unknown
  readonly #onDeath: (error: Error) => void
  readonly #waiting = new Map<number, Waiting>()
  #worker: Worker | undefined
  #lastId = 0
  #closed = false

  /**
   * @param module what the thread runs
   * @param settings its `workerData`
   */
  constructor(module: URL, settings: unknown, onDeath: (error: Error) => void) {
    this.#module = module
    this.#settings = settings
    this.#onDeath = onDeath
  }

  /** Whether it has been started: that waits for the first call. */
  get running(): boolean {
    return this.#worker !== undefined
  }

  /** Calls that have not returned. */
  get waiting(): number {
    return this.#waiting.size
  }

  /**
   * Calls a method of the thread.
   *
   * @throws {FeedError} what the method refuses with; `too-busy`, `internal`, `stopping`
   */
  call(method: string, argument: unknown): Promise<unknown> {
    if (this.#closed) return Promise.reject(new FeedError('stopping', 'the server is stopping'))
    if (this.#waiting.size >= MAX_WAITING) {
      return Promise.reject(new FeedError('too-busy', `${MAX_WAITING} requests are waiting`))
    }
    this.#worker ??= this.#start()
    const worker = this.#worker
    const id = ++this.#lastId
    return new Promise((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject })
      worker.postMessage({ id, method, argument } satisfies Call)
    })
  }

  /** Ends the thread; calls that have not returned are refused. */
  async close(): Promise<void> {
    this.#closed = true
    const worker = this.#worker
    this.#worker = undefined
    this.#failAll(new FeedError('stopping', 'the server is stopping'))
    await worker?.terminate()
  }

  #start(): Worker {
    const worker = new Worker(this.#module, { workerData: this.#settings })
    worker.on('message', (message: Return) => {
      const waiting = this.#waiting.get(message.id)
      this.#waiting.delete(message.id)
      if ('result' in message) waiting?.resolve(message.result)
      else waiting?.reject(new FeedError(message.problem.code, message.problem.detail, message.problem.errors))
    })
    worker.on('error', (error) => this.#onDeath(error as Error))
    worker.on('exit', () => {
      if (this.#worker !== worker) return
      this.#worker = undefined
      this.#failAll(new FeedError('internal', 'the thread that was working on it has died'))
    })
    return worker
  }

  #failAll(error: FeedError): void {
    for (const { reject } of this.#waiting.values()) reject(error)
    this.#waiting.clear()
  }
}
