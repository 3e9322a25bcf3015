import { describe, expect, it } from 'vitest'
import { decodeMessage } from './decode-message.js'

const placesOf = (pgn: number, ...bytes: number[]) =>
  decodeMessage(pgn, Uint8Array.from(bytes))?.signals.map(({ spn, from, to }) => [spn, from, to])

describe('where the signals of a message lie', () => {
  // Positions as the published lists of EEC1 have them: torque mode in bits 1 to 4 of byte 1, its fraction in
  // bits 5 to 8, speed in bytes 4 and 5, starter mode in bits 1 to 4 of byte 7.
  it('is told in bits from the lowest of the first byte on', () => {
    const places = placesOf(61444, 0x60, 0x7d, 0x90, 0x9d, 0x07, 0xff, 0xf2, 0x91)
    expect(places).toContainEqual([899, 0, 4])
    expect(places).toContainEqual([4154, 4, 8])
    expect(places).toContainEqual([190, 24, 40])
    expect(places).toContainEqual([1675, 48, 52])
  })

  // Two lamp bytes, then four bytes for each trouble code: SAE J1939-73. SPN 190 FMI 3 once, SPN 100 FMI 1 twice.
  it('of trouble codes is four bytes each, behind the lamps', () => {
    const payload = [0x04, 0xff, 0xbe, 0x00, 0x03, 0x01, 0x64, 0x00, 0x01, 0x02]
    expect(placesOf(65226, ...payload)).toEqual(
      expect.arrayContaining([
        [190, 16, 48],
        [100, 48, 80],
      ]),
    )
    const codes = decodeMessage(65226, Uint8Array.from(payload))?.signals.flatMap(({ failure }) => failure ?? [])
    expect(codes).toMatchObject([
      { fmi: 3, count: 1 },
      { fmi: 1, count: 2 },
    ])
  })

  it('leaves out the code that stands for none', () => {
    const lamps = placesOf(65226, 0x00, 0xff, 0x00, 0x00, 0x00, 0x00, 0xff, 0xff) ?? []
    expect(lamps.length).toBeGreaterThan(3)
    expect(Math.max(...lamps.map(([, , to = 0]) => to))).toBe(16)
  })

  it('is not told of a group that nobody has defined', () => {
    expect(placesOf(65299, 1, 2, 3)).toBeUndefined()
  })
})
