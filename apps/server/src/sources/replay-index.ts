/** Where in a log which time is: found out once, so that a replay can begin anywhere. */
import type { FileHandle } from 'node:fs/promises'
import { LogReader } from '@firstcrank/decoder'

/** Bytes between two entries of the index. */
const CHUNK_BYTES = 65_536
const LF = 0x0a

/** A stretch of whole lines. */
export interface ReplayChunk {
  readonly offset: number
  readonly bytes: number
  /** Time of its first frame on the log's clean time line, in microseconds. */
  readonly time: number
}

/** A log's chunks in order. */
export interface ReplayIndex {
  readonly chunks: readonly ReplayChunk[]
  readonly deltas: boolean
  /** First and last time of the log, in microseconds. */
  readonly from: number
  readonly to: number
}

/** Reads a log through. An empty log has no chunks, and both its times are 0. */
export async function buildReplayIndex(file: FileHandle): Promise<ReplayIndex> {
  const found: { offset: number; bytes: number; time: number }[] = []
  let first = Number.NaN
  const seen = (time: number): void => {
    if (Number.isNaN(first)) first = time
  }
  const reader = new LogReader({
    frames: ({ time }) => seen(time[0] as number),
    other: ({ time }) => seen(time),
  })
  for await (const { offset, lines } of wholeLines(file)) {
    first = Number.NaN
    reader.push(lines)
    found.push({ offset, bytes: lines.length, time: first })
  }
  reader.finish()
  const { first: from = 0, last: to = 0, deltas } = reader.clock
  // A chunk without a frame takes the time of the one before it.
  let last = from
  for (const chunk of found) {
    if (Number.isNaN(chunk.time)) chunk.time = last
    last = chunk.time
  }
  return { chunks: found, deltas, from, to }
}

/** The lines of a chunk and when each was sent. */
export interface TimedLines {
  readonly bytes: Uint8Array
  /** Where each line ends, its newline included. */
  readonly ends: readonly number[]
  /** Time of each line in microseconds; NaN where it is no frame. */
  readonly times: readonly number[]
}

/** Reads chunks one after the other and times their lines. */
export class ReplayReader {
  readonly #file: FileHandle
  readonly #index: ReplayIndex
  readonly #reader: LogReader
  #next: number
  #lineTime = Number.NaN
  #shift = Number.NaN

  /** @param chunk the first one to be read */
  constructor(file: FileHandle, index: ReplayIndex, chunk: number) {
    this.#file = file
    this.#index = index
    this.#next = chunk
    this.#reader = new LogReader(
      {
        frames: ({ time, count }) => {
          this.#lineTime = time[count - 1] as number
        },
        other: ({ time }) => {
          this.#lineTime = time
        },
      },
      { deltas: index.deltas },
    )
  }

  /** The next chunk; undefined behind the last. */
  async read(): Promise<TimedLines | undefined> {
    const chunk = this.#index.chunks[this.#next++]
    if (chunk === undefined) return undefined
    // One byte more: the log's last line may lack its newline.
    const bytes = new Uint8Array(chunk.bytes + 1)
    const { bytesRead } = await this.#file.read(bytes, 0, chunk.bytes, chunk.offset)
    bytes[bytesRead] = LF
    return this.#time(bytes.subarray(0, bytesRead + (bytes[bytesRead - 1] === LF ? 0 : 1)), chunk)
  }

  #time(bytes: Uint8Array, chunk: ReplayChunk): TimedLines {
    const ends: number[] = []
    const times: number[] = []
    for (let start = 0; start < bytes.length; ) {
      const newline = bytes.indexOf(LF, start)
      const end = newline < 0 ? bytes.length : newline + 1
      this.#lineTime = Number.NaN
      this.#reader.push(bytes.subarray(start, end))
      // This reader began in the middle: only the index knows where the time line is by then.
      if (Number.isNaN(this.#shift)) this.#shift = chunk.time - this.#lineTime
      ends.push(end)
      times.push(this.#lineTime + (Number.isNaN(this.#shift) ? 0 : this.#shift))
      start = end
    }
    return { bytes, ends, times }
  }
}

/** The file in pieces that end at line ends. */
async function* wholeLines(file: FileHandle): AsyncGenerator<{ offset: number; lines: Uint8Array }> {
  let offset = 0
  let size = CHUNK_BYTES
  for (;;) {
    const buffer = new Uint8Array(size)
    const { bytesRead } = await file.read(buffer, 0, size, offset)
    if (bytesRead === 0) return
    const end = buffer.lastIndexOf(LF, bytesRead - 1) + 1
    const atEnd = bytesRead < size
    if (end === 0 && !atEnd) {
      // A line longer than a piece: the piece grows until it holds one.
      size *= 2
      continue
    }
    const bytes = end === 0 || atEnd ? bytesRead : end
    yield { offset, lines: buffer.subarray(0, bytes) }
    offset += bytes
    size = CHUNK_BYTES
  }
}
