/** Opens a log in a worker of this browser. Nothing leaves the device. */
import type { Report } from '@firstcrank/analysis'
import { createSource, portTransport, type RecordingSource } from '@firstcrank/feed'
import { portOf } from './port.js'
import { startWorker } from './task-worker.js'

/** A recording as the pages see it. */
export type Source = RecordingSource<Report | null>

/** Starts reading a log; what is known of it can be asked at once. */
export function openLog(file: Blob, name: string): Source {
  const worker = startWorker()
  const { port1, port2 } = new MessageChannel()
  worker.give({ log: { file, name, port: port2 } }, [port2])
  return sourceOf(port1, () => worker.terminate())
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
