/** What a line of a log can be, and what can be wrong with it. */
import type { PrintedTime } from './time.js'

/** What can be wrong with a line, in one line each. `lost`: the line gave no frame. */
export const LINE_PROBLEMS = [
  {
    code: 'torn-line',
    lost: false,
    meaning: 'a second line begins inside this one; it was read, what stands before it is lost',
  },
  { code: 'cut-short', lost: true, meaning: 'the line ends before its data begin' },
  { code: 'bad-time', lost: true, meaning: 'the text in brackets is not a time in a known form' },
  {
    code: 'bad-identifier',
    lost: true,
    meaning: 'the identifier is not one of 11 or 29 bits in hexadecimal',
  },
  { code: 'bad-data', lost: true, meaning: 'what follows the identifier is not a length and data in hexadecimal' },
  { code: 'odd-data', lost: true, meaning: 'the data end in the middle of a byte' },
  { code: 'too-many-bytes', lost: true, meaning: 'more than 8 data bytes, or more than 64 in a CAN FD frame' },
  { code: 'length-mismatch', lost: true, meaning: 'the length in brackets is not the number of data bytes' },
  { code: 'not-a-log-line', lost: true, meaning: 'no channel, identifier and data in a known order' },
] as const

/** Code of what is wrong with a line. */
export type LineProblem = (typeof LINE_PROBLEMS)[number]['code']

/**
 * What a line is. `frame`: an extended data frame, the only kind SAE J1939 uses; `standard`: an 11-bit
 * data frame; `fd`: CAN FD. `comment`: begins with `#`, `;` or `//`, or explains an error frame: an
 * indented name with a hyphen, in lower-case letters, that ends the line or is followed by braces that
 * do (`bus-off`, `lost-arbitration{at bit 3}`).
 */
export type LineKind = 'frame' | 'standard' | 'remote' | 'error' | 'fd' | 'blank' | 'comment' | 'malformed'

/** A line taken apart. One object is used again for every line; only frames have more than a kind. */
export interface ParsedLine extends PrintedTime {
  kind: LineKind
  /** The interface's name is bytes[channelStart, channelEnd). */
  channelStart: number
  channelEnd: number
  /** 29 or 11 bits, flags taken off; of an error frame, its class bits. */
  id: number
  /** Data bytes; those asked for by a remote frame. Up to 8, of CAN FD up to 64. */
  length: number
  /** The first 8 data bytes; 0xFF behind the last, and throughout in a remote frame, which has none. */
  readonly data: Uint8Array
  /** Whether the recording machine received or sent the frame, where the line says so. */
  direction: 'rx' | 'tx' | undefined
  /** Set on malformed lines, and on frames that were recovered from a damaged line. */
  problem: LineProblem | undefined
  /** Where the good part of a torn line begins; -1 otherwise. */
  recoveredFrom: number
}

/** A line to be filled by {@link parseLine}. */
export function createParsedLine(): ParsedLine {
  return {
    kind: 'blank',
    time: 0,
    timeForm: 'none',
    channelStart: 0,
    channelEnd: 0,
    id: 0,
    length: 0,
    data: new Uint8Array(8).fill(0xff),
    direction: undefined,
    problem: undefined,
    recoveredFrom: -1,
  }
}

/** Makes a line one of a kind, with nothing else known. */
export function clear(out: ParsedLine, kind: LineKind): void {
  out.kind = kind
  out.time = 0
  out.timeForm = 'none'
  out.channelStart = 0
  out.channelEnd = 0
  out.id = 0
  out.length = 0
  out.data.fill(0xff)
  out.direction = undefined
  out.problem = undefined
  out.recoveredFrom = -1
}

/** Makes a line malformed. */
export function fail(out: ParsedLine, code: LineProblem): -1 {
  clear(out, 'malformed')
  out.problem = code
  return -1
}
