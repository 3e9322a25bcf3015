import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  type ColumnEntry,
  type ColumnFrame,
  ColumnFrameError,
  decodeFrame,
  encodeEntry,
  encodeFrame,
  joinFrame,
  setFrameId,
  withIndex,
} from './column-frame.js'

const HEAD = { id: 7, sequence: 9, reset: true, sent: 1.5e15, arrived: Number.NaN }

const samples = (rows: number): ColumnEntry => ({
  index: 3,
  next: 40 + rows,
  lastTime: 1.7e15 + rows,
  from: -5,
  to: 6,
  skipped: 2,
  columns: {
    form: 'samples',
    time: Float64Array.from({ length: rows }, (_, i) => 1.7e15 + i),
    value: Float64Array.from({ length: rows }, (_, i) => (i % 3 === 0 ? Number.NaN : i / 8)),
    status: Uint8Array.from({ length: rows }, (_, i) => i % 6),
  },
})

const overview = (columns: number): ColumnEntry => ({
  index: 65_535,
  next: 2 ** 40,
  lastTime: Number.NaN,
  from: 1,
  to: 2,
  skipped: 0,
  columns: {
    form: 'overview',
    first: Float64Array.from({ length: columns }, (_, i) => i + 0.25),
    least: Float64Array.from({ length: columns }, (_, i) => -i),
    greatest: Float64Array.from({ length: columns }, () => Number.POSITIVE_INFINITY),
    last: Float64Array.from({ length: columns }, () => Number.NaN),
    count: Uint32Array.from({ length: columns }, (_, i) => 2 ** 32 - 1 - i),
  },
})

describe('a column frame', () => {
  test.each<[string, ColumnEntry[]]>([
    ['with nothing', []],
    ['with samples', [samples(5)]],
    ['with no samples', [samples(0)]],
    ['with an overview', [overview(3)]],
    ['with both, of lengths that need filling', [samples(1), overview(1), samples(9), overview(2)]],
  ])('%s comes back as it was', (_, entries) => {
    expect(decodeFrame(encodeFrame({ ...HEAD, entries }))).toEqual({ ...HEAD, entries })
  })

  test('comes back from any place in memory, and from a buffer of Node', () => {
    const frame: ColumnFrame = { ...HEAD, entries: [samples(3), overview(2)] }
    const bytes = encodeFrame(frame)
    for (let shift = 0; shift < 9; shift++) {
      const memory = new Uint8Array(bytes.length + shift)
      memory.set(bytes, shift)
      expect(decodeFrame(memory.subarray(shift))).toEqual(frame)
      expect(decodeFrame(Buffer.from(memory.buffer, shift))).toEqual(frame)
    }
  })

  test('is looked at where it lies: nothing is copied', () => {
    const bytes = encodeFrame({ ...HEAD, entries: [samples(3)] })
    const [entry] = decodeFrame(bytes).entries
    expect(entry?.columns.form === 'samples' && entry.columns.time.buffer).toBe(bytes.buffer)
  })

  test('has its first fields where the page on the server says', () => {
    const view = new DataView(encodeFrame({ ...HEAD, entries: [samples(2)] }).buffer)
    expect(String.fromCharCode(...[0, 1, 2, 3].map((at) => view.getUint8(at)))).toBe('FCC1')
    expect([view.getUint32(4, true), view.getUint32(8, true)]).toEqual([7, 9])
    expect([view.getUint16(12, true), view.getUint16(14, true)]).toEqual([1, 1])
    expect(view.getFloat64(16, true)).toBe(1.5e15)
    expect([view.getUint16(32, true), view.getUint8(34), view.getUint32(36, true)]).toEqual([3, 0, 2])
    expect(view.getFloat64(32 + 48, true)).toBe(1.7e15)
  })

  test('can be joined of entries that others share', () => {
    const shared = encodeEntry(samples(2))
    const moved = withIndex(shared, 11)
    expect(decodeFrame(joinFrame(HEAD, [shared, moved])).entries.map(({ index }) => index)).toEqual([3, 11])
    expect(decodeFrame(joinFrame(HEAD, [shared])).entries[0]?.index).toBe(3)
  })

  test('can be given another id', () => {
    const bytes = encodeFrame({ ...HEAD, entries: [samples(1)] })
    setFrameId(bytes, 0xffffffff)
    expect(decodeFrame(bytes).id).toBe(0xffffffff)
  })
})

describe('bytes that are none', () => {
  const whole = encodeFrame({ ...HEAD, entries: [samples(3), overview(2)] })
  const with_ = (at: number, byte: number): Uint8Array => {
    const copy = whole.slice()
    copy[at] = byte
    return copy
  }

  test.each<[string, Uint8Array]>([
    ['nothing', new Uint8Array(0)],
    ['another beginning', with_(0, 0x47)],
    ['an entry too many', with_(12, 3)],
    ['an entry too few', with_(12, 1)],
    ['another form', with_(34, 2)],
    ['more points than there are bytes', with_(38, 0xff)],
    ['something behind the end', new Uint8Array([...whole, 0, 0, 0, 0, 0, 0, 0, 0])],
  ])('%s', (_, bytes) => {
    expect(() => decodeFrame(bytes)).toThrow(ColumnFrameError)
  })

  test('cut anywhere', () => {
    for (let length = 0; length < whole.length; length++) {
      expect(() => decodeFrame(whole.slice(0, length))).toThrow(expect.objectContaining({ code: 'not-a-column-frame' }))
    }
  })

  test('of chance are refused, and never anything else', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), fc.nat(whole.length - 1), (noise, at) => {
        const bytes = whole.slice()
        bytes.set(noise.subarray(0, whole.length - at), at)
        try {
          decodeFrame(bytes)
        } catch (error) {
          expect(error).toBeInstanceOf(ColumnFrameError)
        }
      }),
    )
  })
})
