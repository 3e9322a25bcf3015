/** An export of a recording, chunk by chunk. */
import type { Recording } from '@firstcrank/decoder'
import { exportBlocks } from './blocks.js'
import { parquetChunks } from './parquet.js'
import type { ExportFormat, ExportQuery } from './query.js'
import { csvChunks, ndjsonChunks } from './text.js'

const CHUNKS = { csv: csvChunks, ndjson: ndjsonChunks, parquet: parquetChunks } as const

/** Bytes that are made as they are asked for. */
export type ExportChunks = Generator<Uint8Array> | AsyncGenerator<Uint8Array>

/** The bytes of an export, made as they are asked for. */
export function exportChunks(recording: Recording, format: ExportFormat, query: ExportQuery): ExportChunks {
  return CHUNKS[format](exportBlocks(recording, query))
}
