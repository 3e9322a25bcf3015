/** A file → a recording, in pieces, leaving room between them for what is asked meanwhile. */
import { type Recording, readThrough } from '@firstcrank/decoder'

/** Milliseconds of reading after which requests get their turn, and between two words about progress. */
const TURN = 40
const TELL = 120

/**
 * Reads a log, plain or gzip, into a recording. A gzip file that ends early is a problem of the log:
 * what could be unpacked is there.
 *
 * @param onProgress told how many bytes of the file have been read
 * @throws {DOMException} where the file itself cannot be read
 */
export async function readLog(file: Blob, recording: Recording, onProgress: (bytes: number) => void): Promise<void> {
  let bytes = 0
  const counted = file.stream().pipeThrough(
    new TransformStream<Uint8Array<ArrayBuffer>, Uint8Array<ArrayBuffer>>({
      transform: (chunk, controller) => {
        bytes += chunk.length
        controller.enqueue(chunk)
      },
    }),
  )
  let turn = performance.now()
  let told = turn
  for await (const _ of readThrough(recording.log, counted)) {
    const now = performance.now()
    if (now - turn < TURN) continue
    if (now - told >= TELL) {
      onProgress(bytes)
      told = now
    }
    await pause()
    turn = performance.now()
  }
}

/** Lets waiting messages in. A timer would wait at least four milliseconds. */
function pause(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel()
    port1.onmessage = () => {
      port1.close()
      resolve()
    }
    port2.postMessage(null)
  })
}
