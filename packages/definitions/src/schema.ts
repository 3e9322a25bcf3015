/**
 * The file in which a person writes down parameter groups of their own: proprietary ones, or ones the
 * catalogue does not have. The schema is the one source of validation, of the types, and of the
 * published JSON Schema (`definitions.schema.json`).
 */
import { UNITS } from '@firstcrank/decoder/catalog'
import { z } from 'zod'

/** Version of the file's form. */
export const DEFINITIONS_VERSION = 1

const name = z
  .string()
  .trim()
  .min(1)
  .max(120)
  .refine((text) => !/\p{Cc}/u.test(text), 'must be on one line, without control characters')
const spn = z.int().min(0).max(524_287).describe('Suspect parameter number; for your own take one from 516096 up')
const at = z
  .string()
  .regex(/^[1-9]\d{0,3}(\.[1-8])?$/, 'must be a byte or byte.bit, both counted from 1, such as "4" or "1.5"')
  .describe('Where it starts: byte, or byte.bit, both counted from 1')
const range = z
  .union([z.literal('standard'), z.literal('full'), z.int().min(0)], 'must be "standard", "full" or a whole number')
  .describe('Which raw values are values: by the standard ranges, all of them, or those up to a number')
const note = z.string().max(1000)

const numeric = z.strictObject({
  kind: z.literal('numeric'),
  spn,
  name,
  at,
  bits: z.int().min(1).max(64),
  resolution: z.number().refine((value) => value !== 0, 'must not be 0'),
  offset: z.number().default(0),
  unit: z.enum(UNITS, `must be one of ${UNITS.join(', ')}`),
  range: range.optional(),
  note: note.optional(),
})

const state = z.strictObject({
  kind: z.literal('state'),
  spn,
  name,
  at,
  bits: z.int().min(1).max(32),
  states: z
    .record(z.string().regex(/^\d+$/, 'must be a raw value in decimal digits'), z.string().min(1).max(120))
    .describe('Label by raw value'),
  range: range.optional(),
  note: note.optional(),
})

const bitField = z.strictObject({
  kind: z.literal('bit-field'),
  spn,
  name,
  at,
  flags: z.array(z.string().min(1).max(120)).min(1).max(32).describe('Label of each bit, least significant first'),
  note: note.optional(),
})

const byteCount = z.int().min(1).max(1785)
const bytesOr = <W extends string>(word: W) =>
  z.union([z.literal(word), byteCount], `must be "${word}" or a number of bytes, 1 to 1785`)

const text = z.strictObject({
  kind: z.literal('text'),
  spn,
  name,
  at,
  bytes: bytesOr('delimited'),
  field: z.int().min(0).max(100).optional().describe('Which of the *-separated fields, from 0'),
  note: note.optional(),
})

const bytes = z.strictObject({
  kind: z.literal('bytes'),
  spn,
  name,
  at,
  bytes: bytesOr('rest'),
  note: note.optional(),
})

const signal = z.discriminatedUnion('kind', [numeric, state, bitField, text, bytes])

const group = z.strictObject({
  pgn: z.int().min(0).max(0x3ffff),
  acronym: z.string().trim().min(1).max(24),
  name,
  length: bytesOr('variable').default(8),
  priority: z.int().min(0).max(7).optional(),
  period: z.int().min(1).max(86_400_000).optional().describe('Milliseconds'),
  signals: z.array(signal).max(1000),
  repeat: z
    .strictObject({
      at: z.int().min(1).max(1785).describe('First byte of the first block, from 1'),
      bytes: z.int().min(1).max(1785).describe('Bytes in a block'),
      signals: z.array(signal).min(1).max(1000).describe("Positions count from the block's start"),
    })
    .optional(),
})

/** The whole file. */
export const definitionsFile = z.strictObject({
  $schema: z.string().optional(),
  version: z.literal(DEFINITIONS_VERSION),
  source: z.string().trim().min(1).max(300).describe('Who says so: shown wherever the definitions are explained'),
  groups: z.array(group).min(1).max(5000),
})

/** A definition file as read. */
export type DefinitionsFile = z.infer<typeof definitionsFile>
export type GroupInFile = DefinitionsFile['groups'][number]
export type SignalInFile = GroupInFile['signals'][number]

/** The published JSON Schema of the file. */
export function definitionsJsonSchema(): object {
  return {
    $id: 'firstcrank/definitions.schema.json',
    title: 'firstcrank parameter group definitions',
    ...z.toJSONSchema(definitionsFile, { io: 'input' }),
  }
}
