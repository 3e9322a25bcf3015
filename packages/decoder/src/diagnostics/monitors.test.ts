/** Layouts are from memory; the payloads are made up so that no two fields are alike. */
import { describe, expect, it } from 'vitest'
import {
  decodeCalibrations,
  decodeFaultCounts,
  decodeMonitorRatios,
  decodeSpnSupport,
  decodeStopStartBroadcast,
} from './monitors.js'

const bytes = (text: string) => Uint8Array.from(text === '' ? [] : text.split(' '), (byte) => Number.parseInt(byte, 16))
const ascii = (text: string) => Array.from(text, (character) => character.charCodeAt(0))

describe('DM13', () => {
  it.each([
    ['3F', 'stop'],
    ['7F', 'start'],
    ['BF', 'reserved'],
    ['FF', 'no-action'],
  ])('first byte %s: %s', (first, currentDataLink) => {
    const payload = bytes(`${first} FF FF FF FF FF FF FF`)
    expect(decodeStopStartBroadcast(payload)).toMatchObject({ dm: 13, currentDataLink, problems: [] })
  })

  it('says nothing without a byte', () => {
    expect(decodeStopStartBroadcast(bytes(''))).toMatchObject({
      currentDataLink: null,
      problems: [{ code: 'short-payload', at: 0 }],
    })
  })
})

describe('DM19', () => {
  const block = (number: readonly number[], text: string, filler = 0) => [
    ...number,
    ...ascii(text),
    ...new Array<number>(16 - text.length).fill(filler),
  ]

  it('has number and text of each calibration', () => {
    const payload = Uint8Array.from([
      ...block([0x78, 0x56, 0x34, 0x92], 'RESCUE-3.0-CAL-1'),
      ...block([1, 0, 0, 0], 'AFTER 2', 0x20),
      ...block([0xff, 0xff, 0xff, 0xff], '', 0xff),
    ])
    expect(decodeCalibrations(payload)).toEqual({
      kind: 'calibrations',
      dm: 19,
      calibrations: [
        { id: 'RESCUE-3.0-CAL-1', verificationNumber: 0x92345678 },
        { id: 'AFTER 2', verificationNumber: 1 },
        { id: null, verificationNumber: null },
      ],
      problems: [],
    })
  })

  it('keeps the whole ones and reports one cut off', () => {
    const payload = Uint8Array.from([...block([4, 3, 2, 1], 'ONE'), 9, 8, 7])
    expect(decodeCalibrations(payload)).toMatchObject({
      calibrations: [{ id: 'ONE', verificationNumber: 0x01020304 }],
      problems: [{ code: 'incomplete-block', at: 20 }],
    })
  })

  it('finds none in filler', () => {
    expect(decodeCalibrations(bytes('FF FF FF FF FF FF FF FF'))).toMatchObject({ calibrations: [], problems: [] })
  })
})

describe('DM20', () => {
  it('has counters and ratios', () => {
    const ratios = decodeMonitorRatios(bytes('0C 01 0D 02 CA 14 F8 11 00 22 00 F2 0B F8 33 00 44 00'))
    expect(ratios.values.ignitionCycles).toMatchObject({ spn: 3048, value: 268 })
    expect(ratios.values.conditionsMet).toMatchObject({ spn: 3049, value: 525 })
    expect(ratios.ratios).toEqual([
      { spn: 5322, numerator: 0x11, denominator: 0x22 },
      { spn: 3058, numerator: 0x33, denominator: 0x44 },
    ])
    expect(ratios.problems).toEqual([])
  })

  it.each([
    ['CA 14 F8', 5322],
    ['CA 14 FD', 0x514ca],
    ['CA 14 00', 5322],
    ['CA 14 1F', 5322],
    ['CA 14 BF', 0x514ca],
  ])('reads the SPN %s by where the spare bits are', (text, spn) => {
    expect(decodeMonitorRatios(bytes(`00 00 00 00 ${text} 01 00 02 00`)).ratios[0].spn).toBe(spn)
  })

  it('has no number for what is not available', () => {
    const { values, ratios, problems } = decodeMonitorRatios(bytes('FF FF 05 00 CA 14 F8 FF FF FE FE'))
    expect(values.ignitionCycles).toMatchObject({ status: 'not-available', value: null })
    expect(ratios).toEqual([{ spn: 5322, numerator: null, denominator: null }])
    expect(problems).toEqual([])
  })

  it('takes filler for no ratio, and reports what is cut off', () => {
    expect(decodeMonitorRatios(bytes('05 00 06 00 FF FF FF FF'))).toMatchObject({ ratios: [], problems: [] })
    expect(decodeMonitorRatios(bytes('05 00 06 00 FF FF FF FF FF FF FF'))).toMatchObject({ ratios: [], problems: [] })
    expect(decodeMonitorRatios(bytes('05 00 06 00 CA 14 F8 01'))).toMatchObject({
      ratios: [],
      problems: [{ code: 'incomplete-block', at: 4 }],
    })
    expect(decodeMonitorRatios(bytes('05 00 06 00'))).toMatchObject({ ratios: [], problems: [] })
    expect(decodeMonitorRatios(bytes('05 00 06'))).toMatchObject({ problems: [{ code: 'short-payload', at: 3 }] })
  })
})

describe('DM24', () => {
  it.each([
    ['1C', { inFreezeFrame: true, inDataStream: true, inTestResults: false }],
    ['1D', { inFreezeFrame: false, inDataStream: true, inTestResults: false }],
    ['1B', { inFreezeFrame: false, inDataStream: false, inTestResults: true }],
    ['18', { inFreezeFrame: true, inDataStream: true, inTestResults: true }],
  ])('support bits %s, where 0 is yes', (third, support) => {
    expect(decodeSpnSupport(bytes(`5C 00 ${third} 01`)).supported).toEqual([{ spn: 92, bytes: 1, ...support }])
  })

  it('keeps order, high SPNs and lengths, and leaves filler out', () => {
    const { supported, problems } = decodeSpnSupport(bytes('BE 00 1C 02 34 12 BC 11 FF FF FF FF'))
    expect(supported.map(({ spn, bytes: length }) => [spn, length])).toEqual([
      [190, 2],
      [0x51234, 17],
    ])
    expect(problems).toEqual([])
    expect(decodeSpnSupport(bytes('BE 00 1C 02 5C 00')).problems).toEqual([{ code: 'incomplete-block', at: 4 }])
  })
})

describe('DM29', () => {
  it('has its five counts', () => {
    const { values, problems } = decodeFaultCounts(bytes('01 02 03 04 05 FF FF FF'))
    expect(Object.entries(values).map(([name, { spn, value }]) => [name, spn, value])).toEqual([
      ['emissionsPending', 4104, 1],
      ['allPending', 4105, 2],
      ['lampOn', 4106, 3],
      ['previouslyLampOn', 4107, 4],
      ['permanent', 4108, 5],
    ])
    expect(problems).toEqual([])
  })

  it('has no number for FF, and reports a short payload', () => {
    const { values, problems } = decodeFaultCounts(bytes('FF 02 03 04'))
    expect(values.emissionsPending.value).toBeNull()
    expect(values.permanent.status).toBe('not-sent')
    expect(problems).toEqual([{ code: 'short-payload', at: 4 }])
    expect(decodeFaultCounts(bytes('01 02 03 04 05')).problems).toEqual([])
  })
})
