import { describe, expect, it } from 'vitest'
import { decodeClear, decodeIndividualClear, requestedPgn } from './clears.js'

describe('decodeClear', () => {
  it.each([
    [3, 'previously-active'],
    [11, 'active'],
  ] as const)('DM%i clears %s faults', (dm, clears) => {
    const request = Uint8Array.of(0xd3, 0xfe, 0x00)
    expect(decodeClear(dm, 'request', request)).toEqual({ kind: 'clear', dm, clears, form: 'request', problems: [] })
  })

  it.each([
    ['nothing', []],
    ['FF', [0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff]],
    ['zeros', [0, 0, 0, 0, 0, 0, 0, 0]],
  ])('takes %s as the payload of the group itself', (_, payload) => {
    expect(decodeClear(3, 'group', Uint8Array.from(payload)).problems).toEqual([])
  })

  it('says so where the group carries something', () => {
    expect(decodeClear(11, 'group', Uint8Array.of(0x12, 0xff)).problems).toEqual([
      { code: 'unexpected-payload', at: 0 },
    ])
  })
})

describe('requestedPgn', () => {
  it.each([
    [[0xcc, 0xfe, 0x00], 65228],
    [[0xd3, 0xfe, 0x00, 0xff, 0xff, 0xff, 0xff, 0xff], 65235],
    [[0x12, 0x34, 0x02], 0x23412],
    [[0xcc, 0xfe], null],
    [[], null],
  ])('%o asks for %o', (payload, pgn) => {
    expect(requestedPgn(Uint8Array.from(payload))).toBe(pgn)
  })
})

describe('decodeIndividualClear', () => {
  // Layout from memory. SPN 0x51234 FMI 17: bytes 34 12, then 101 10001.
  const payload = (control: number) => Uint8Array.of(control, 0xff, 0xff, 0xff, 0xff, 0x34, 0x12, 0xb1)

  it.each([
    [1, 'clear-previously-active'],
    [2, 'previously-active-cleared'],
    [3, 'previously-active-refused'],
    [17, 'clear-active'],
    [18, 'active-cleared'],
    [19, 'active-refused'],
    [0, 'reserved'],
    [255, 'reserved'],
  ] as const)('control byte %i: %s', (control, action) => {
    expect(decodeIndividualClear(payload(control))).toEqual({
      kind: 'individual-clear',
      dm: 22,
      action,
      control,
      fault: { spn: 0x51234, fmi: 17 },
      problems: [],
    })
  })

  it('keeps the action of a short payload', () => {
    expect(decodeIndividualClear(payload(17).subarray(0, 7))).toMatchObject({
      action: 'clear-active',
      fault: null,
      problems: [{ code: 'short-payload', at: 7 }],
    })
    expect(decodeIndividualClear(new Uint8Array())).toMatchObject({ action: null, control: null, fault: null })
  })
})
