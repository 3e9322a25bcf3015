/** Starts a worker of this browser, again where its script could not be had while the server was away. */
import { loadPart } from './contact.js'
import type { WorkerTask } from './worker.js'

/** A worker that may still be on its way: what it is given waits for it. */
export interface TaskWorker {
  give(task: WorkerTask, ports: MessagePort[]): void
  /** Ends it, and the waiting for it. */
  terminate(): void
}

/** A worker with nothing to do yet. */
export function startWorker(): TaskWorker {
  const left = new AbortController()
  const loading = loadPart(() => loadWorker(left.signal), left.signal)
  // That it cannot be had has been told by then, and whoever left does not ask.
  loading.catch(() => undefined)
  return {
    give: (task, ports) => {
      // Not before the worker runs: ports given to one that never does are lost with all that was asked through them.
      loading.then((worker) => worker.postMessage(task, ports)).catch(() => undefined)
    },
    terminate: () => left.abort(),
  }
}

/**
 * Resolves when the worker says that it runs.
 *
 * @throws where its script could not be had
 */
function loadWorker(left: AbortSignal): Promise<Worker> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'recording' })
    const end = (why: unknown): void => {
      worker.terminate()
      reject(why)
    }
    left.addEventListener('abort', () => end(left.reason), { once: true })
    worker.addEventListener('message', () => resolve(worker), { once: true })
    worker.addEventListener('error', (event) => {
      // A script that fails says what went wrong; one that could not be had says nothing.
      if (!event.message) end(new Error('the script of the worker could not be had'))
    })
  })
}
