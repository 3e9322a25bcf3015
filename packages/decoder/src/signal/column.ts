/**
 * One signal out of many payloads at once. Readers are compiled once from a definition; the loops then
 * run over plain bytes, eight a row. Signals inside one byte, the most common by far, are a table of
 * 256 ready values.
 */
import { type RangeRule, type SignalDefinition, startBit } from '../catalog/definition.js'
import { EXACT_BITS, type RawReader, rawReader, readWideRaw } from './raw.js'
import { type Scale, scaleOf, toPhysical } from './scale.js'
import { highestValidRaw, statusOf, VALID } from './status.js'

/** Bytes in a row. */
export const ROW_BYTES = 8

/** Raw values of many rows. */
export type RawColumn = Uint8Array | Uint16Array | Uint32Array | Float64Array

/** Definitions that have a number for each row. */
export type ColumnDefinition = Extract<SignalDefinition, { kind: 'numeric' | 'state' | 'bit-field' }>

/** Reads one signal from rows of eight bytes. */
export interface ColumnReader {
  /** First and last byte of a row that it reads, from 0. */
  readonly firstByte: number
  readonly lastByte: number
  /** Whether what lacks its last byte, with ones in its place, is never taken for a value. */
  readonly cutIsNoValue: boolean
  /**
   * Physical values of rows `from` to `to` (not included) into `out` from `at`: numbers in the
   * definition's unit, the number of a state; NaN where the raw value is not a value.
   */
  values(bytes: Uint8Array, from: number, to: number, out: Float64Array, at: number): void
  /** Raw values of the same rows, as many bits of them as the column holds. */
  raws(bytes: Uint8Array, from: number, to: number, out: RawColumn, at: number): void
  /** Status codes of the same rows, see `status.ts`. */
  statuses(bytes: Uint8Array, from: number, to: number, out: Uint8Array, at: number): void
  /** The physical value at one place in any payload; NaN where it is not a value. */
  value(bytes: Uint8Array, offset: number): number
  /** The status code at one place in any payload. */
  status(bytes: Uint8Array, offset: number): number
  /** The raw value at one place in any payload; beyond 53 bits the nearest number. */
  raw(bytes: Uint8Array, offset: number): number
}

/** Whether a definition has a column: a number for each row. */
export function isColumnDefinition(definition: SignalDefinition): definition is ColumnDefinition {
  return definition.kind === 'numeric' || definition.kind === 'state' || definition.kind === 'bit-field'
}

const WITHOUT_SCALE: Scale = { numerator: 1, shift: 0, denominator: 1 }

const readers = new WeakMap<ColumnDefinition, ColumnReader>()

/** The reader of a signal, compiled at its first use. */
export function columnReader(definition: ColumnDefinition): ColumnReader {
  let reader = readers.get(definition)
  if (reader === undefined) {
    reader = compileReader(definition)
    readers.set(definition, reader)
  }
  return reader
}

/**
 * Compiles the reader of a signal.
 *
 * @param extraBytes how far from where the definition says: the start of a repeated block
 */
export function compileReader(definition: ColumnDefinition, extraBytes = 0): ColumnReader {
  const start = startBit(definition.at) + extraBytes * 8
  const { bits } = definition
  const rule = definition.kind === 'bit-field' ? 'full' : definition.range
  const scale = definition.kind === 'numeric' ? scaleOf(definition) : WITHOUT_SCALE
  const highest = highestValidRaw(bits, rule)
  const raw = bits <= EXACT_BITS ? rawReader(start, bits) : wideReader(start, bits)
  const status = bits <= EXACT_BITS ? exactStatus(raw, bits, rule) : wideStatus(raw, start, bits, rule)
  const value = (bytes: Uint8Array, offset: number): number => {
    if (bits > EXACT_BITS && status(bytes, offset) !== VALID) return Number.NaN
    const read = raw(bytes, offset)
    return read > highest ? Number.NaN : toPhysical(read, scale)
  }
  const firstByte = start >>> 3
  const lastByte = (start + bits - 1) >>> 3
  const bitsOfLast = Math.min(bits, ((start + bits - 1) & 7) + 1)
  const cutIsNoValue = 2 ** bits - 2 ** (bits - bitsOfLast) > highest
  const single = { firstByte, lastByte, cutIsNoValue, value, status, raw }
  const columns = { values: eachRow(value), raws: eachRow(raw), statuses: eachRow(status) }

  if (firstByte === lastByte) return { ...single, ...tableColumns(start, bits, highest, scale, rule) }
  const wide = WIDE_LOOPS[bits]
  if ((start & 7) !== 0 || wide === undefined) return { ...single, ...columns }
  // The top byte alone decides what a number of whole bytes is, where the standard's ranges hold.
  const top = tableColumns(start + bits - 8, 8, highestValidRaw(8), WITHOUT_SCALE)
  return {
    ...single,
    ...columns,
    ...(rule === undefined || rule === 'standard' ? { statuses: top.statuses } : {}),
    values: (bytes, from, to, out, at) => wide(bytes, from, to, firstByte, highest, scale, out, at),
  }
}

