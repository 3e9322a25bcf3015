/**
 * The four bytes of a diagnostic trouble code: 19 bits of SPN, 5 of FMI, 7 of occurrence count, and
 * the conversion method bit that says how the SPN is laid out.
 *
 * | version | method bit | byte 1 | byte 2 | byte 3, bits 8–6 |
 * |---|---|---|---|---|
 * | 1 | 1 | SPN 18..11 | SPN 10..3 | SPN 2..0 |
 * | 2 | 1 | SPN 10..3 | SPN 18..11 | SPN 2..0 |
 * | 3 | 1 | SPN 7..0 | SPN 15..8 | SPN 18..16 |
 * | 4 | 0 | SPN 7..0 | SPN 15..8 | SPN 18..16 |
 *
 * Byte 3 bits 5–1 hold the FMI; byte 4 bit 8 the method, bits 7–1 the count. With the bit at 1 the
 * data cannot tell versions 1, 2 and 3 apart. Sources: version 4, an engine maker's published J1939
 * chapter, a keypad J1939 manual, an engine maker's marine manual and a genset controller manual;
 * versions 1 to 3, the genset controller manual. One page of that manual states the method bit the
 * other way round; its own table and the other three contradict it.
 */

/** Bytes in a trouble code. */
export const DTC_BYTES = 4
/** Highest suspect parameter number: 19 bits. */
export const MAX_SPN = 0x7ffff
/** Highest failure mode identifier: 5 bits. */
export const MAX_FMI = 31
/**
 * Highest occurrence count; 127 means not available. Sources: genset controller manual, and 126 seen
 * as the full count in open captures. A keypad J1939 manual gives 127 as the highest.
 */
export const MAX_OCCURRENCE_COUNT = 126

const COUNT_NOT_AVAILABLE = 127
/** A generous bound: the highest SPN of the public parameter list is well below it. From memory. */
const HIGHEST_LIKELY_SPN = 0x7fff
/** From here on SPNs are for makers to assign. From memory. */
const FIRST_MAKER_SPN = 0x7e000

/** The layouts that share conversion method 1. */
export type OldConversion = 1 | 2 | 3
/** SPN conversion version. */
export type SpnConversion = OldConversion | 4

/** An SPN by one of the layouts. */
export interface SpnReading {
  readonly version: SpnConversion
  readonly spn: number
}

/** One trouble code. */
export interface TroubleCode {
  /** By the known version, or by the likely one where {@link ambiguous}. */
  readonly spn: number
  readonly fmi: number
  /** 0 to 126; null where not available. */
  readonly occurrenceCount: number | null
  /** The layout {@link spn} was read by. */
  readonly version: SpnConversion
  /** Whether the data leaves open which SPN is meant. */
  readonly ambiguous: boolean
  /** Every reading the data allows; one where the version is known. */
  readonly readings: readonly SpnReading[]
}

/** Version 3 first: it differs from today's layout in nothing but the bit. */
const OLD_CONVERSIONS: readonly OldConversion[] = [3, 2, 1]

/**
 * Reads the trouble code that starts at a byte.
 *
 * @param at first of its four bytes; the caller has checked that they are there
 * @param conversion the layout this node uses where the method bit is 1, if somebody knows it
 */
export function decodeDtc(payload: Uint8Array, at: number = 0, conversion?: OldConversion): TroubleCode {
  const last = payload[at + 3]
  const count = last & 0x7f
  const versions: readonly SpnConversion[] = last < 0x80 ? [4] : conversion ? [conversion] : OLD_CONVERSIONS
  const readings = versions.map((version) => ({ version, spn: readSpn(payload, at, version) }))
  const likely = readings.find(({ spn }) => isLikelySpn(spn)) ?? readings[0]
  return {
    spn: likely.spn,
    fmi: payload[at + 2] & 0x1f,
    occurrenceCount: count === COUNT_NOT_AVAILABLE ? null : count,
    version: likely.version,
    ambiguous: readings.some(({ spn }) => spn !== likely.spn),
    readings,
  }
}

/**
 * Whether four bytes stand for "no trouble code": SPN 0 with FMI 0 (open CAN capture), or all FF as
 * older nodes send (from memory).
 */
export function isNoDtc(payload: Uint8Array, at: number = 0): boolean {
  const bytes = payload.subarray(at, at + DTC_BYTES)
  return bytes.every((byte) => byte === 0xff) || bytes.subarray(0, 3).every((byte) => byte === 0)
}

/** A trouble code to be written. */
export interface DtcInput {
  readonly spn: number
  readonly fmi: number
  /** 0 to 126, or null for not available. */
  readonly occurrenceCount: number | null
  /** 4 where not given. */
  readonly version?: SpnConversion
}

export type DtcErrorCode = 'spn-out-of-range' | 'fmi-out-of-range' | 'count-out-of-range'

/** A trouble code that four bytes cannot hold. */
export class DtcError extends Error {
  readonly code: DtcErrorCode

  constructor(code: DtcErrorCode, value: number) {
    super(`no trouble code can hold this: ${code} (${value})`)
    this.name = 'DtcError'
    this.code = code
  }
}

/**
 * The four bytes of a trouble code, for made-up recordings and for tests.
 *
 * @throws {DtcError} `spn-out-of-range`, `fmi-out-of-range`, `count-out-of-range`
 */
export function encodeDtc(dtc: DtcInput): Uint8Array {
  const { spn, fmi, occurrenceCount, version = 4 } = dtc
  if (!isIntegerUpTo(spn, MAX_SPN)) throw new DtcError('spn-out-of-range', spn)
  if (!isIntegerUpTo(fmi, MAX_FMI)) throw new DtcError('fmi-out-of-range', fmi)
  const count = occurrenceCount ?? COUNT_NOT_AVAILABLE
  if (occurrenceCount !== null && !isIntegerUpTo(count, MAX_OCCURRENCE_COUNT)) {
    throw new DtcError('count-out-of-range', count)
  }
  const [first, second, third] = writeSpn(spn, version)
  return Uint8Array.of(first, second, third | fmi, (version === 4 ? 0 : 0x80) | count)
}

/** The SPN in three bytes by one of the layouts. */
function readSpn(payload: Uint8Array, at: number, version: SpnConversion): number {
  const first = payload[at]
  const second = payload[at + 1]
  const top = payload[at + 2] >>> 5
  if (version === 1) return (first << 11) | (second << 3) | top
  if (version === 2) return (second << 11) | (first << 3) | top
  return (top << 16) | (second << 8) | first
}

/** The inverse of {@link readSpn}; the third byte without the FMI. */
function writeSpn(spn: number, version: SpnConversion): [number, number, number] {
  const high = spn >>> 11
  const middle = (spn >>> 3) & 0xff
  const low = (spn & 7) << 5
  if (version === 1) return [high, middle, low]
  if (version === 2) return [middle, high, low]
  return [spn & 0xff, (spn >>> 8) & 0xff, (spn >>> 16) << 5]
}

/** Whether an SPN lies where SPNs are assigned; a wrong layout usually lands elsewhere. */
function isLikelySpn(spn: number): boolean {
  return spn <= HIGHEST_LIKELY_SPN || spn >= FIRST_MAKER_SPN
}

function isIntegerUpTo(value: number, highest: number): boolean {
  return Number.isInteger(value) && value >= 0 && value <= highest
}
