/** Two runs opened together: from the server's library, or both in one worker of this browser. */
import type { Comparison } from '@firstcrank/analysis'
import { FeedError, type ProblemDetails } from '@firstcrank/feed'
import { findFile } from './find-file.js'
import { type Source, sourceOf } from './open.js'
import { serverComparison, serverSource } from './server.js'
import { startWorker, type TaskWorker } from './task-worker.js'

/** One of two runs. */
export interface OpenSide {
  readonly source: Source
  readonly name: string
}

/** Two runs that can be asked, each alone and both together. */
export interface OpenPair {
  readonly before: OpenSide
  readonly after: OpenSide
  /** @throws {FeedError} */
  compare(vouched: boolean, left: AbortSignal): Promise<Comparison>
  close(): void
}

/** Why one of two runs cannot be opened. */
export class SideError extends Error {
  readonly side: 'before' | 'after'
  readonly why: unknown

  constructor(side: 'before' | 'after', why: unknown) {
    super(String(why))
    this.name = 'SideError'
    this.side = side
    this.why = why
  }
}

/**
 * Opens two runs by their ids.
 *
 * @throws {SideError}
 */
export async function openPair(before: string, after: string, left: AbortSignal): Promise<OpenPair> {
  // Runs of the library are compared where they are; where one is a file of this browser, both are read here.
  if (before.startsWith('run:') && after.startsWith('run:')) {
    const [one, two] = [
      await ofSide('before', serverSource(before, left)),
      await ofSide('after', serverSource(after, left)),
    ]
    return {
      before: one,
      after: two,
      compare: (vouched, unwanted) => serverComparison(before, after, vouched, unwanted),
      close: () => {
        one.source.close()
        two.source.close()
      },
    }
  }
  const [one, two] = [await ofSide('before', findFile(before, left)), await ofSide('after', findFile(after, left))]
  const worker = startWorker()
  const [a, b] = [new MessageChannel(), new MessageChannel()]
  worker.give({ before: { ...one, port: a.port2 }, after: { ...two, port: b.port2 } }, [a.port2, b.port2])
  const [source, other] = [sourceOf(a.port1, () => undefined), sourceOf(b.port1, () => undefined)]
  return {
    before: { source, name: one.name },
    after: { source: other, name: two.name },
    compare: (vouched) => ask(worker, vouched),
    close: () => {
      source.close()
      other.close()
      worker.terminate()
    },
  }
}

async function ofSide<T>(side: 'before' | 'after', found: Promise<T>): Promise<T> {
  try {
    return await found
  } catch (error) {
    throw new SideError(side, error)
  }
}

function ask(worker: TaskWorker, vouched: boolean): Promise<Comparison> {
  const { port1, port2 } = new MessageChannel()
  return new Promise((resolve, reject) => {
    port1.onmessage = ({ data }: MessageEvent<{ comparison: Comparison } | { problem: ProblemDetails }>) => {
      port1.close()
      if ('comparison' in data) resolve(data.comparison)
      else reject(new FeedError(data.problem.code, data.problem.detail))
    }
    worker.give({ vouched, port: port2 }, [port2])
  })
}
