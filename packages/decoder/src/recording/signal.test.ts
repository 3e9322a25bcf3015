import { describe, expect, it } from 'vitest'
import type { GroupDefinition, SignalDefinition } from '../catalog/definition.js'
import type { ColumnDefinition } from '../signal/column.js'
import { Signal } from './signal.js'
import { Stream } from './stream.js'

const common = { spn: 1, name: 'N', sources: ['memory'], confirmed: 0 } as const
const number = (at: string, bits: number): ColumnDefinition => ({
  ...common,
  kind: 'numeric',
  at,
  bits,
  resolution: 0.5,
  offset: 0,
  unit: '%',
})

/** A signal of payloads that came one a second. */
function signalOf(definition: ColumnDefinition, payloads: readonly (readonly number[])[]): Signal {
  const group: GroupDefinition = {
    ...{
      pgn: 65280,
      acronym: 'TEST',
      name: 'Test',
      length: 8,
      sources: ['memory'],
      signals: [definition as SignalDefinition],
    },
  }
  const stream = new Stream({ channel: 0, priority: 6, pgn: 65280, sa: 0, da: 255 })
  for (const [index, payload] of payloads.entries()) {
    const row = new Uint8Array(8).fill(0xff)
    row.set(payload)
    const [low, high] = new Uint32Array(row.buffer)
    stream.appendFrame(index * 1e6, low, high, payload.length)
  }
  return new Signal(group, definition, stream)
}

const ONE_BYTE = [[0, 4], [0, 0xff], [0, 0xff], [0, 0xfe], [0], [], [0, 8], [0, 9]]

describe('a signal', () => {
  const signal = signalOf(number('2', 8), ONE_BYTE)

  it('has a value, a raw value and a status for each message', () => {
    expect([...signal.values()]).toEqual([2, ...new Array(5).fill(Number.NaN), 4, 4.5])
    expect([...signal.statuses()]).toEqual([0, 4, 4, 3, 5, 5, 0, 0])
    expect([...signal.raws()]).toEqual([4, 0xff, 0xff, 0xfe, 0xff, 0xff, 8, 9])
    expect(signal.hasValues()).toBe(true)
  })

  it('has the unit of its values; none where it is a state', () => {
    expect(signal.unit).toBe('%')
    const lamp: ColumnDefinition = { ...common, kind: 'state', at: '1', bits: 2, states: { 0: 'off' } }
    expect(signalOf(lamp, ONE_BYTE).unit).toBeNull()
  })

  it('has those of some rows only', () => {
    expect([...signal.values(3, 7)]).toEqual([...new Array(3).fill(Number.NaN), 4])
    expect([...signal.statuses(3, 6)]).toEqual([3, 5, 5])
    expect([...signal.raws(6, 8)]).toEqual([8, 9])
    expect(signal.values(3, 3)).toHaveLength(0)
  })

  it('has stretches of equal status', () => {
    expect(signal.statusIntervals()).toEqual([
      { status: 'valid', from: 0, to: 0, count: 1 },
      { status: 'not-available', from: 1e6, to: 2e6, count: 2 },
      { status: 'error', from: 3e6, to: 3e6, count: 1 },
      { status: 'not-sent', from: 4e6, to: 5e6, count: 2 },
      { status: 'valid', from: 6e6, to: 7e6, count: 2 },
    ])
    expect(signalOf(number('2', 8), []).statusIntervals()).toEqual([])
  })

  it('has samples of a window, both ends included', () => {
    expect(signal.samples(5.5e6, 7e6)).toEqual({ time: Float64Array.of(6e6, 7e6), value: Float64Array.of(4, 4.5) })
    expect(signal.samples(8e6).time).toHaveLength(0)
    expect(signal.samples().time).toHaveLength(8)
  })

  it('without any value says so', () => {
    expect(signalOf(number('2', 8), [[0, 0xff], [0]]).hasValues()).toBe(false)
    expect(signalOf(number('2', 8), []).hasValues()).toBe(false)
  })

  it('finds a value far behind others without one, and only from the row it is to look from', () => {
    const late = signalOf(number('2', 8), [...Array.from({ length: 9_000 }, () => [0, 0xff]), [0, 7], [0, 0xff]])
    expect(late.hasValues()).toBe(true)
    expect(late.hasValues(9_000)).toBe(true)
    expect(late.hasValues(9_001)).toBe(false)
    expect(late.hasValues(9_002)).toBe(false)
    expect(() => late.hasValues(9_003)).toThrow(expect.objectContaining({ code: 'bad-range' }))
  })
})

describe('values of payloads cut short', () => {
  // Where the missing bits are ones, 2 and 12 bits can look like a value, and everything can that uses its whole range.
  const shapes = [
    ['1', 1],
    ['1.7', 2],
    ['2.8', 2],
    ['2', 8],
    ['1.5', 12],
    ['2', 12],
    ['3', 16],
    ['2.4', 20],
    ['2', 24],
    ['4', 32],
    ['1', 53],
    ['1', 64],
  ] as const
  const ranges = ['standard', 'full'] as const
  it.each(shapes.flatMap(([at, bits]) => ranges.map((range) => ({ at, bits, range }))))(
    'are none where $bits bits at $at do not end, range $range',
    ({ at, bits, range }) => {
      const [byte, bit = 1] = at.split('.').map(Number)
      const bytesNeeded = Math.ceil(((byte - 1) * 8 + bit - 1 + bits) / 8)
      for (const content of [0x00, 0x11, 0xee, 0xff]) {
        const payloads = Array.from({ length: 9 }, (_, length) => new Array<number>(length).fill(content))
        const values = [...signalOf({ ...number(at, bits), range } as ColumnDefinition, payloads).values()]
        expect(values.slice(0, bytesNeeded)).toEqual(new Array(bytesNeeded).fill(Number.NaN))
        // The message that has just all of it says what one of eight bytes does.
        expect(values[bytesNeeded]).toBe(values[8])
        if (range === 'full') expect(values[8]).not.toBeNaN()
      }
    },
  )
})

