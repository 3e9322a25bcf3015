/**
 * The lines of one signal of one stream, as fast as they can be made: what repeats is made once. A signal
 * inside one byte has at most 256 different lines; of a wider one the last value is kept, since most
 * messages repeat the one before.
 */
import {
  columnReader,
  decodeSignal,
  isColumnDefinition,
  type NumericDefinition,
  type SignalDefinition,
  STATUSES,
} from '@firstcrank/decoder'
import type { Output } from './output.js'
import type { StreamHead, ValueForm } from './value-form.js'

/**
 * Writes a signal's line: `time`, then what the payload says.
 *
 * @returns whether there is one; false where the payload ends before the signal
 */
export type LineWriter = (
  output: Output,
  time: Uint8Array,
  payload: Uint8Array,
  offset: number,
  length: number,
) => boolean

/** Widest signal whose raw value is an exact number. */
const EXACT_BITS = 53

/** The writer of one signal's lines; of a repeated block's where its number is given. */
export function lineWriter(
  form: ValueForm,
  stream: StreamHead,
  definition: SignalDefinition,
  instance?: number,
): LineWriter {
  const head = form.signal(stream, definition)
  const lineOf = (payload: Uint8Array): string => {
    const value = decodeSignal(definition, payload)
    if (value.status === 'not-sent') return ''
    return head + form.value(instance === undefined ? value : { ...value, instance })
  }
  if (instance !== undefined || !isColumnDefinition(definition)) return anyLine(lineOf)
  const { firstByte, lastByte } = columnReader(definition)
  if (firstByte === lastByte) return byteLine(lineOf, firstByte)
  const isPlain = definition.kind === 'numeric' && definition.bits <= EXACT_BITS
  return isPlain ? numberLine(form, Buffer.from(head), definition) : anyLine(lineOf)
}

function anyLine(lineOf: (payload: Uint8Array) => string): LineWriter {
  return (output, time, payload, offset, length) => {
    const line = lineOf(payload.subarray(offset, offset + length))
    if (line === '') return false
    output.addBytes(time)
    output.add(line)
    return true
  }
}

function byteLine(lineOf: (payload: Uint8Array) => string, byte: number): LineWriter {
  const lines = new Array<Uint8Array | undefined>(256)
  return (output, time, payload, offset, length) => {
    if (byte >= length) return false
    const at = payload[offset + byte] as number
    let line = lines[at]
    if (line === undefined) {
      line = Buffer.from(lineOf(payload.subarray(offset, offset + length)))
      lines[at] = line
    }
    output.addBytes(time)
    output.addBytes(line)
    return true
  }
}

function numberLine(form: ValueForm, head: Uint8Array, definition: NumericDefinition): LineWriter {
  const { lastByte, raw: readRaw, status: readStatus, value: readValue } = columnReader(definition)
  const { unit } = definition
  let lastRaw = -1
  let lastValue = ''
  return (output, time, payload, offset, length) => {
    if (lastByte >= length) return false
    const raw = readRaw(payload, offset)
    if (raw !== lastRaw) {
      const code = readStatus(payload, offset)
      const value = code === 0 ? readValue(payload, offset) : null
      const status = STATUSES[code] as (typeof STATUSES)[number]
      lastValue = form.value({ definition, status, value, unit, raw })
      lastRaw = raw
    }
    output.addBytes(time)
    output.addBytes(head)
    output.add(lastValue)
    return true
  }
}
