/** Where a log comes from: bytes, chunks of bytes, or a stream of them, plain or gzip. */

/** A log's bytes. A chunk may be used again by its giver once the next one is asked for. */
export type LogSource = Uint8Array | ReadableStream<Uint8Array> | AsyncIterable<Uint8Array> | Iterable<Uint8Array>

/**
 * Why a log could not be read to its end.
 * - `not-a-source`: the argument is none of the kinds of {@link LogSource}, or gives something else than bytes
 * - `damaged-gzip`: compressed data that end early or are not what they claim to be
 */
export type LogSourceErrorCode = 'not-a-source' | 'damaged-gzip'

/** A log that could not be read, or not to its end. */
export class LogSourceError extends Error {
  readonly code: LogSourceErrorCode

  constructor(code: LogSourceErrorCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.name = 'LogSourceError'
    this.code = code
  }
}

const GZIP_FIRST = 0x1f
const GZIP_SECOND = 0x8b

/**
 * The chunks of a log, unpacked where they are gzip.
 *
 * @throws {LogSourceError} `not-a-source`, `damaged-gzip` (after all that could be unpacked was given)
 */
export async function* readChunks(source: LogSource): AsyncGenerator<Uint8Array> {
  const chunks = chunksOf(source)
  let first = await nextChunk(chunks)
  if (first !== undefined && first.length === 1) {
    const kept = first.slice()
    const second = await nextChunk(chunks)
    first = second === undefined ? kept : concat(kept, second)
  }
  if (first === undefined) return
  const rest = startWith(first, chunks)
  if (first[0] === GZIP_FIRST && first[1] === GZIP_SECOND) yield* unpack(rest)
  else yield* rest
}

function chunksOf(source: LogSource): AsyncIterator<Uint8Array> {
  if (source instanceof Uint8Array) return oneChunk(source)
  if (source !== null && typeof source === 'object') {
    if (source instanceof ReadableStream) return readStream(source)
    if (Symbol.asyncIterator in source) return source[Symbol.asyncIterator]()
    if (Symbol.iterator in source) return fromIterable(source)
  }
  throw notASource()
}

function notASource(): LogSourceError {
  return new LogSourceError('not-a-source', 'a log is read from bytes, an iterable of bytes, or a stream of bytes')
}

async function* oneChunk(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes
}

async function* fromIterable(source: Iterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  yield* source
}

async function* readStream(stream: ReadableStream<Uint8Array>): AsyncGenerator<Uint8Array> {
  const reader = stream.getReader()
  let isOpen = true
  try {
    for (;;) {
      isOpen = false
      const { value, done } = await reader.read()
      if (done) return
      isOpen = true
      yield value
    }
  } finally {
    // Who stops early wants no more of it: the file or connection behind the stream can be closed.
    if (isOpen) await reader.cancel()
    reader.releaseLock()
  }
}

/** The next chunk that is not empty. */
async function nextChunk(chunks: AsyncIterator<Uint8Array>): Promise<Uint8Array | undefined> {
  for (;;) {
    const { value, done } = await chunks.next()
    if (done) return undefined
    if (!(value instanceof Uint8Array)) throw notASource()
    if (value.length > 0) return value
  }
}

function concat(a: Uint8Array, b: Uint8Array): Uint8Array {
  const joined = new Uint8Array(a.length + b.length)
  joined.set(a)
  joined.set(b, a.length)
  return joined
}

async function* startWith(first: Uint8Array, rest: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  try {
    yield first
    for (let chunk = await nextChunk(rest); chunk !== undefined; chunk = await nextChunk(rest)) yield chunk
  } finally {
    await rest.return?.()
  }
}

/**
 * Packed bytes are unpacked in pieces of this size, however they came: where an archive is damaged, what
 * could be unpacked of it depends on the pieces, and must not depend on chance. Smaller ones are slower.
 */
const PACKED_PIECE = 16_384

async function* unpack(packed: AsyncGenerator<Uint8Array>): AsyncGenerator<Uint8Array> {
  const pieces = inPieces(packed, PACKED_PIECE)
  let failure: { readonly error: unknown } | undefined
  const packedStream = new ReadableStream<BufferSource>({
    async pull(controller) {
      try {
        const { value, done } = await pieces.next()
        if (done) controller.close()
        else controller.enqueue(value)
      } catch (error) {
        failure = { error }
        throw error
      }
    },
    async cancel() {
      await pieces.return(undefined)
    },
  })
  try {
    yield* readStream(packedStream.pipeThrough(new DecompressionStream('gzip')))
  } catch (error) {
    // The archive is not damaged where its giver could not go on.
    if (failure !== undefined) throw failure.error
    throw new LogSourceError('damaged-gzip', 'the compressed log is damaged, or ends early', { cause: error })
  }
}

/** The same bytes in pieces of one size, the last one shorter; each has memory of its own. */
async function* inPieces(chunks: AsyncGenerator<Uint8Array>, size: number): AsyncGenerator<Uint8Array<ArrayBuffer>> {
  let piece = new Uint8Array(size)
  let filled = 0
  for await (const chunk of chunks) {
    for (let at = 0; at < chunk.length; ) {
      const part = chunk.subarray(at, at + size - filled)
      piece.set(part, filled)
      filled += part.length
      at += part.length
      if (filled < size) continue
      yield piece
      piece = new Uint8Array(size)
      filled = 0
    }
  }
  if (filled > 0) yield piece.subarray(0, filled)
}
