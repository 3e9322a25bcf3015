import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { DtcError, type DtcInput, decodeDtc, encodeDtc, isNoDtc, type SpnConversion } from './dtc.js'

const VERSIONS: readonly SpnConversion[] = [1, 2, 3, 4]

const dtcs = fc.record({
  spn: fc.integer({ min: 0, max: 0x7ffff }),
  fmi: fc.integer({ min: 0, max: 31 }),
  occurrenceCount: fc.option(fc.integer({ min: 0, max: 126 })),
  version: fc.constantFrom(...VERSIONS),
})

describe('decodeDtc', () => {
  // SPN 0x45678 is 100 01010110 01111000 in bits; every byte and the top three bits differ. FMI 9, count 33.
  // Worked out by hand from the layouts of a genset controller manual.
  it.each([
    [1, [0x8a, 0xcf, 0x09, 0xa1]],
    [2, [0xcf, 0x8a, 0x09, 0xa1]],
    [3, [0x78, 0x56, 0x89, 0xa1]],
    [4, [0x78, 0x56, 0x89, 0x21]],
  ] as const)('reads version %i', (version, bytes) => {
    const code = decodeDtc(Uint8Array.from(bytes), 0, version === 4 ? undefined : version)
    expect(code).toEqual({
      spn: 0x45678,
      fmi: 9,
      occurrenceCount: 33,
      version,
      ambiguous: false,
      readings: [{ version, spn: 0x45678 }],
    })
  })

  it('starts where it is told', () => {
    const payload = Uint8Array.of(0x11, 0x22, 0xbe, 0x00, 0x02, 0x05, 0x33)
    expect(decodeDtc(payload, 2)).toMatchObject({ spn: 190, fmi: 2, occurrenceCount: 5 })
  })

  it('gives no count for 127', () => {
    expect(decodeDtc(Uint8Array.of(0xbe, 0, 2, 0x7f)).occurrenceCount).toBeNull()
    expect(decodeDtc(Uint8Array.of(0xbe, 0, 2, 0xff)).occurrenceCount).toBeNull()
  })

  it('does not apply an old layout where the method bit is 0', () => {
    expect(decodeDtc(Uint8Array.of(0xbe, 0, 2, 5), 0, 1)).toMatchObject({ spn: 190, version: 4 })
  })

  it.each([1, 2, 3] as const)('keeps every reading of a version %i code nobody explained', (version) => {
    const code = decodeDtc(encodeDtc({ spn: 190, fmi: 2, occurrenceCount: 5, version }))
    expect(code.ambiguous).toBe(true)
    expect(code.readings).toHaveLength(3)
    expect(code.readings).toContainEqual({ version, spn: 190 })
    expect(code.readings).toContainEqual({ version: code.version, spn: code.spn })
  })

  it.each([
    ['version 3, ahead of version 2, whose SPN could also be one', [0xbe, 0x00, 0x02, 0x85], 3, 190],
    ['version 2, where version 3 gives an SPN nobody assigned', [0x17, 0x00, 0xc2, 0x85], 2, 190],
    ["version 3, a maker's own SPN", [0x60, 0xf2, 0xe4, 0x81], 3, 520800],
    ['version 3, where no reading is an assigned SPN', [0x80, 0x80, 0x5f, 0x81], 3, 0x28080],
  ] as const)('takes %s as the likely one', (_, bytes, version, spn) => {
    expect(decodeDtc(Uint8Array.from(bytes))).toMatchObject({ version, spn, ambiguous: true })
  })

  it('is not ambiguous where all readings agree', () => {
    expect(decodeDtc(Uint8Array.of(0, 0, 7, 0x81))).toMatchObject({ spn: 0, fmi: 7, ambiguous: false })
  })
})

describe('encodeDtc', () => {
  it('is undone by decoding with the version known', () => {
    fc.assert(
      fc.property(dtcs, (dtc) => {
        const known = dtc.version === 4 ? undefined : dtc.version
        expect(decodeDtc(encodeDtc(dtc), 0, known)).toMatchObject(dtc)
      }),
    )
  })

  it('writes version 4 where none is given', () => {
    expect(encodeDtc({ spn: 190, fmi: 2, occurrenceCount: null })).toEqual(Uint8Array.of(0xbe, 0, 2, 0x7f))
  })

  it.each([
    ['spn-out-of-range', { spn: 0x80000, fmi: 1, occurrenceCount: 1 }],
    ['spn-out-of-range', { spn: -1, fmi: 1, occurrenceCount: 1 }],
    ['spn-out-of-range', { spn: 1.5, fmi: 1, occurrenceCount: 1 }],
    ['fmi-out-of-range', { spn: 1, fmi: 32, occurrenceCount: 1 }],
    ['count-out-of-range', { spn: 1, fmi: 1, occurrenceCount: 127 }],
    ['count-out-of-range', { spn: 1, fmi: 1, occurrenceCount: Number.NaN }],
  ] as const)('refuses with %s: %o', (code, dtc: DtcInput) => {
    expect(() => encodeDtc(dtc)).toThrow(DtcError)
    expect(() => encodeDtc(dtc)).toThrow(expect.objectContaining({ code }))
  })
})

describe('isNoDtc', () => {
  it.each([
    [true, 'all zero', [0, 0, 0, 0]],
    [true, 'SPN 0 FMI 0 with a count', [0, 0, 0, 5]],
    [true, 'all FF', [0xff, 0xff, 0xff, 0xff]],
    [false, 'SPN 0 with an FMI', [0, 0, 1, 0]],
    [false, 'SPN 1', [1, 0, 0, 0]],
    [false, 'SPN 65536', [0, 0, 0x20, 0]],
    [false, 'the highest code with method bit 0', [0xff, 0xff, 0xff, 0x7f]],
  ])('%s: %s', (expected, _, bytes) => {
    expect(isNoDtc(Uint8Array.of(0x55, ...bytes), 1)).toBe(expected)
  })
})
