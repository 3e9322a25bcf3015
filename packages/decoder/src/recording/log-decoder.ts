/** A log's bytes → a {@link BusDecoder} and its sink: what all ways of reading a whole log share. */
import { LogReader, type OtherFrame, type ReaderOptions } from '../log/reader.js'
import { BusDecoder, type BusOptions, type BusSink } from './bus-decoder.js'
import { type LogSource, LogSourceError, readChunks } from './source.js'

/** What reading a log takes. */
export interface LogOptions extends ReaderOptions, BusOptions {
  /** Told after each chunk how many bytes were read so far, unpacked. */
  readonly onProgress?: (bytes: number) => void
}

/** Who takes what is in a log. */
export interface LogSink extends BusSink {
  other?(frame: OtherFrame): void
}

/** A log being read. */
export interface LogDecoder {
  readonly reader: LogReader
  readonly bus: BusDecoder
}

/** Builds the two, joined. `sinkFor` gets them before the first byte is read. */
export function createLogDecoder(sinkFor: (reader: LogReader) => LogSink, options: LogOptions = {}): LogDecoder {
  let bus: BusDecoder
  let sink: LogSink
  const reader = new LogReader({ frames: (batch) => bus.push(batch), other: (frame) => sink.other?.(frame) }, options)
  sink = sinkFor(reader)
  bus = new BusDecoder(reader.keys, sink, options)
  return { reader, bus }
}

/**
 * Reads a source to its end, chunk by chunk. Compressed data that end early are a problem of the log,
 * not an error: what could be unpacked is there.
 * Yields when all frames of a chunk's whole lines have been taken.
 *
 * @throws {LogSourceError} `not-a-source`
 */
export async function* readThrough(
  { reader, bus }: LogDecoder,
  source: LogSource,
  options: LogOptions = {},
): AsyncGenerator<void> {
  let bytes = 0
  try {
    for await (const chunk of readChunks(source)) {
      reader.push(chunk)
      bytes += chunk.length
      options.onProgress?.(bytes)
      yield
    }
  } catch (error) {
    if (!(error instanceof LogSourceError) || error.code !== 'damaged-gzip') throw error
    reader.damaged()
  }
  reader.finish()
  bus.finish()
  yield
}
