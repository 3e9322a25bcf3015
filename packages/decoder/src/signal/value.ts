/** One message's payload → its signals' values. For columns of many messages see `column.ts`. */
import {
  type GroupDefinition,
  type SignalDefinition,
  type StateDefinition,
  startBit,
  type TextDefinition,
} from '../catalog/definition.js'
import type { Unit } from '../catalog/units.js'
import { type ColumnDefinition, columnReader, isColumnDefinition } from './column.js'
import { EXACT_BITS, readWideRaw } from './raw.js'
import { STATUSES, type Status, VALID } from './status.js'
import { delimitedText, fixedText, type TextValue } from './text.js'

/** What a message says of one signal. */
export interface SignalValue {
  readonly definition: SignalDefinition
  readonly spn: number
  readonly name: string
  readonly status: Status
  /** In {@link unit}; of a state its number. Null unless the status is `valid` and it is a number. */
  readonly value: number | null
  readonly unit: Unit | null
  /** The raw value; hexadecimal digits for bytes, text, and more than 53 bits; null where it was not sent. */
  readonly raw: number | string | null
  /** Meaning of a state, or the set flags of a bit field. */
  readonly label?: string
  readonly text?: string
  /** Which of the repeated blocks, from 0. */
  readonly instance?: number
}

type Mutable<T> = { -readonly [Key in keyof T]: T[Key] }

/**
 * The values of all of a group's signals that the payload holds, in the definition's order. A payload
 * shorter than the definition gives the signals that are whole; a longer one is fine.
 */
export function decodeGroup(group: GroupDefinition, payload: Uint8Array): SignalValue[] {
  const values = group.signals.map((definition) => decodeSignal(definition, payload))
  const { repeat } = group
  if (repeat !== undefined) {
    for (let at = repeat.at - 1, instance = 0; at + repeat.bytes <= payload.length; at += repeat.bytes, instance++) {
      const block = payload.subarray(at, at + repeat.bytes)
      for (const definition of repeat.signals) values.push({ ...decodeSignal(definition, block), instance })
    }
  }
  return values.filter((value) => value.status !== 'not-sent')
}

/** One signal of a payload. Its status is `not-sent` where the payload ends before it. */
export function decodeSignal(definition: SignalDefinition, payload: Uint8Array): SignalValue {
  if (isColumnDefinition(definition)) return decodeNumber(definition, payload)
  const at = startBit(definition.at) >>> 3
  if (definition.kind === 'text') return describeText(definition, textAt(definition, payload, at), payload.subarray(at))
  const end = definition.bytes === 'rest' ? payload.length : Math.min(payload.length, at + definition.bytes)
  return end <= at
    ? createValue(definition, 'not-sent', null, null, null)
    : createValue(definition, 'valid', null, null, hexOf(payload.subarray(at, end)))
}

function decodeNumber(definition: ColumnDefinition, payload: Uint8Array): SignalValue {
  const reader = columnReader(definition)
  const unit = definition.kind === 'numeric' ? definition.unit : null
  if (reader.lastByte >= payload.length) return createValue(definition, 'not-sent', null, unit, null)
  const code = reader.status(payload, 0)
  const read = reader.raw(payload, 0)
  const raw = definition.bits <= EXACT_BITS ? read : wideDigits(definition, payload)
  if (code !== VALID) return createValue(definition, STATUSES[code], null, unit, raw)
  const value = createValue(definition, 'valid', reader.value(payload, 0), unit, raw)
  const label = labelOf(definition, read)
  if (label !== undefined) value.label = label
  return value
}

function wideDigits({ at, bits }: ColumnDefinition, payload: Uint8Array): string {
  return readWideRaw(payload, 0, startBit(at), bits).toString(16).toUpperCase()
}

/** Written out, not spread: this is made for every value of a log. */
function createValue(
  definition: SignalDefinition,
  status: Status,
  value: number | null,
  unit: Unit | null,
  raw: number | string | null,
): Mutable<SignalValue> {
  return { definition, spn: definition.spn, name: definition.name, status, value, unit, raw }
}

function labelOf(definition: SignalDefinition, raw: number): string | undefined {
  if (definition.kind === 'state') return stateLabel(definition, raw)
  if (definition.kind !== 'bit-field') return undefined
  return definition.flags.filter((_, bit) => Math.floor(raw / 2 ** bit) % 2 === 1).join(', ') || 'none'
}

/** The label of a state; its number where it has none. */
export function stateLabel(definition: StateDefinition, raw: number): string {
  return definition.states[raw] ?? `state ${raw}`
}

function textAt(definition: TextDefinition, payload: Uint8Array, at: number): TextValue {
  return definition.bytes === 'delimited'
    ? delimitedText(payload, at, definition.field ?? 0)
    : fixedText(payload, at, definition.bytes)
}

function describeText(definition: TextDefinition, { status, text }: TextValue, bytes: Uint8Array): SignalValue {
  const own = typeof definition.bytes === 'number' ? bytes.subarray(0, definition.bytes) : bytes
  const value = createValue(definition, status, null, null, status === 'not-sent' ? null : hexOf(own))
  if (status === 'valid') value.text = text
  return value
}

/** Bytes as upper-case hexadecimal digits. */
export function hexOf(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += byte.toString(16).padStart(2, '0').toUpperCase()
  return text
}
