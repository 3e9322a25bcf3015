/** The thread's side of `thread.ts`. */
import { parentPort } from 'node:worker_threads'
import { describeProblem, FeedError } from '@firstcrank/feed'
import type { Call, Return } from './thread.js'

/** Methods by name. */
export type Methods = Readonly<Record<string, (argument: never) => unknown>>

/** Answers calls for as long as the thread lives. */
export function serveThread(methods: Methods): void {
  const port = parentPort
  if (port === null) throw new TypeError('this module runs in a worker thread')
  const answer = async ({ id, method, argument }: Call): Promise<void> => {
    try {
      const result = await methods[method]?.(argument as never)
      const transfer = result instanceof Uint8Array && result.buffer instanceof ArrayBuffer ? [result.buffer] : []
      port.postMessage({ id, result } satisfies Return, transfer)
    } catch (error) {
      port.postMessage({ id, problem: problemOf(error) } satisfies Return)
    }
  }
  port.on('message', (call: Call) => {
    // The answer to a failure to answer is silence: the other side has gone.
    answer(call).catch(() => undefined)
  })
}

function problemOf(error: unknown) {
  if (error instanceof FeedError) return error.problem
  const { code, message } = error as NodeJS.ErrnoException
  if (code === 'ENOENT') return describeProblem('file-missing', message)
  if (code === 'ENOSPC') return describeProblem('disk-full', message)
  return describeProblem('internal', String((error as Error).stack ?? error))
}
