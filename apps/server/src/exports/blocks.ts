/** Decoded values of a recording, signal after signal, in blocks small enough to be sent one by one. */
import { decodeSignal, type Recording, type Signal, STATUSES } from '@firstcrank/decoder'
import { blockOf } from '@firstcrank/feed'
import type { ExportQuery } from './query.js'

/** Rows in a block. Our own choice: some hundred kilobytes of text. */
const BLOCK_ROWS = 4_096
/** Raw values of more bits are hexadecimal digits: a number does not hold them. */
const EXACT_BITS = 53

/** A run of messages of one signal. */
export interface ExportBlock {
  readonly channel: string
  readonly pgn: number
  readonly sa: number
  readonly da: number
  readonly spn: number
  readonly name: string
  /** Null for states and flags. */
  readonly unit: string | null
  readonly instance: number | null
  readonly rows: readonly ExportRow[]
}

/** What one message says of the signal. */
export interface ExportRow {
  /** Microseconds. */
  readonly time: number
  readonly value: number | null
  readonly raw: number | string | null
  readonly status: string
  /** Of a valid state or of flags; else null. */
  readonly label: string | null
}

/** Names of an export's columns, in order: those of docs/formats.md, the same in every format. */
export const EXPORT_COLUMNS = [
  't',
  'channel',
  'pgn',
  'sa',
  'da',
  'spn',
  'name',
  'value',
  'unit',
  'raw',
  'status',
  'label',
  'text',
  'instance',
] as const

/** Blocks of all signals that fit, in order of their streams' first appearance, each in order of time. */
export function* exportBlocks(recording: Recording, query: ExportQuery): Generator<ExportBlock> {
  const { spn, sa, channel, from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY, all } = query
  const wanted = spn === undefined ? undefined : new Set(spn)
  const which = { ...(sa === undefined ? {} : { sa }), ...(channel === undefined ? {} : { channel }) }
  for (const signal of recording.signals(which)) {
    if (wanted !== undefined && !wanted.has(signal.spn)) continue
    const end = signal.stream.rowAfter(to)
    for (let row = signal.stream.rowAt(from); row < end; row += BLOCK_ROWS) {
      const rows = rowsOf(signal, row, Math.min(end, row + BLOCK_ROWS), all)
      if (rows.length > 0) yield { ...headOf(recording, signal), rows }
    }
  }
}

function headOf(recording: Recording, { definition, stream, instance, spn }: Signal): Omit<ExportBlock, 'rows'> {
  return {
    channel: recording.channels[stream.channel] ?? '',
    pgn: stream.pgn,
    sa: stream.sa,
    da: stream.da,
    spn,
    name: definition.name,
    unit: definition.kind === 'numeric' ? definition.unit : null,
    instance: instance ?? null,
  }
}

function rowsOf(signal: Signal, from: number, to: number, all: boolean): ExportRow[] {
  const { definition, stream } = signal
  const statuses = signal.statuses(from, to)
  const times = stream.times(from, to)
  const values = signal.values(from, to)
  const raws = signal.raws(from, to)
  const rows: ExportRow[] = []
  for (let row = 0; row < to - from; row++) {
    const status = STATUSES[statuses[row] as number] as string
    const isValid = status === 'valid'
    // What was not sent is no value that somebody failed to give.
    if (status === 'not-sent' || (!isValid && !all)) continue
    const raw = raws[row] as number
    rows.push({
      time: times[row] as number,
      value: isValid ? (values[row] as number) : null,
      raw: definition.bits <= EXACT_BITS ? raw : wideRaw(signal, from + row),
      status,
      label: isValid ? labelOf(definition, raw) : null,
    })
  }
  return rows
}

/** Read message by message: a column of numbers does not hold it exactly. */
function wideRaw({ definition, stream, group, instance }: Signal, row: number): number | string | null {
  return decodeSignal(definition, blockOf(stream.payload(row), group, instance)).raw
}

function labelOf(definition: Signal['definition'], raw: number): string | null {
  if (definition.kind === 'state') return definition.states[raw] ?? `state ${raw}`
  if (definition.kind !== 'bit-field') return null
  return definition.flags.filter((_, bit) => Math.floor(raw / 2 ** bit) % 2 === 1).join(', ') || 'none'
}

/** Seconds with exactly six decimals. */
export function exactSeconds(micros: number): string {
  const whole = Math.round(micros)
  const size = Math.abs(whole)
  const seconds = Math.floor(size / 1_000_000)
  return `${whole < 0 ? '-' : ''}${seconds}.${String(size - seconds * 1_000_000).padStart(6, '0')}`
}
