/** The worker of one recording, or of two that are compared. */
import type { Comparison } from '@firstcrank/analysis'
import { describeProblem, FeedError } from '@firstcrank/feed'
import { type OpenLog, type ServedLog, serveLog } from './serve-log.js'

/** What a worker is asked: to read a log, or two; and to compare the two, with the port for the answer. */
export type WorkerTask =
  | { readonly log: OpenLog }
  | { readonly before: OpenLog; readonly after: OpenLog }
  | { readonly vouched: boolean; readonly port: MessagePort }

let pair: readonly [before: ServedLog, after: ServedLog] | undefined

addEventListener('message', ({ data }: MessageEvent<WorkerTask>) => {
  if ('log' in data) settle(serveLog(data.log))
  else if ('port' in data) answer(data.vouched, data.port)
  else {
    pair = [serveLog(data.before), serveLog(data.after)]
    for (const log of pair) settle(log)
  }
})

// What it is given waits until its script is here: see `startWorker`.
postMessage('running')

/** What went wrong with a log is told to those who ask for it; nobody else needs to know. */
function settle({ read }: ServedLog): void {
  read.catch((error: unknown) => {
    if (!(error instanceof FeedError)) reportError(error)
  })
}

function answer(vouched: boolean, port: MessagePort): void {
  compare(vouched).then(
    (comparison) => port.postMessage({ comparison }),
    (error: unknown) => {
      const problem = error instanceof FeedError ? error.problem : describeProblem('internal', String(error))
      port.postMessage({ problem })
    },
  )
}

async function compare(vouched: boolean): Promise<Comparison> {
  if (pair === undefined) throw new FeedError('not-ready', 'no two logs have been opened')
  const [before, after] = pair
  await Promise.all([before.read, after.read])
  const { makeComparison } = await import('./comparison.js')
  return makeComparison(before, after, vouched)
}
