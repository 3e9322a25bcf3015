/**
 * The decoder once more, slow and obvious: regular expressions, strings of bits, a search from each
 * announcement. Nothing is shared with the decoder; what the two agree on, two readings of the standard
 * agree on. Signals are in `reference-signals.ts`.
 *
 * It reads the file form of a line only, `(seconds.micros) channel identifier#data`, in its plain shape:
 * what else there is in a log is handed back unread. Sources are those the decoder's own files name.
 */

/** An extended data frame. */
export interface ReferenceFrame extends ReferenceIdentifier {
  /** Number of its line, from 1. */
  readonly line: number
  readonly micros: number
  readonly channel: string
  /** Hexadecimal digits, upper case. */
  readonly data: string
}

/** What an identifier says. */
export interface ReferenceIdentifier {
  readonly priority: number
  readonly pgn: number
  readonly sa: number
  readonly da: number
}

/** A log taken apart line by line. */
export interface ReferenceLog {
  readonly frames: readonly ReferenceFrame[]
  /** Lines with an 11-bit frame, lines with nothing in them, and all lines. */
  readonly standard: number
  readonly blank: number
  readonly lines: number
  /** Lines in no shape known here. */
  readonly unread: readonly string[]
}

const LINE = /^\((\d+)\.(\d{6})\) ([^\s#()[\]']+) ([0-9A-F]{3}|[0189][0-9A-F]{7})#((?:[0-9A-F]{2}){0,8})$/i

/** Reads a log. */
export function readReferenceLog(text: string): ReferenceLog {
  const lines = text.split('\n')
  if (lines.at(-1) === '') lines.pop()
  const frames: ReferenceFrame[] = []
  const unread: string[] = []
  let standard = 0
  let blank = 0
  lines.forEach((raw, index) => {
    const line = raw.replace(/\r$/, '')
    const match = LINE.exec(line)
    if (line.trim() === '') blank++
    else if (match === null) unread.push(line)
    else if (match[4].length === 3) standard++
    else {
      const [, seconds, micros, channel, id, data] = match
      const time = Number(BigInt(seconds) * 1_000_000n + BigInt(micros))
      frames.push({ ...readReferenceId(id), line: index + 1, micros: time, channel, data: data.toUpperCase() })
    }
  })
  return { frames, standard, blank, lines: lines.length, unread }
}

const fromBits = (bits: string): number => Number.parseInt(bits, 2)

/** Takes an identifier of eight hexadecimal digits apart; what stands above the 29th bit is left out. */
export function readReferenceId(hex: string): ReferenceIdentifier {
  const bits = BigInt(`0x${hex}`).toString(2).padStart(32, '0').slice(3)
  const format = bits.slice(5, 13)
  const specific = bits.slice(13, 21)
  const directed = fromBits(format) < 240
  return {
    priority: fromBits(bits.slice(0, 3)),
    pgn: fromBits(bits.slice(3, 5) + format + (directed ? '00000000' : specific)),
    sa: fromBits(bits.slice(21)),
    da: directed ? fromBits(specific) : 255,
  }
}

/** A message of more than one frame that came whole. */
export interface ReferenceMessage {
  readonly channel: string
  readonly pgn: number
  readonly sa: number
  readonly da: number
  readonly firstMicros: number
  readonly micros: number
  /** Hexadecimal digits. */
  readonly payload: string
  readonly transport: 'bam' | 'rts-cts'
}

const CONTROL = 60416
const DATA = 60160
/** Silence that ends a message; twice what SAE J1939-21 allows, as the decoder's own limits say. */
const SILENCE = { bam: 1_500_000, 'rts-cts': 2_500_000 } as const
const TRANSPORT_OF: Readonly<Record<string, ReferenceMessage['transport']>> = { '20': 'bam', '10': 'rts-cts' }

/** Every BAM and RTS/CTS message, in the order they were complete. */
export function readReferenceMessages(frames: readonly ReferenceFrame[]): ReferenceMessage[] {
  const transport = frames.filter(({ pgn }) => pgn === CONTROL || pgn === DATA)
  const found = transport.flatMap((frame, index) => {
    const message = isAnnouncement(frame) ? follow(frame, transport.slice(index + 1)) : undefined
    return message === undefined ? [] : [message]
  })
  return found.sort((a, b) => a.line - b.line).map(({ line: _, ...message }) => message)
}

function byteOf(data: string, number: number): string {
  return data.slice(number * 2 - 2, number * 2)
}

/** A number in bytes `first` to `last`, the lowest first. */
function numberIn(data: string, first: number, last: number): number {
  let hex = ''
  for (let number = first; number <= last; number++) hex = byteOf(data, number) + hex
  return Number.parseInt(hex, 16)
}

/** The group a control frame is about; of a directed one the lowest byte is no part. */
function groupIn(data: string): number {
  const pgn = numberIn(data, 6, 8)
  return numberIn(data, 7, 7) < 240 ? Math.floor(pgn / 256) * 256 : pgn
}

function isAnnouncement({ pgn, data }: ReferenceFrame): boolean {
  return pgn === CONTROL && data.length === 16 && byteOf(data, 1) in TRANSPORT_OF
}

/** Looks for the packets of an announced message in the transport frames behind the announcement. */
function follow(
  announcement: ReferenceFrame,
  later: readonly ReferenceFrame[],
): (ReferenceMessage & { line: number }) | undefined {
  const { channel, sa, da, data, micros } = announcement
  const transport = TRANSPORT_OF[byteOf(data, 1)]
  const size = numberIn(data, 2, 3)
  const total = numberIn(data, 4, 4)
  const pgn = groupIn(data)
  if (size < 1 || size > 1785 || total !== Math.ceil(size / 7) || pgn > 0x3ffff) return undefined

  const packets: string[] = []
  /** Packets below this were sent and have not been asked for again since. */
  let done = 0
  let last = micros
  for (const frame of later) {
    if (frame.micros > last + (da === 255 ? SILENCE.bam : SILENCE['rts-cts'])) return undefined
    if (frame.channel !== channel) continue
    const along = frame.sa === sa && frame.da === da
    const against = frame.sa === da && frame.da === sa
    if (frame.pgn === CONTROL) {
      if (along && isAnnouncement(frame)) return undefined
      if (frame.data.length !== 16 || groupIn(frame.data) !== pgn) continue
      const code = byteOf(frame.data, 1)
      if ((along || against) && code === 'FF') return undefined
      if (against && code === '13') return undefined
      if (against && code === '11') {
        const next = numberIn(frame.data, 3, 3)
        const count = numberIn(frame.data, 2, 2)
        if (count > 0 && next >= 1 && next <= total) done = next - 1
        last = frame.micros
      }
      continue
    }
    if (!along || frame.data === '') continue
    const number = numberIn(frame.data, 1, 1)
    const bytes = Math.min(7, size - (number - 1) * 7)
    const content = frame.data.slice(2, 2 + bytes * 2)
    if (number < 1 || number > total || content.length < bytes * 2) continue
    last = frame.micros
    if (number <= done && packets[number] !== undefined && packets[number] !== content) return undefined
    packets[number] = content
    done = Math.max(done, number)
    if (packets.filter((packet) => packet !== undefined).length === total) {
      const payload = packets.join('')
      return { channel, pgn, sa, da, firstMicros: micros, micros: last, payload, transport, line: frame.line }
    }
  }
  return undefined
}

/** A trouble code: the SPN by each layout the method bit leaves open. */
export interface ReferenceFault {
  /** By version: one where the method bit is 0, else versions 3, 2 and 1. */
  readonly spns: readonly number[]
  readonly fmi: number
  readonly count: number | null
}

/** A fault list (DM1 and those laid out like it). */
export interface ReferenceFaultList {
  /** Two bits each, malfunction, red stop, amber warning, protect: `00` off, `01` on. Null without a first byte. */
  readonly lamps: readonly string[] | null
  readonly faults: readonly ReferenceFault[]
}

/** Reads the payload of a fault list. */
export function readReferenceFaults(payload: string): ReferenceFaultList {
  const lampBits = bitsOf(byteOf(payload, 1))
  const codes = payload.slice(4).match(/.{8}/g) ?? []
  const listed = codes.filter((code) => !code.startsWith('000000') && code !== 'FFFFFFFF')
  return {
    lamps: payload === '' ? null : (lampBits.match(/../g) ?? []),
    faults: listed.map((code) => {
      const [one, two, three, four] = [1, 2, 3, 4].map((number) => bitsOf(byteOf(code, number)))
      const top = three.slice(0, 3)
      const today = top + two + one
      const count = fromBits(four.slice(1))
      return {
        spns: (four[0] === '0' ? [today] : [today, two + one + top, one + two + top]).map(fromBits),
        fmi: fromBits(three.slice(3)),
        count: count === 127 ? null : count,
      }
    }),
  }
}

/** A byte's bits, the highest first. */
function bitsOf(byte: string): string {
  return Number.parseInt(byte, 16).toString(2).padStart(8, '0')
}
