/** What an export holds: the query of its address. */
import { address, channelName, micros } from '@firstcrank/feed'
import { z } from 'zod'

/** Formats an export can be in, with their media types. */
export const EXPORT_TYPES = {
  csv: 'text/csv; charset=utf-8; header=present',
  ndjson: 'application/x-ndjson; charset=utf-8',
  parquet: 'application/vnd.apache.parquet',
} as const

export type ExportFormat = keyof typeof EXPORT_TYPES

const fromText = <T extends z.ZodType<number, number>>(schema: T) =>
  z
    .string()
    .regex(/^-?\d{1,18}(\.\d+)?$/)
    .transform(Number)
    .pipe(schema)

export const exportQuery = z.strictObject({
  spn: z
    .string()
    .regex(/^\d{1,8}(,\d{1,8}){0,63}$/)
    .transform((text) => text.split(',').map(Number))
    .exactOptional()
    .describe('Suspect parameter numbers with commas between; all where not given'),
  sa: fromText(address).exactOptional(),
  channel: channelName.exactOptional(),
  from: fromText(micros).exactOptional(),
  to: fromText(micros).exactOptional(),
  all: z
    .enum(['true', 'false'])
    .default('false')
    .transform((text) => text === 'true')
    .describe('Whether messages without a value are there too, with the reason in status'),
})

export type ExportQuery = z.output<typeof exportQuery>
