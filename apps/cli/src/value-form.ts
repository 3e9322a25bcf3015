/** The three forms in which `decode` writes values: a line is time, then stream and signal, then value. */
import type { NumericDefinition, SignalDefinition, SignalValue } from '@firstcrank/decoder'
import { GLOBAL_ADDRESS } from '@firstcrank/decoder'
import { cut, hex, pad } from './text.js'
import { exactSeconds } from './time.js'

/** What the messages of one stream share. */
export interface StreamHead {
  /** Name of the interface. */
  readonly channel: string
  readonly pgn: number
  readonly acronym: string
  readonly sa: number
  readonly da: number
}

/** What is written of a value. */
export type ShownValue = Omit<SignalValue, 'spn' | 'name'>

/** A form of output. The three parts of a line are made apart, so that what repeats is made once. */
export interface ValueForm {
  /** What stands above all values. */
  readonly header: string
  /** How a line begins. Times in microseconds; `start` is that of the log's first frame. */
  time(micros: number, start: number): string
  /** What is the same in every line of a signal. */
  signal(stream: StreamHead, definition: SignalDefinition): string
  /** The rest of the line, its end included. */
  value(value: ShownValue): string
}

/** JSON, one object a line. */
const NDJSON: ValueForm = {
  header: '',
  time: (micros) => `{"t":${exactSeconds(micros)}`,
  signal: ({ channel, pgn, sa, da }, { spn, name }) =>
    `,"channel":${JSON.stringify(channel)},"pgn":${pgn},"sa":${sa},"da":${da},"spn":${spn},"name":${JSON.stringify(name)}`,
  value: ({ value, unit, raw, status, label, text, instance }) =>
    `,"value":${value},"unit":${JSON.stringify(unit)},"raw":${JSON.stringify(raw)},"status":"${status}"${field('label', label)}${field('text', text)}${field('instance', instance)}}\n`,
}

function field(key: string, value: string | number | undefined): string {
  return value === undefined ? '' : `,"${key}":${JSON.stringify(value)}`
}

/** Columns of the CSV form. */
const CSV_COLUMNS = [
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
]

/** Comma-separated values by RFC 4180: lines end with CR LF. */
const CSV: ValueForm = {
  header: `${CSV_COLUMNS.join(',')}\r\n`,
  time: (micros) => exactSeconds(micros),
  signal: ({ channel, pgn, sa, da }, { spn, name }) => `,${cell(channel)},${pgn},${sa},${da},${spn},${cell(name)}`,
  value: ({ value, unit, raw, status, label, text, instance }) =>
    `,${value ?? ''},${unit ?? ''},${raw ?? ''},${status},${cell(label)},${cell(text)},${instance ?? ''}\r\n`,
}

/** A cell of RFC 4180, in quotes where it needs them. */
export function cell(text: string | undefined): string {
  if (text === undefined) return ''
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}

/** Widths of the table's columns; the value comes last and takes what it needs. */
const WIDTHS = { time: 12, channel: 7, address: 4, group: 9, spn: 6, name: 44 } as const

/** A table to be read by a person. Times count from the first frame. */
const TABLE: ValueForm = {
  header: `${[
    pad('time s', WIDTHS.time, 'right'),
    pad('channel', WIDTHS.channel),
    pad('from', WIDTHS.address, 'right'),
    pad('to', WIDTHS.address),
    pad('group', WIDTHS.group),
    pad('SPN', WIDTHS.spn, 'right'),
    pad('signal', WIDTHS.name),
    'value',
  ].join('  ')}\n`,
  time: (micros, start) => exactSeconds(micros - start).padStart(WIDTHS.time),
  signal: ({ channel, acronym, sa, da }, { spn, name }) =>
    `  ${[
      pad(cut(channel, WIDTHS.channel), WIDTHS.channel),
      pad(String(sa), WIDTHS.address, 'right'),
      pad(da === GLOBAL_ADDRESS ? 'all' : String(da), WIDTHS.address),
      pad(cut(acronym, WIDTHS.group), WIDTHS.group),
      pad(String(spn), WIDTHS.spn, 'right'),
      pad(cut(name, WIDTHS.name), WIDTHS.name),
    ].join('  ')}  `,
  value: (value) => `${block(value.instance)}${valueText(value)}\n`,
}

function block(instance: number | undefined): string {
  return instance === undefined ? '' : `block ${instance + 1}: `
}

/** The forms by the name of the `--format` option. */
export const VALUE_FORMS: Readonly<Record<string, ValueForm>> = { table: TABLE, csv: CSV, ndjson: NDJSON }

/** What is shown in place of a number where the raw value is none. */
const STATUS_TEXTS: Readonly<Record<SignalValue['status'], string>> = {
  valid: '',
  'parameter-specific': 'parameter-specific code',
  reserved: 'reserved code',
  error: 'error reported by the sender',
  'not-available': 'not available',
  'not-sent': 'not sent',
}

/** A value for a person: `602.125 rpm`, `on`, `not available`, `error reported by the sender (raw FE)`. */
export function valueText({ definition, status, value, unit, raw, label, text }: ShownValue): string {
  if (status === 'not-available' || status === 'not-sent') return STATUS_TEXTS[status]
  if (status !== 'valid') return `${STATUS_TEXTS[status]} (raw ${rawText(raw)})`
  if (text !== undefined) return text === '' ? 'empty' : text.replace(/\p{C}/gu, '\ufffd')
  if (label !== undefined) return isNumberOnly(definition) ? String(value) : label
  if (value === null) return raw === null ? '' : String(raw)
  const number = definition.kind === 'numeric' ? numberText(value, definition) : String(value)
  return number + unitText(unit)
}

/** Units a number does without for a person: the signal's name says what is counted, or that it is a date. */
const SILENT_UNITS: ReadonlySet<string | null> = new Set([
  null,
  'count',
  'ratio',
  'gear',
  'step',
  'day',
  'month',
  'year',
])

/** What a person reads behind a number, its blank included. */
export function unitText(unit: SignalValue['unit']): string {
  return SILENT_UNITS.has(unit) ? '' : ` ${unit}`
}

/** Whether a code has no meanings but is a number in itself, as an address or a counter is. */
function isNumberOnly(definition: ShownValue['definition']): boolean {
  return definition.kind === 'state' && Object.keys(definition.states).length === 0
}

/** A raw value in hexadecimal. */
export function rawText(raw: number | string | null): string {
  return typeof raw === 'number' ? hex(raw) : (raw ?? '')
}

/** Digits after the point of a number with a resolution that has more than three: enough to tell two steps apart. */
const MOST_DECIMALS = 3

/** A number as a person reads it: exact where three decimals do, else as fine as its resolution. */
export function numberText(
  value: number,
  { resolution, offset }: Pick<NumericDefinition, 'resolution' | 'offset'>,
): string {
  const exact = Math.max(decimals(resolution), decimals(offset))
  if (exact <= MOST_DECIMALS) return value.toFixed(exact)
  return value.toFixed(Math.max(MOST_DECIMALS, Math.ceil(-Math.log10(resolution))))
}

function decimals(value: number): number {
  const [mantissa = '', exponent = '0'] = String(value).split('e')
  return Math.max(0, (mantissa.split('.')[1] ?? '').length - Number(exponent))
}
