import { describe, expect, it } from 'vitest'
import { bytes } from '../../../../tests/support/bits.js'
import type { BitFieldDefinition, NumericDefinition, StateDefinition } from '../catalog/definition.js'
import { type ColumnDefinition, columnReader, compileReader, isColumnDefinition, type RawColumn } from './column.js'

const common = { spn: 1, name: 'N', sources: ['memory'], confirmed: 0 } as const
const number = (
  at: string,
  bits: number,
  resolution = 1,
  offset = 0,
  range?: NumericDefinition['range'],
): NumericDefinition => ({
  ...{ ...common, kind: 'numeric', at, bits, resolution, offset, unit: '%' },
  ...(range === undefined ? {} : { range }),
})
const state = (at: string, bits: number): StateDefinition => ({ ...common, kind: 'state', at, bits, states: {} })
const flags = (at: string, bits: number): BitFieldDefinition => ({ ...common, kind: 'bit-field', at, bits, flags: [] })

/** Rows of eight bytes: small numbers, large ones, the tops of ranges, nothing. */
const ROWS = bytes(
  '12 34 56 78 9A BC DE 01  FA FF FA FF FF FF FF FA  FB 00 FB 00 00 00 00 FB  FE FE FE FE FE FE FE FE  FF FF FF FF FF FF FF FF',
)

/** No value. */
const none = Number.NaN

/** Definition, values, raws, statuses; by hand. */
const CASES: readonly (readonly [string, ColumnDefinition, number[], number[], number[]])[] = [
  ['one byte', number('2', 8, 0.5, -10), [16, none, -10, none, none], [0x34, 0xff, 0, 0xfe, 0xff], [0, 4, 0, 3, 4]],
  ['two bits', state('1.3', 2), [0, none, none, none, none], [0, 2, 2, 3, 3], [0, 3, 3, 4, 4]],
  [
    'four bits with a rule',
    number('1.5', 4, 0.125, 0, 7),
    [0.125, none, none, none, none],
    [1, 15, 15, 15, 15],
    [0, 4, 4, 4, 4],
  ],
  [
    'two bytes',
    number('1', 16, 0.125),
    [0x3412 / 8, none, 0xfb / 8, none, none],
    [0x3412, 0xfffa, 0xfb, 0xfefe, 0xffff],
    [0, 4, 0, 3, 4],
  ],
  [
    'two bytes, by twentieths',
    number('7', 16, 0.05),
    [23.9, 3212.75, none, none, none],
    [0x01de, 0xfaff, 0xfb00, 0xfefe, 0xffff],
    [0, 0, 1, 3, 4],
  ],
  [
    'two bytes with a rule',
    number('1', 16, 1, 0, 0xfb),
    [none, none, 0xfb, none, none],
    [0x3412, 0xfffa, 0xfb, 0xfefe, 0xffff],
    [4, 4, 0, 4, 4],
  ],
  [
    'two bytes of flags',
    flags('1', 16),
    [0x3412, 0xfffa, 0xfb, 0xfefe, 0xffff],
    [0x3412, 0xfffa, 0xfb, 0xfefe, 0xffff],
    [0, 0, 0, 0, 0],
  ],
  [
    'four bytes',
    number('3', 32, 0.5),
    [0xbc9a7856 / 2, none, 0xfb / 2, none, none],
    [0xbc9a7856, 0xfffffffa, 0xfb, 0xfefefefe, 0xffffffff],
    [0, 4, 0, 3, 4],
  ],
  [
    'twelve bits over a border',
    number('2.5', 12),
    [0x563, 0xfaf, none, none, none],
    [0x563, 0xfaf, 0xfb0, 0xfef, 0xfff],
    [0, 0, 1, 3, 4],
  ],
  [
    'three bytes',
    number('6', 24),
    [0x01debc, 0xfaffff, none, none, none],
    [0x01debc, 0xfaffff, 0xfb0000, 0xfefefe, 0xffffff],
    [0, 0, 1, 3, 4],
  ],
  ['flags', flags('8', 8), [1, 0xfa, 0xfb, 0xfe, 0xff], [1, 0xfa, 0xfb, 0xfe, 0xff], [0, 0, 0, 0, 0]],
]

const columnFor = (bits: number): RawColumn => {
  if (bits <= 8) return new Uint8Array(5)
  return bits <= 16 ? new Uint16Array(5) : new Uint32Array(5)
}

describe('columns', () => {
  it.each(CASES)('%s', (_, definition, values, raws, statuses) => {
    const reader = columnReader(definition)
    const readValues = new Float64Array(5)
    const readRaws = columnFor(definition.bits)
    const readStatuses = new Uint8Array(5)
    reader.values(ROWS, 0, 5, readValues, 0)
    reader.raws(ROWS, 0, 5, readRaws, 0)
    reader.statuses(ROWS, 0, 5, readStatuses, 0)
    expect([...readValues]).toEqual(values)
    expect([...readRaws]).toEqual(raws)
    expect([...readStatuses]).toEqual(statuses)
    for (let row = 0; row < 5; row++) {
      expect(reader.value(ROWS, row * 8)).toBe(values[row])
      expect(reader.raw(ROWS, row * 8)).toBe(raws[row])
      expect(reader.status(ROWS, row * 8)).toBe(statuses[row])
    }
  })

  it('are read from any row on, into any place', () => {
    const out = new Float64Array(6).fill(-1)
    columnReader(number('1', 8)).values(ROWS, 1, 3, out, 2)
    expect([...out]).toEqual([-1, -1, 0xfa, none, -1, -1])
  })

  it('of a repeated block are read from where it begins', () => {
    const reader = compileReader(number('1.5', 12), 3)
    expect(reader.raw(ROWS, 0)).toBe(0x9a7)
    expect([reader.firstByte, reader.lastByte]).toEqual([3, 4])
  })

  it('of more than 53 bits have exact statuses', () => {
    // As numbers, both round to 251 × 2^56: one is a value, the other is not.
    const wide = columnReader(number('1', 64))
    expect(wide.status(bytes('FF FF FF FF FF FF FF FA'), 0)).toBe(0)
    expect(wide.value(bytes('FF FF FF FF FF FF FF FA'), 0)).toBe(251 * 2 ** 56)
    expect(wide.status(bytes('00 00 00 00 00 00 00 FB'), 0)).toBe(1)
    expect(wide.value(bytes('00 00 00 00 00 00 00 FB'), 0)).toBeNaN()
    expect(wide.status(bytes('FF FF FF FF FF FF FF FF'), 0)).toBe(4)
  })

  it('are compiled once for a definition', () => {
    const definition = number('1', 8)
    expect(columnReader(definition)).toBe(columnReader(definition))
    expect(columnReader({ ...definition })).not.toBe(columnReader(definition))
  })
})

it('numbers, states and flags have columns; text and bytes have none', () => {
  const kinds = [number('1', 8), state('1', 2), flags('1', 8)]
  expect(kinds.map(isColumnDefinition)).toEqual([true, true, true])
  expect(isColumnDefinition({ ...common, kind: 'text', at: '1', bytes: 2 })).toBe(false)
  expect(isColumnDefinition({ ...common, kind: 'bytes', at: '1', bytes: 'rest' })).toBe(false)
})
