/** Bits drawn for people: an identifier field by field, and data bytes with the signal each bit belongs to. */
import {
  FIRST_PDU2_FORMAT,
  GLOBAL_ADDRESS,
  type GroupDefinition,
  type Identifier,
  NULL_ADDRESS,
  type SignalDefinition,
  startBit,
} from '@firstcrank/decoder'
import { nodeRole } from '@firstcrank/decoder/catalog'
import { widthOf } from './definition-text.js'
import { destinationText } from './names.js'
import { hex, pad } from './text.js'

/** An identifier, a line for each field. */
export function identifierLines({
  priority,
  extendedDataPage,
  dataPage,
  pduFormat,
  pduSpecific,
  sa,
}: Identifier): string[] {
  const isDirected = pduFormat < FIRST_PDU2_FORMAT
  const format = isDirected
    ? `below ${FIRST_PDU2_FORMAT}: for one destination`
    : `from ${FIRST_PDU2_FORMAT} on: for all nodes`
  const specific = isDirected ? `the destination, ${destinationText(pduSpecific)}` : "part of the group's number"
  const fields: readonly (readonly [string, number, number, string, string])[] = [
    ['28-26', priority, 3, 'priority', '0 is the highest'],
    ['25', extendedDataPage, 1, 'extended data page', ''],
    ['24', dataPage, 1, 'data page', ''],
    ['23-16', pduFormat, 8, 'PDU format', format],
    ['15-8', pduSpecific, 8, 'PDU specific', specific],
    ['7-0', sa, 8, 'source address', senderRemark(sa)],
  ]
  return fields.map(([place, value, width, name, meaning]) => {
    const bits = value.toString(2).padStart(width, '0')
    return `  ${pad(place.includes('-') ? 'bits' : 'bit', 5)}${pad(place, 6)} ${pad(bits, 9)} ${pad(name, 19)} ${pad(String(value), 4)} ${meaning}`.trimEnd()
  })
}

function senderRemark(sa: number): string {
  if (sa === GLOBAL_ADDRESS) return 'means all nodes: no sender can have it'
  if (sa === NULL_ADDRESS) return 'a node that holds no address'
  const usual = nodeRole(sa)
  return usual === undefined ? '' : `usually ${usual}`
}

const LETTERS = 'abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789'
const NOBODY = '.'

/** A signal of a payload, and the letter that stands for it in the picture. */
export interface LetteredSignal {
  readonly letter: string
  readonly definition: SignalDefinition
  /** Which of the repeated blocks, from 0; undefined where it is in none. */
  readonly instance: number | undefined
}

/** The signals of a group as far as a payload of a length holds them, each with a letter. */
export function letteredSignals(group: GroupDefinition, length: number): LetteredSignal[] {
  const { repeat } = group
  const blocks = repeat === undefined ? 0 : Math.max(0, Math.floor((length - repeat.at + 1) / repeat.bytes))
  const places = [
    ...group.signals.map((definition) => ({ definition, instance: undefined })),
    ...Array.from({ length: blocks }, (_, instance) =>
      (repeat?.signals ?? []).map((definition) => ({ definition, instance })),
    ).flat(),
  ]
  return places.map((place, at) => ({ ...place, letter: LETTERS[at % LETTERS.length] ?? NOBODY }))
}

const BYTES_A_ROW = 8

/** Data bytes in rows of eight: number, hexadecimal, bits (8 to 1), and the letter of each bit's signal. */
export function dataLines(
  data: Uint8Array,
  group: GroupDefinition | undefined,
  signals: readonly LetteredSignal[],
): string[] {
  const owners = new Array<string>(data.length * 8).fill(NOBODY)
  for (const { letter, definition, instance } of signals) {
    const extra =
      group?.repeat === undefined || instance === undefined ? 0 : group.repeat.at - 1 + instance * group.repeat.bytes
    const first = startBit(definition.at) + extra * 8
    const width = widthOf(definition) ?? 0
    for (let bit = first; bit < Math.min(first + width, owners.length); bit++) owners[bit] = letter
  }
  const lines: string[] = []
  for (let from = 0; from < data.length; from += BYTES_A_ROW) {
    const row = [...data.subarray(from, from + BYTES_A_ROW)]
    const ownersOf = (at: number): string =>
      owners
        .slice((from + at) * 8, (from + at + 1) * 8)
        .reverse()
        .join('')
    lines.push(
      rowText(
        'byte',
        row.map((_, at) => String(from + at + 1)),
      ),
      rowText(
        'hex',
        row.map((byte) => hex(byte)),
      ),
      rowText(
        'bits',
        row.map((byte) => byte.toString(2).padStart(8, '0')),
      ),
      ...(signals.length === 0
        ? []
        : [
            rowText(
              'signal',
              row.map((_, at) => ownersOf(at)),
            ),
          ]),
      ...(from + BYTES_A_ROW < data.length ? [''] : []),
    )
  }
  return lines
}

function rowText(label: string, cells: readonly string[]): string {
  return `  ${pad(label, 7)}${cells.map((cell) => pad(cell, 8, 'right')).join(' ')}`
}
