/** The three forms in which `decode --messages` writes messages: a line is time, then stream, then bytes. */
import { GLOBAL_ADDRESS, isProprietaryGroup, type Transported } from '@firstcrank/decoder'
import { cut, pad } from './text.js'
import { exactSeconds } from './time.js'
import { cell } from './value-form.js'

/** What messages share that came from one node to one destination in one manner. */
export interface MessageHead {
  /** Name of the interface. */
  readonly channel: string
  readonly pgn: number
  /** Both `null` where the group has no definition. */
  readonly acronym: string | null
  readonly name: string | null
  readonly sa: number
  readonly da: number
  readonly priority: number
  readonly transport: Transported
}

/** A form of output. The parts of a line are made apart, so that what repeats is made once. */
export interface MessageForm {
  /** What stands above all messages. */
  readonly header: string
  /** What stands between two bytes. */
  readonly between: string
  /** How a line begins. Times in microseconds; `start` is that of the log's first frame. */
  time(micros: number, start: number): string
  head(head: MessageHead): string
  /** The rest of the line, its end included: how many bytes, and the bytes in hexadecimal. */
  bytes(length: number, data: string): string
}

/** JSON, one object a line. */
const NDJSON: MessageForm = {
  header: '',
  between: '',
  time: (micros) => `{"t":${exactSeconds(micros)}`,
  head: ({ channel, pgn, acronym, name, sa, da, priority, transport }) =>
    `,"channel":${JSON.stringify(channel)},"pgn":${pgn},"acronym":${JSON.stringify(acronym)},"name":${JSON.stringify(name)},"defined":${name !== null},"sa":${sa},"da":${da},"priority":${priority},"transport":"${transport}"`,
  bytes: (length, data) => `,"length":${length},"data":"${data}"}\n`,
}

/** Columns of the CSV form. */
const CSV_COLUMNS = [
  't',
  'channel',
  'pgn',
  'acronym',
  'name',
  'defined',
  'sa',
  'da',
  'priority',
  'transport',
  'length',
  'data',
]

/** Comma-separated values by RFC 4180: lines end with CR LF. */
const CSV: MessageForm = {
  header: `${CSV_COLUMNS.join(',')}\r\n`,
  between: '',
  time: (micros) => exactSeconds(micros),
  head: ({ channel, pgn, acronym, name, sa, da, priority, transport }) =>
    `,${cell(channel)},${pgn},${cell(acronym ?? '')},${cell(name ?? '')},${name !== null},${sa},${da},${priority},${transport}`,
  bytes: (length, data) => `,${length},${data}\r\n`,
}

/** Widths of the table's columns; the bytes come last and take what they need. */
const WIDTHS = { time: 12, channel: 7, address: 4, priority: 8, pgn: 6, group: 11, transport: 8, length: 5 } as const

/** How a message came, in the words of SAE J1939-21. */
const TRANSPORTS: Readonly<Record<Transported, string>> = {
  single: 'single',
  bam: 'BAM',
  'rts-cts': 'RTS/CTS',
  extended: 'extended',
}

/** A table to be read by a person. Times count from the first frame. */
const TABLE: MessageForm = {
  header: `${[
    pad('time s', WIDTHS.time, 'right'),
    pad('channel', WIDTHS.channel),
    pad('from', WIDTHS.address, 'right'),
    pad('to', WIDTHS.address),
    pad('priority', WIDTHS.priority, 'right'),
    pad('PGN', WIDTHS.pgn, 'right'),
    pad('group', WIDTHS.group),
    pad('sent as', WIDTHS.transport),
    pad('bytes', WIDTHS.length, 'right'),
    'data',
  ].join('  ')}\n`,
  between: ' ',
  time: (micros, start) => exactSeconds(micros - start).padStart(WIDTHS.time),
  head: ({ channel, pgn, acronym, sa, da, priority, transport }) =>
    `  ${[
      pad(cut(channel, WIDTHS.channel), WIDTHS.channel),
      pad(String(sa), WIDTHS.address, 'right'),
      pad(da === GLOBAL_ADDRESS ? 'all' : String(da), WIDTHS.address),
      pad(String(priority), WIDTHS.priority, 'right'),
      pad(String(pgn), WIDTHS.pgn, 'right'),
      pad(cut(acronym ?? undefinedWord(pgn), WIDTHS.group), WIDTHS.group),
      pad(TRANSPORTS[transport], WIDTHS.transport),
    ].join('  ')}  `,
  bytes: (length, data) => `${pad(String(length), WIDTHS.length, 'right')}  ${data || 'none'}\n`,
}

function undefinedWord(pgn: number): string {
  return isProprietaryGroup(pgn) ? "maker's own" : 'not defined'
}

/** The forms by the name of the `--format` option. */
export const MESSAGE_FORMS: Readonly<Record<string, MessageForm>> = { table: TABLE, csv: CSV, ndjson: NDJSON }