type Columns = Pick<ColumnReader, 'values' | 'raws' | 'statuses'>

/**
 * Columns of a signal inside one byte: whatever is asked of it, the answer for each byte is ready. Each
 * table is made when it is first asked for.
 */
function tableColumns(start: number, bits: number, highest: number, scale: Scale, rule?: RangeRule): Columns {
  const byte = start >>> 3
  const shift = start & 7
  const mask = (1 << bits) - 1
  const rawOf = (b: number): number => (b >>> shift) & mask
  let values: Float64Array | undefined
  let raws: Uint8Array | undefined
  let statuses: Uint8Array | undefined
  return {
    values: (bytes, from, to, out, at) => {
      values ??= fillTable(new Float64Array(256), (b) =>
        rawOf(b) > highest ? Number.NaN : toPhysical(rawOf(b), scale),
      )
      lookUpValues(bytes, from, to, byte, values, out, at)
    },
    raws: (bytes, from, to, out, at) => {
      raws ??= fillTable(new Uint8Array(256), rawOf)
      lookUpCodes(bytes, from, to, byte, raws, out, at)
    },
    statuses: (bytes, from, to, out, at) => {
      statuses ??= fillTable(new Uint8Array(256), (b) => statusOf(rawOf(b), bits, rule))
      lookUpCodes(bytes, from, to, byte, statuses, out, at)
    },
  }
}

function fillTable<T extends Float64Array | Uint8Array>(table: T, entry: (byte: number) => number): T {
  for (let byte = 0; byte < table.length; byte++) table[byte] = entry(byte)
  return table
}

function exactStatus(raw: RawReader, bits: number, rule?: RangeRule): RawReader {
  return (bytes, offset) => statusOf(raw(bytes, offset), bits, rule)
}

/** As a number, more than 53 bits may round up into the next range: there the top byte is read by itself. */
function wideStatus(raw: RawReader, start: number, bits: number, rule: RangeRule = 'standard'): RawReader {
  return rule === 'standard' ? exactStatus(rawReader(start + bits - 8, 8), 8) : exactStatus(raw, bits, rule)
}

function wideReader(start: number, bits: number): RawReader {
  return (bytes, offset) => Number(readWideRaw(bytes, offset, start, bits))
}

/**
 * The loops below step from byte to byte: computing each place from its row, with the check that the
 * product is still an integer, took half of their time.
 */
function lookUpValues(
  bytes: Uint8Array,
  from: number,
  to: number,
  byte: number,
  table: Float64Array,
  out: Float64Array,
  at: number,
): void {
  const end = to * ROW_BYTES
  for (let b = from * ROW_BYTES + byte, i = at; b < end; b += ROW_BYTES, i++) out[i] = table[bytes[b]]
}

/** As above, for small integers: kept apart so that each loop meets one kind of array. */
function lookUpCodes(
  bytes: Uint8Array,
  from: number,
  to: number,
  byte: number,
  table: Uint8Array,
  out: RawColumn,
  at: number,
): void {
  const end = to * ROW_BYTES
  for (let b = from * ROW_BYTES + byte, i = at; b < end; b += ROW_BYTES, i++) out[i] = table[bytes[b]]
}

function twoBytes(
  bytes: Uint8Array,
  from: number,
  to: number,
  byte: number,
  highest: number,
  scale: Scale,
  out: Float64Array,
  at: number,
): void {
  const { numerator, shift, denominator } = scale
  const end = to * ROW_BYTES
  for (let b = from * ROW_BYTES + byte, i = at; b < end; b += ROW_BYTES, i++) {
    const raw = bytes[b] | (bytes[b + 1] << 8)
    out[i] = raw > highest ? Number.NaN : (raw * numerator + shift) / denominator
  }
}

function fourBytes(
  bytes: Uint8Array,
  from: number,
  to: number,
  byte: number,
  highest: number,
  scale: Scale,
  out: Float64Array,
  at: number,
): void {
  const { numerator, shift, denominator } = scale
  const end = to * ROW_BYTES
  for (let b = from * ROW_BYTES + byte, i = at; b < end; b += ROW_BYTES, i++) {
    const raw = (bytes[b] | (bytes[b + 1] << 8) | (bytes[b + 2] << 16)) + bytes[b + 3] * 0x1000000
    out[i] = raw > highest ? Number.NaN : (raw * numerator + shift) / denominator
  }
}

/** Loops for numbers of whole bytes at a byte's border, by width in bits. */
const WIDE_LOOPS: Readonly<Record<number, typeof twoBytes>> = { 16: twoBytes, 32: fourBytes }

function eachRow(
  read: (bytes: Uint8Array, offset: number) => number,
): (bytes: Uint8Array, from: number, to: number, out: RawColumn, at: number) => void {
  return (bytes, from, to, out, at) => {
    for (let row = from, i = at; row < to; row++, i++) out[i] = read(bytes, row * ROW_BYTES)
  }
}
