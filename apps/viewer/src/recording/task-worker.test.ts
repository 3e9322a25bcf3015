import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { type Contact, watchContact } from './contact.js'
import { startWorker } from './task-worker.js'
import type { WorkerTask } from './worker.js'

const TASK = { vouched: true, port: new MessageChannel().port1 } satisfies WorkerTask

/** A worker whose script can be had, or not: then its browser fires an error without a word. */
class StubbedWorker extends EventTarget {
  static readonly all: StubbedWorker[] = []
  static canBeHad: boolean[] = []
  readonly tasks: unknown[] = []
  readonly terminate = vi.fn<() => void>()

  constructor() {
    super()
    StubbedWorker.all.push(this)
    const had = StubbedWorker.canBeHad.shift()
    setTimeout(() => this.dispatchEvent(new Event(had ? 'message' : 'error')))
  }

  postMessage(task: unknown): void {
    this.tasks.push(task)
  }
}

describe('a worker whose script cannot be had', () => {
  const fetched = vi.fn<() => Promise<Response>>()
  let told: Contact[]
  let untold: () => void
  beforeEach(() => {
    vi.useFakeTimers()
    vi.stubGlobal('fetch', fetched)
    vi.stubGlobal('Worker', StubbedWorker)
    fetched.mockReset()
    StubbedWorker.all.length = 0
    told = []
    untold = watchContact((contact) => told.push(contact))
  })
  afterEach(() => {
    untold()
    vi.useRealTimers()
    vi.unstubAllGlobals()
  })

  it('is started again when the server is back, and does then what it was asked', async () => {
    StubbedWorker.canBeHad = [false, true]
    fetched.mockRejectedValueOnce(new TypeError('Failed to fetch')).mockImplementation(async () => new Response())
    startWorker().give(TASK, [])
    await vi.advanceTimersByTimeAsync(5_000)
    expect(StubbedWorker.all.map(({ tasks }) => tasks)).toEqual([[], [TASK]])
    expect(StubbedWorker.all[0]?.terminate).toHaveBeenCalled()
    expect(told).toEqual(['there'])
  })

  it('is started again where the server was back already, and nothing is said of older pages', async () => {
    StubbedWorker.canBeHad = [false, true]
    fetched.mockImplementation(async () => new Response())
    startWorker().give(TASK, [])
    await vi.advanceTimersByTimeAsync(5_000)
    expect(StubbedWorker.all.map(({ tasks }) => tasks)).toEqual([[], [TASK]])
    expect(told).toEqual(['there'])
  })

  it('is not started again for a page that was left', async () => {
    StubbedWorker.canBeHad = [false, true]
    fetched.mockRejectedValueOnce(new TypeError('Failed to fetch')).mockImplementation(async () => new Response())
    const worker = startWorker()
    worker.give(TASK, [])
    await vi.advanceTimersByTimeAsync(500)
    worker.terminate()
    await vi.advanceTimersByTimeAsync(5_000)
    expect(StubbedWorker.all.length).toBe(1)
  })

  it('ends with what it was asked', async () => {
    StubbedWorker.canBeHad = [true]
    const worker = startWorker()
    worker.give(TASK, [])
    await vi.advanceTimersByTimeAsync(100)
    worker.terminate()
    expect(StubbedWorker.all[0]?.terminate).toHaveBeenCalledTimes(1)
  })

  it('is told as older pages where it cannot be had a second time', async () => {
    StubbedWorker.canBeHad = []
    fetched.mockImplementation(async () => new Response())
    startWorker().give(TASK, [])
    await vi.advanceTimersByTimeAsync(5_000)
    expect(StubbedWorker.all.length).toBe(2)
    expect(told).toEqual(['there', 'older'])
  })
})
