import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodeLamps, encodeLamps, LAMPS, sameLamps } from './lamps.js'

const off = { state: 'off', flash: 'none' } as const
const byte = fc.integer({ min: 0, max: 255 })

describe('decodeLamps', () => {
  it('reads each lamp from its own bits', () => {
    // 01 00 10 11 in the status byte, 01 00 10 11 in the flash byte.
    expect(decodeLamps(0b01_00_10_11, 0b01_00_10_11)).toEqual({
      malfunction: { state: 'on', flash: 'fast' },
      redStop: off,
      amberWarning: { state: 'reserved', flash: 'none' },
      protect: { state: 'not-available', flash: 'none' },
    })
  })

  it.each([
    [0b00, 'slow'],
    [0b01, 'fast'],
    [0b10, 'reserved'],
    [0b11, 'none'],
  ] as const)('reads flash code %i of a lamp that is on as %s', (code, flash) => {
    for (const { key, shift } of LAMPS) {
      // The other lamps get another code, so that a wrong shift shows.
      const others = (code ^ 0b11) * 0b01010101
      const flashByte = (others & ~(3 << shift)) | (code << shift)
      expect(decodeLamps(0b01010101, flashByte)[key]).toEqual({ state: 'on', flash })
    }
  })

  it.each([0x00, 0x55, 0xaa, 0xff])('has no lamp flash that is not on, whatever the flash byte (%i)', (flash) => {
    for (const status of [0x00, 0xaa, 0xff]) {
      const lamps = decodeLamps(status, flash)
      expect(LAMPS.map(({ key }) => lamps[key].flash)).toEqual(['none', 'none', 'none', 'none'])
    }
  })
})

describe('encodeLamps', () => {
  it('gives the bytes of a truck: amber warning lamp on, no flashing (open CAN capture)', () => {
    const lamps = {
      malfunction: off,
      redStop: off,
      amberWarning: { state: 'on', flash: 'none' },
      protect: off,
    } as const
    expect(encodeLamps(lamps)).toEqual([0x04, 0xff])
  })

  it('is undone by decoding', () => {
    fc.assert(
      fc.property(byte, byte, (status, flash) => {
        const lamps = decodeLamps(status, flash)
        const written = encodeLamps(lamps)
        expect(written[0]).toBe(status)
        expect(decodeLamps(...written)).toEqual(lamps)
      }),
    )
  })
})

describe('sameLamps', () => {
  it('sees a change of state and of flashing, and none in the flash bits of a lamp that is off', () => {
    const steady = decodeLamps(0x04, 0xff)
    expect(sameLamps(steady, decodeLamps(0x04, 0x0f))).toBe(true)
    expect(sameLamps(steady, decodeLamps(0x04, 0xf3))).toBe(false)
    expect(sameLamps(steady, decodeLamps(0x05, 0xff))).toBe(false)
  })
})
