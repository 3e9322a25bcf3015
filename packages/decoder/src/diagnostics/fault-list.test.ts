import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { DTC_BYTES, encodeDtc, isNoDtc } from './dtc.js'
import { decodeFaultList, encodeFaultList } from './fault-list.js'
import { decodeLamps, encodeLamps } from './lamps.js'

const bytes = (text: string) => Uint8Array.from(text === '' ? [] : text.split(' '), (byte) => Number.parseInt(byte, 16))
const spns = (text: string) => decodeFaultList('DM1', bytes(text)).faults.map(({ spn }) => spn)
const problems = (text: string) => decodeFaultList('DM1', bytes(text)).problems

const lampStatus = fc.tuple(fc.nat(255), fc.nat(255)).map(([status, flash]) => decodeLamps(status, flash))
const codes = fc
  .record({
    spn: fc.integer({ min: 0, max: 0x7ffff }),
    fmi: fc.integer({ min: 0, max: 31 }),
    occurrenceCount: fc.option(fc.integer({ min: 0, max: 126 })),
  })
  .filter((code) => !isNoDtc(encodeDtc(code)))

describe('what a message says', () => {
  it.each([
    ['DM1', 1, 'active'],
    ['DM2', 2, 'previously-active'],
    ['DM6', 6, 'pending'],
    ['DM12', 12, 'active'],
    ['DM23', 23, 'previously-active'],
    ['DM27', 27, 'pending'],
    ['DM28', 28, 'permanent'],
  ] as const)('%s lists faults of its own state', (source, dm, state) => {
    expect(decodeFaultList(source, bytes('10 FF 66 00 03 01 FF FF'))).toEqual({
      kind: 'fault-list',
      dm,
      source,
      state,
      lamps: decodeLamps(0x10, 0xff),
      faults: [expect.objectContaining({ spn: 102, fmi: 3, occurrenceCount: 1 })],
      problems: [],
    })
  })
})

describe('no fault', () => {
  it.each([
    ['zero code', '04 FF 00 00 00 00 FF FF'],
    ['zero code and zero filler', '04 FF 00 00 00 00 00 00'],
    ['code of FF', '04 FF FF FF FF FF FF FF'],
    ['lamps only', '04 FF'],
    ['lamps and filler', '04 FF FF FF'],
    ['zero code without filler', '04 FF 00 00 00 00'],
    ['zero code in a longer payload', '04 FF 00 00 00 00 FF FF FF FF'],
  ])('%s', (_, text) => {
    expect(spns(text)).toEqual([])
    expect(problems(text)).toEqual([])
    expect(decodeFaultList('DM1', bytes(text)).lamps?.amberWarning.state).toBe('on')
  })
})

describe('awkward payloads', () => {
  it('leaves out an empty code between others', () => {
    expect(spns('00 FF 66 00 03 01 00 00 00 00 BE 00 02 05')).toEqual([102, 190])
  })

  it('keeps repeats', () => {
    expect(spns('00 FF 66 00 03 01 66 00 03 01')).toEqual([102, 102])
  })

  it.each(['BE', 'BE 00', 'BE 00 02', '00 FF', 'FF 00'])(
    'reports a code cut off after %s, and keeps the rest',
    (rest) => {
      const text = `00 FF 66 00 03 01 67 00 03 01 ${rest}`
      expect(spns(text)).toEqual([102, 103])
      expect(problems(text)).toEqual([{ code: 'incomplete-dtc', at: 10 }])
    },
  )

  it('takes what is left of a single frame as filler, whatever it is', () => {
    expect(spns('00 FF 66 00 03 01 BE 00')).toEqual([102])
    expect(problems('00 FF 66 00 03 01 BE 00')).toEqual([])
  })

  it('gives the lamps of a payload that ends after the first byte, without flashing', () => {
    const list = decodeFaultList('DM1', bytes('55'))
    expect(list.lamps).toEqual(decodeLamps(0x55, 0xff))
    expect(list).toMatchObject({ faults: [], problems: [{ code: 'short-payload', at: 1 }] })
  })

  it('has nothing to say of an empty payload', () => {
    expect(decodeFaultList('DM1', bytes(''))).toMatchObject({
      lamps: null,
      faults: [],
      problems: [{ code: 'short-payload', at: 0 }],
    })
  })

  it('reads old SPN layouts as told, and keeps all readings where not told', () => {
    const payload = bytes('00 FF 17 00 C2 85 FF FF')
    expect(decodeFaultList('DM1', payload, 2).faults).toMatchObject([{ spn: 190, version: 2, ambiguous: false }])
    expect(decodeFaultList('DM1', payload).faults).toMatchObject([{ ambiguous: true, readings: { length: 3 } }])
  })
})

describe('encodeFaultList', () => {
  it('gives the frame a truck sent (open CAN capture)', () => {
    const lamps = decodeLamps(0x40, 0xff)
    expect(encodeFaultList(lamps, [{ spn: 102, fmi: 3, occurrenceCount: 1 }])).toEqual(bytes('40 FF 66 00 03 01 FF FF'))
    expect(encodeFaultList(decodeLamps(0x03, 0xff), [])).toEqual(bytes('03 FF 00 00 00 00 FF FF'))
  })

  it('gives the payload of a broadcast (keypad J1939 manual), but for the flash byte of lamps that are off', () => {
    const faults = [
      { spn: 520307, fmi: 2, occurrenceCount: 3 },
      { spn: 520308, fmi: 2, occurrenceCount: 7 },
      { spn: 520309, fmi: 2, occurrenceCount: 3 },
      { spn: 520800, fmi: 4, occurrenceCount: 3 },
    ]
    expect(encodeFaultList(decodeLamps(0x00, 0x00), faults)).toEqual(
      bytes('00 FF 73 F0 E2 03 74 F0 E2 07 75 F0 E2 03 60 F2 E4 03'),
    )
  })

  it('is undone by decoding', () => {
    fc.assert(
      fc.property(lampStatus, fc.array(codes, { maxLength: 40 }), (lamps, faults) => {
        const list = decodeFaultList('DM2', encodeFaultList(lamps, faults))
        expect(list.lamps).toEqual(lamps)
        expect(list.faults).toMatchObject(faults)
        expect(list.faults).toHaveLength(faults.length)
        expect(list.problems).toEqual([])
      }),
    )
  })
})

it('never loses a byte: lamps, codes, empty codes and what is left make up the payload', () => {
  fc.assert(
    fc.property(fc.uint8Array({ minLength: 2, maxLength: 60 }), (payload) => {
      const list = decodeFaultList('DM1', payload)
      const places = Math.floor((payload.length - 2) / DTC_BYTES)
      const empty = Array.from({ length: places }, (_, n) => isNoDtc(payload, 2 + n * DTC_BYTES)).filter(Boolean).length
      expect(list.faults.length + empty).toBe(places)
      expect(list.lamps && encodeLamps(list.lamps)[0]).toBe(payload[0])
      const left = payload.subarray(2 + places * DTC_BYTES)
      const filler = left.every((byte) => byte === 0xff) || left.every((byte) => byte === 0)
      expect(list.problems).toHaveLength(filler || payload.length === 8 ? 0 : 1)
    }),
  )
})
