import { describe, expect, it } from 'vitest'
import { bytes } from '../../../../tests/support/bits.js'
import { rawReader, readWideRaw } from './raw.js'

/** Distinct bytes, so that any other place or order gives another number. */
const PAYLOAD = bytes('12 34 56 78 9A BC DE F1 23')

describe('a raw value', () => {
  // First bit and width; the numbers by hand, low byte first.
  it.each([
    [0, 8, 0x12],
    [56, 8, 0xf1],
    [0, 16, 0x3412],
    [8, 16, 0x5634],
    [0, 24, 0x563412],
    [8, 32, 0x9a785634],
    [32, 32, 0xf1debc9a],
    [0, 1, 0],
    [1, 1, 1],
    [4, 4, 0x1],
    [0, 4, 0x2],
    [20, 2, 0b01],
    [4, 8, 0x41],
    [4, 16, 0x6341],
    [4, 12, 0x341],
    [3, 13, 0x3412 >> 3],
    [7, 2, (0x3412 >> 7) & 3],
    [16, 48, 0xf1debc9a7856],
    [0, 53, Number(0xf1debc9a78563412n % 2n ** 53n)],
    [11, 53, Number(0xf1debc9a78563412n >> 11n)],
  ])('from bit %i, %i wide', (start, bits, wanted) => {
    expect(rawReader(start, bits)(PAYLOAD, 0)).toBe(wanted)
    expect(readWideRaw(PAYLOAD, 0, start, bits)).toBe(BigInt(rawReader(start, bits)(PAYLOAD, 0)))
  })

  it('of up to 64 bits is exact', () => {
    expect(readWideRaw(PAYLOAD, 0, 0, 64)).toBe(0xf1debc9a78563412n)
    expect(readWideRaw(PAYLOAD, 0, 4, 64)).toBe(0x3f1debc9a7856341n)
    expect(readWideRaw(PAYLOAD, 0, 3, 61)).toBe(0xf1debc9a78563412n >> 3n)
  })

  it('counts from the offset', () => {
    expect(rawReader(0, 16)(PAYLOAD, 3)).toBe(0x9a78)
    expect(rawReader(12, 8)(PAYLOAD, 3)).toBe(0xc9)
    expect(readWideRaw(PAYLOAD, 1, 0, 64)).toBe(0x23f1debc9a785634n)
  })
})
