/** Opens a log in a worker of this browser. Nothing leaves the device. */
import type { Report } from '@firstcrank/analysis'
import { createSource, portTransport, type RecordingSource } from '@firstcrank/feed'
import { noteMissing } from './contact.js'
import { portOf } from './port.js'
import type { WorkerTask } from './worker.js'

/** A recording as the pages see it. */
export type Source = RecordingSource<Report | null>

/** Starts reading a log; what is known of it can be asked at once. */
export function openLog(file: Blob, name: string): Source {
  const worker = startWorker()
  const { port1, port2 } = new MessageChannel()
  start(worker, { log: { file, name, port: port2 } }, [port2])
  return sourceOf(port1, () => worker.terminate())
}

/** A worker of this browser with nothing to do yet. */
export function startWorker(): Worker {
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'recording' })
  worker.addEventListener('error', (event) => {
    // A script that fails says what went wrong; one that could not be had says nothing.
    if (!event.message) noteMissing().catch(reportError)
  })
  return worker
}

/** Gives a worker something to do. */
export function start(worker: Worker, task: WorkerTask, ports: MessagePort[]): void {
  worker.postMessage(task, ports)
}

/** What can be asked through a port of a worker. */
export function sourceOf(port: MessagePort, closed: () => void): Source {
  const source = createSource<Report | null>(portTransport(portOf(port)))
  return {
    ...source,
    close: () => {
      source.close()
      closed()
    },
  }
}
