/** Opens a log in a worker of this browser. Nothing leaves the device. */
import type { Report } from '@firstcrank/analysis'
import { createSource, portTransport, type RecordingSource } from '@firstcrank/feed'
import { portOf } from './port.js'
import type { OpenLog } from './worker.js'

/** A recording as the pages see it. */
export type Source = RecordingSource<Report | null>

/** Starts reading a log; what is known of it can be asked at once. */
export function openLog(file: Blob, name: string): Source {
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'recording' })
  const { port1, port2 } = new MessageChannel()
  worker.postMessage({ file, name, port: port2 } satisfies OpenLog, [port2])
  const source = createSource<Report | null>(portTransport(portOf(port1)))
  return {
    ...source,
    close: () => {
      source.close()
      worker.terminate()
    },
  }
}