describe('the column of raw values', () => {
  // The narrowest array that holds them; where the signal was not sent all bits are ones.
  it.each([
    [2, Uint8Array.of(1, 3)],
    [8, Uint8Array.of(1, 255)],
    [16, Uint16Array.of(0x0201, 0xffff)],
    [24, Uint32Array.of(0x030201, 0xffffff)],
    [32, Uint32Array.of(0x04030201, 0xffffffff)],
    [40, Float64Array.of(0x0504030201, 0xffffffffff)],
    [64, Float64Array.of(Number(0x0807060504030201n), 2 ** 64)],
  ])('of %i bits', (bits, wanted) => {
    expect(signalOf(number('1', bits), [[1, 2, 3, 4, 5, 6, 7, 8], []]).raws()).toEqual(wanted)
  })
})

describe('a picture', () => {
  const ramp = signalOf(
    number('1', 8),
    Array.from({ length: 10 }, (_, index) => (index === 4 ? [0xff] : [index * 10])),
  )

  it('has first, least, greatest and last value of each stretch', () => {
    const { first, least, greatest, last, count } = ramp.overview(0, 9e6, 3)
    expect([...count]).toEqual([3, 3, 4])
    expect([...first]).toEqual([0, 15, 30])
    expect([...least]).toEqual([0, 15, 30])
    expect([...greatest]).toEqual([10, 25, 45])
    expect([...last]).toEqual([10, 25, 45])
  })

  // Rows at and around the ends of the index's runs of 256, and of the window.
  it.each([3, 4, 255, 256, 257, 511, 512, 513, 767, 768, 769, 896, 897])('shows a spike in row %i of 900', (row) => {
    const rows = Array.from({ length: 900 }, (_, index) => [index === row ? 200 : 100])
    const spike = signalOf(number('1', 8), rows)
    const inside = row >= 4 && row <= 896
    expect([...spike.overview(4e6, 896e6, 1).greatest]).toEqual([inside ? 100 : 50])
    expect([...spike.overview(0, 899e6, 1).greatest]).toEqual([100])
    const dip = signalOf(
      number('1', 8),
      rows.map(([raw]) => [250 - raw]),
    )
    expect([...dip.overview(4e6, 896e6, 1).least]).toEqual([inside ? 25 : 75])
  })

  it('has no value where there is none', () => {
    const { first, greatest, count } = ramp.overview(4e6, 4.5e6, 2)
    expect([...count]).toEqual([1, 0])
    expect([...first, ...greatest]).toEqual(new Array(4).fill(Number.NaN))
  })

  it('of a window without messages, or without width, is empty or one moment', () => {
    expect([...ramp.overview(20e6, 30e6, 3).count]).toEqual([0, 0, 0])
    expect([...ramp.overview(-9e6, -1, 2).count]).toEqual([0, 0])
    const moment = ramp.overview(2e6, 2e6, 2)
    expect([...moment.count].reduce((sum, count) => sum + count)).toBe(1)
    expect(ramp.overview(0, 9e6, 0).count).toHaveLength(0)
  })
})

describe('a wrong call', () => {
  const ramp = signalOf(
    number('1', 8),
    Array.from({ length: 10 }, (_, index) => [index]),
  )

  it.each([
    [-1, 3],
    [0, 11],
    [4, 3],
    [0, 1.5],
    [Number.NaN, 3],
  ])('for rows %d to %d is refused', (from, to) => {
    const refusal = expect.objectContaining({ name: 'RecordingError', code: 'bad-range' })
    expect(() => ramp.values(from, to)).toThrow(refusal)
    expect(() => ramp.statuses(from, to)).toThrow(refusal)
    expect(() => ramp.raws(from, to)).toThrow(refusal)
  })

  it('for more rows than there is room for is refused', () => {
    const refusal = expect.objectContaining({ code: 'bad-range' })
    expect(() => ramp.values(0, 3, new Float64Array(2))).toThrow(refusal)
    expect(ramp.values(0, 3, new Float64Array(3))).toHaveLength(3)
  })

  it.each([
    [1, 0, 5],
    [Number.NaN, 1, 5],
    [0, Number.POSITIVE_INFINITY, 5],
    [0, 1, -1],
    [0, 1, 2.5],
    [0, 1, Number.NaN],
  ])('for a picture from %d to %d in %d columns is refused', (from, to, columns) => {
    expect(() => ramp.overview(from, to, columns)).toThrow(expect.objectContaining({ code: 'bad-window' }))
  })

  it('for samples of a window that runs backwards is refused', () => {
    expect(() => ramp.samples(1, 0)).toThrow(expect.objectContaining({ code: 'bad-window' }))
    expect(() => ramp.samples(Number.NaN)).toThrow(expect.objectContaining({ code: 'bad-window' }))
  })
})
