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
import { STATUSES, type Status } from './status.js'
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
  if (end <= at) return { ...named(definition), status: 'not-sent', value: null, unit: null, raw: null }
  return { ...named(definition), status: 'valid', value: null, unit: null, raw: hexOf(payload.subarray(at, end)) }
}

function decodeNumber(definition: ColumnDefinition, payload: Uint8Array): SignalValue {
  const reader = columnReader(definition)
  const unit = definition.kind === 'numeric' ? definition.unit : null
  if (reader.lastByte >= payload.length) {
    return { ...named(definition), status: 'not-sent', value: null, unit, raw: null }
  }
  const code = reader.status(payload, 0)
  const valid = code === 0
  const exact = definition.bits <= EXACT_BITS
  const raw = reader.raw(payload, 0)
  const label = valid ? labelOf(definition, raw) : undefined
  return {
    ...named(definition),
    status: STATUSES[code],
    value: valid ? reader.value(payload, 0) : null,
    unit,
    raw: exact ? raw : readWideRaw(payload, 0, startBit(definition.at), definition.bits).toString(16).toUpperCase(),
    ...(label === undefined ? {} : { label }),
  }
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
  const raw =
    status === 'not-sent'
      ? null
      : hexOf(typeof definition.bytes === 'number' ? bytes.subarray(0, definition.bytes) : bytes)
  return { ...named(definition), status, value: null, unit: null, raw, ...(status === 'valid' ? { text } : {}) }
}

function named(definition: SignalDefinition): Pick<SignalValue, 'definition' | 'spn' | 'name'> {
  return { definition, spn: definition.spn, name: definition.name }
}

/** Bytes as upper-case hexadecimal digits. */
export function hexOf(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += byte.toString(16).padStart(2, '0').toUpperCase()
  return text
}
