import { describe, expect, it } from 'vitest'
import { bytes } from '../../../../tests/support/bits.js'
import type { GroupDefinition, SignalDefinition } from '../catalog/definition.js'
import { decodeGroup, decodeSignal, hexOf, stateLabel } from './value.js'

const common = { name: 'N', sources: ['memory'], confirmed: 0 } as const
const SPEED: SignalDefinition = {
  ...common,
  kind: 'numeric',
  spn: 190,
  at: '4',
  bits: 16,
  resolution: 0.125,
  offset: 0,
  unit: 'rpm',
}
const LAMP: SignalDefinition = { ...common, kind: 'state', spn: 1081, at: '1', bits: 2, states: { 0: 'off', 1: 'on' } }
const FLAGS: SignalDefinition = {
  ...common,
  kind: 'bit-field',
  spn: 3,
  at: '2',
  bits: 8,
  flags: ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'],
}
const TEXT: SignalDefinition = { ...common, kind: 'text', spn: 162, at: '7', bytes: 2 }
const FIELD: SignalDefinition = { ...common, kind: 'text', spn: 587, at: '1', bytes: 'delimited', field: 1 }
const REST: SignalDefinition = { ...common, kind: 'bytes', spn: 5, at: '3', bytes: 'rest' }
const BYTES: SignalDefinition = { ...common, kind: 'bytes', spn: 6, at: '2', bytes: 3 }
const WIDE: SignalDefinition = {
  ...common,
  kind: 'numeric',
  spn: 7,
  at: '1',
  bits: 64,
  resolution: 1,
  offset: 0,
  unit: 'count',
}

/** Definition, payload, and what is said of it besides the definition's own number and name. */
const CASES: readonly (readonly [string, SignalDefinition, string, object])[] = [
  ['a number', SPEED, '50 7D 8D D1 12 00 F4 8E', { status: 'valid', value: 602.125, unit: 'rpm', raw: 0x12d1 }],
  ['a number at its end', SPEED, '50 7D 8D D1 12', { status: 'valid', value: 602.125, unit: 'rpm', raw: 0x12d1 }],
  ['a number cut off', SPEED, '50 7D 8D D1', { status: 'not-sent', value: null, unit: 'rpm', raw: null }],
  ['an error', SPEED, 'FF FF FF 00 FE FF', { status: 'error', value: null, unit: 'rpm', raw: 0xfe00 }],
  ['not available', SPEED, 'FF FF FF FF FF FF', { status: 'not-available', value: null, unit: 'rpm', raw: 0xffff }],
  ['a state', LAMP, '01', { status: 'valid', value: 1, unit: null, raw: 1, label: 'on' }],
  ['a state that is an error', LAMP, '02', { status: 'error', value: null, unit: null, raw: 2 }],
  [
    'a state without a label',
    { ...LAMP, bits: 4 },
    '07',
    { status: 'valid', value: 7, unit: null, raw: 7, label: 'state 7' },
  ],
  ['flags', FLAGS, '00 85', { status: 'valid', value: 0x85, unit: null, raw: 0x85, label: 'a, c, h' }],
  ['no flag', FLAGS, '00 00', { status: 'valid', value: 0, unit: null, raw: 0, label: 'none' }],
  ['a text', TEXT, '00 00 00 00 00 00 44 34', { status: 'valid', value: null, unit: null, raw: '4434', text: 'D4' }],
  ['half a text', TEXT, '00 00 00 00 00 00 44', { status: 'valid', value: null, unit: null, raw: '44', text: 'D' }],
  ['no text', TEXT, '00 00 00 00 00 00', { status: 'not-sent', value: null, unit: null, raw: null }],
  [
    'text that is not available',
    TEXT,
    '00 00 00 00 00 00 FF FF',
    { status: 'not-available', value: null, unit: null, raw: 'FFFF' },
  ],
  ['a field', FIELD, '41 2A 42 43 2A', { status: 'valid', value: null, unit: null, text: 'BC' }],
  ['the rest as bytes', REST, '01 02 03 04', { status: 'valid', value: null, unit: null, raw: '0304' }],
  ['no rest', REST, '01 02', { status: 'not-sent', value: null, unit: null, raw: null }],
  ['some bytes', BYTES, '01 02 03 04 05', { status: 'valid', value: null, unit: null, raw: '020304' }],
  ['fewer bytes', BYTES, '01 02', { status: 'valid', value: null, unit: null, raw: '02' }],
  [
    '64 bits',
    WIDE,
    '12 34 56 78 9A BC DE 71',
    { status: 'valid', value: Number(0x71debc9a78563412n), unit: 'count', raw: '71DEBC9A78563412' },
  ],
]

describe('one signal', () => {
  it.each(CASES)('%s', (_, definition, payload, wanted) => {
    const { spn, name } = definition
    expect(decodeSignal(definition, bytes(payload))).toMatchObject({ definition, spn, name, ...wanted })
  })

  it('has a label or a text only where it says something', () => {
    expect(decodeSignal(LAMP, bytes('03'))).not.toHaveProperty('label')
    expect(decodeSignal(SPEED, bytes('50 7D 8D D1 12'))).not.toHaveProperty('label')
    expect(decodeSignal(TEXT, bytes('00 00 00 00 00 00 FF FF'))).not.toHaveProperty('text')
  })
})

describe('a group', () => {
  const group: GroupDefinition = {
    ...{
      pgn: 65280,
      acronym: 'TEST',
      name: 'Test',
      length: 8,
      sources: ['memory'],
      signals: [LAMP, FLAGS, SPEED, TEXT],
    },
  }
  const spnsIn = (definition: GroupDefinition, payload: string) =>
    decodeGroup(definition, bytes(payload)).map(({ spn, instance }) =>
      instance === undefined ? spn : `${spn}/${instance}`,
    )

  it.each([
    ['as long as defined', '01 85 00 D1 12 00 44 34', [1081, 3, 190, 162]],
    ['longer', '01 85 00 D1 12 00 44 34 99 99', [1081, 3, 190, 162]],
    ['shorter', '01 85 00 D1', [1081, 3]],
    ['empty', '', []],
  ])('payload %s', (_, payload, wanted) => {
    expect(spnsIn(group, payload)).toEqual(wanted)
  })

  it.each([
    ['none', '01', [1081]],
    ['one', '01 00 11 22', [1081, '3/0', '6/0']],
    ['two and a half', '01 00 11 22 00 33 44 00', [1081, '3/0', '6/0', '3/1', '6/1']],
  ])('repeated blocks, %s', (_, payload, wanted) => {
    const repeated = { ...group, signals: [LAMP], repeat: { at: 2, bytes: 3, signals: [FLAGS, BYTES] } }
    expect(spnsIn(repeated, payload)).toEqual(wanted)
  })

  it('reads each block from its own start', () => {
    const repeated = { ...group, signals: [], repeat: { at: 2, bytes: 3, signals: [FLAGS, BYTES] } }
    const values = decodeGroup(repeated, bytes('FF 00 11 22 00 33 44'))
    expect(values.map(({ raw }) => raw)).toEqual([0x11, '1122', 0x33, '3344'])
  })
})

it('hexadecimal digits are upper case, two a byte', () => {
  expect(hexOf(Uint8Array.of(0, 0x0a, 0xff))).toBe('000AFF')
  expect(hexOf(new Uint8Array())).toBe('')
})

it('a state without a label is shown as its number', () => {
  const lamp = LAMP as Extract<SignalDefinition, { kind: 'state' }>
  expect([0, 1, 2].map((raw) => stateLabel(lamp, raw))).toEqual(['off', 'on', 'state 2'])
})
