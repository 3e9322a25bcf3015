import { describe, expect, it } from 'vitest'
import { highestValidRaw, STATUSES, type Status, statusOf } from './status.js'

const nameOf = (raw: number, bits: number, rule?: 'standard' | 'full' | number): Status =>
  STATUSES[statusOf(raw, bits, rule)]

describe('the status of a raw value', () => {
  // Valid, error and not available: a university course table, a truck maker's CAN manual and an engine
  // maker's marine manual. Parameter specific and reserved: from memory.
  it.each([
    [8, 0x00, 'valid'],
    [8, 0xfa, 'valid'],
    [8, 0xfb, 'parameter-specific'],
    [8, 0xfc, 'reserved'],
    [8, 0xfd, 'reserved'],
    [8, 0xfe, 'error'],
    [8, 0xff, 'not-available'],
    [16, 0xfaff, 'valid'],
    [16, 0xfb00, 'parameter-specific'],
    [16, 0xfbff, 'parameter-specific'],
    [16, 0xfc00, 'reserved'],
    [16, 0xfdff, 'reserved'],
    [16, 0xfe00, 'error'],
    [16, 0xfeff, 'error'],
    [16, 0xff00, 'not-available'],
    [16, 0xffff, 'not-available'],
    [32, 0xfaffffff, 'valid'],
    [32, 0xfb000000, 'parameter-specific'],
    [32, 0xfdffffff, 'reserved'],
    [32, 0xfe000000, 'error'],
    [32, 0xff000000, 'not-available'],
    [10, 0x3eb, 'valid'],
    [10, 0x3ec, 'parameter-specific'],
    [10, 0x3fc, 'not-available'],
    [12, 0xfaf, 'valid'],
    [12, 0xfb0, 'parameter-specific'],
    [53, 251 * 2 ** 45 - 1, 'valid'],
    [53, 251 * 2 ** 45, 'parameter-specific'],
    [53, 2 ** 53 - 1, 'not-available'],
    [2, 0b00, 'valid'],
    [2, 0b01, 'valid'],
    [2, 0b10, 'error'],
    [2, 0b11, 'not-available'],
    [4, 13, 'valid'],
    [4, 14, 'error'],
    [4, 15, 'not-available'],
    [7, 125, 'valid'],
    [7, 126, 'error'],
    [7, 127, 'not-available'],
    [1, 0, 'valid'],
    [1, 1, 'valid'],
  ] as const)('%i bits, %i: %s', (bits, raw, wanted) => {
    expect(nameOf(raw, bits)).toBe(wanted)
    expect(raw <= highestValidRaw(bits)).toBe(wanted === 'valid')
  })

  it.each([1, 2, 4, 8, 16, 32, 53])('%i bits that are all values', (bits) => {
    expect(nameOf(2 ** bits - 1, bits, 'full')).toBe('valid')
    expect(highestValidRaw(bits, 'full')).toBe(2 ** bits - 1)
  })

  it('with a highest value of its own', () => {
    // SPN 4154: raw 0 to 7 are values, 8 to 15 are not (a truck maker's CAN manual).
    expect([7, 8, 14, 15].map((raw) => nameOf(raw, 4, 7))).toEqual([
      'valid',
      'not-available',
      'not-available',
      'not-available',
    ])
    expect(highestValidRaw(4, 7)).toBe(7)
  })
})
