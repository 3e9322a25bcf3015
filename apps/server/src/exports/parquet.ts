/** Exports as Parquet, written row group by row group, so that no more than one is in memory. */
import { ByteWriter, ParquetWriter } from 'hyparquet-writer'
import type { ExportBlock, ExportRow } from './blocks.js'

/** Rows in a row group. Our own choice. */
const GROUP_ROWS = 65_536

type SchemaElement = ConstructorParameters<typeof ParquetWriter>[0]['schema'][number]

/** A column: what the file says of it, and what it holds for each row. */
interface Column {
  readonly element: SchemaElement
  readonly pick: (block: ExportBlock, row: ExportRow) => unknown
}

const text = (name: string, repetition_type: 'REQUIRED' | 'OPTIONAL', pick: Column['pick']): Column => ({
  element: { name, type: 'BYTE_ARRAY', converted_type: 'UTF8', repetition_type },
  pick,
})
const whole = (name: string, repetition_type: 'REQUIRED' | 'OPTIONAL', pick: Column['pick']): Column => ({
  element: { name, type: 'INT32', repetition_type },
  pick,
})

/** In the order of `EXPORT_COLUMNS`. Raw values are text: some are wider than any number. */
const COLUMNS: readonly Column[] = [
  {
    element: { name: 't', type: 'INT64', converted_type: 'TIMESTAMP_MICROS', repetition_type: 'REQUIRED' },
    pick: (_, { time }) => BigInt(Math.round(time)),
  },
  text('channel', 'REQUIRED', ({ channel }) => channel),
  whole('pgn', 'REQUIRED', ({ pgn }) => pgn),
  whole('sa', 'REQUIRED', ({ sa }) => sa),
  whole('da', 'REQUIRED', ({ da }) => da),
  whole('spn', 'REQUIRED', ({ spn }) => spn),
  text('name', 'REQUIRED', ({ name }) => name),
  { element: { name: 'value', type: 'DOUBLE', repetition_type: 'OPTIONAL' }, pick: (_, { value }) => value },
  text('unit', 'OPTIONAL', ({ unit }) => unit),
  text('raw', 'OPTIONAL', (_, { raw }) => (raw === null ? null : `${raw}`)),
  text('status', 'REQUIRED', (_, { status }) => status),
  text('label', 'OPTIONAL', (_, { label }) => label),
  text('text', 'OPTIONAL', () => null),
  whole('instance', 'OPTIONAL', ({ instance }) => instance),
]

/** The blocks as a Parquet file. */
export async function* parquetChunks(blocks: Iterable<ExportBlock>): AsyncGenerator<Uint8Array> {
  const writer = new ByteWriter(1 << 20)
  const schema: SchemaElement[] = [
    { name: 'root', num_children: COLUMNS.length },
    ...COLUMNS.map(({ element }) => element),
  ]
  const parquet = new ParquetWriter({ writer, schema, createdBy: 'firstcrank' })
  let waiting: ExportBlock[] = []
  let rows = 0
  const writeGroup = async (): Promise<Uint8Array> => {
    await parquet.write({ columnData: columnsOf(waiting), rowGroupSize: GROUP_ROWS * 2 })
    waiting = []
    rows = 0
    return take(writer)
  }
  for (const block of blocks) {
    waiting.push(block)
    rows += block.rows.length
    if (rows >= GROUP_ROWS) yield await writeGroup()
  }
  if (rows > 0) yield await writeGroup()
  await parquet.finish()
  yield take(writer)
}

/** The bytes written so far; offsets in the file go on. */
function take(writer: ByteWriter): Uint8Array {
  const bytes = new Uint8Array(writer.buffer, 0, writer.index).slice()
  writer.index = 0
  return bytes
}

function columnsOf(blocks: readonly ExportBlock[]): { name: string; data: unknown[] }[] {
  return COLUMNS.map(({ element: { name }, pick }) => ({
    name,
    data: blocks.flatMap((block) => block.rows.map((row) => pick(block, row))),
  }))
}
