/** A file → a recording, in pieces, leaving room between them for what is asked meanwhile. */
import type { Recording } from '@firstcrank/decoder'

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
  const { reader, bus } = recording.log
  let bytes = 0
  const counted = file.stream().pipeThrough(
    new TransformStream<Uint8Array<ArrayBuffer>, Uint8Array<ArrayBuffer>>({
      transform: (chunk, controller) => {
        bytes += chunk.length
        controller.enqueue(chunk)
      },
    }),
  )
  const packed = await isGzip(file)
  const chunks = (packed ? counted.pipeThrough(new DecompressionStream('gzip')) : counted).getReader()
  let turn = performance.now()
  let told = turn
  for (;;) {
    const { done, value } = await next(chunks, packed, () => reader.damaged())
    if (done) break
    reader.push(value)
    const now = performance.now()
    if (now - turn < TURN) continue
    if (now - told >= TELL) {
      onProgress(bytes)
      told = now
    }
    await pause()
    turn = performance.now()
  }
  reader.finish()
  bus.finish()
}

type Read = ReadableStreamReadResult<Uint8Array>

/** The next chunk; a failure to unpack ends the log, a failure to read throws. */
async function next(
  chunks: ReadableStreamDefaultReader<Uint8Array>,
  packed: boolean,
  damaged: () => void,
): Promise<Read> {
  try {
    return await chunks.read()
  } catch (error) {
    if (!packed || !(error instanceof TypeError)) throw error
    damaged()
    return { done: true, value: undefined }
  }
}

async function isGzip(file: Blob): Promise<boolean> {
  const [first, second] = new Uint8Array(await file.slice(0, 2).arrayBuffer())
  return first === 0x1f && second === 0x8b
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
