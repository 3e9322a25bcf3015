/** Layouts are from memory; the payloads are made up so that no two fields are alike. */
import { describe, expect, it } from 'vitest'
import { decodeReadiness1, decodeReadiness2, decodeReadiness3 } from './readiness.js'

const bytes = (text: string) => Uint8Array.from(text.split(' '), (byte) => Number.parseInt(byte, 16))

const CONTINUOUS = ['misfire', 'fuel system', 'comprehensive component']
const OTHERS = [
  'catalyst',
  'heated catalyst',
  'evaporative system',
  'secondary air system',
  'air conditioning refrigerant',
  'exhaust gas sensor',
  'exhaust gas sensor heater',
  'exhaust gas recirculation and variable valve timing',
  'cold start aid',
  'boost pressure control',
  'diesel particulate filter',
  'NOx converting catalyst or adsorber',
  'NMHC converting catalyst',
]

describe('DM5', () => {
  it('has counts and compliance', () => {
    const readiness = decodeReadiness1(bytes('02 07 14 00 00 00 00 00'))
    expect(readiness.values.activeCount).toMatchObject({ spn: 1218, value: 2, status: 'valid' })
    expect(readiness.values.previouslyActiveCount).toMatchObject({ spn: 1219, value: 7 })
    expect(readiness).toMatchObject({ complianceCode: 20, compliance: 'HD OBD', problems: [] })
  })

  it.each([
    ['05', 5, 'not intended to meet OBD II'],
    ['08', 8, 'EOBD and OBD'],
    ['0D', 13, 'JOBD, EOBD and OBD II'],
    ['FA', 250, null],
    ['00', 0, null],
    ['FF', null, null],
    ['FE', null, null],
  ])('compliance %s', (byte, complianceCode, compliance) => {
    expect(decodeReadiness1(bytes(`00 00 ${byte} 00 00 00 00 00`))).toMatchObject({ complianceCode, compliance })
  })

  it.each(CONTINUOUS.map((name, bit) => ({ name, bit })))('finds $name in its own bits', ({ name, bit }) => {
    const { monitors } = decodeReadiness1(Uint8Array.of(0, 0, 20, (1 << bit) | (1 << (bit + 4)), 0, 0, 0, 0))
    const supported = monitors.filter((monitor) => monitor.supported)
    expect(supported).toEqual([{ name, continuous: true, supported: true, complete: false }])
    expect(monitors.filter(({ complete }) => complete === false)).toEqual(supported)
  })

  it.each(OTHERS.map((name, bit) => ({ name, bit })))('finds $name in its own bits', ({ name, bit }) => {
    const low = (1 << bit) & 0xff
    const high = (1 << bit) >>> 8
    const { monitors } = decodeReadiness1(Uint8Array.of(0, 0, 20, 0, low, high, low, high))
    const supported = monitors.filter((monitor) => monitor.supported)
    expect(supported).toEqual([{ name, continuous: false, supported: true, complete: false }])
    expect(monitors.filter(({ complete }) => complete === false)).toEqual(supported)
  })

  it('says nothing of monitors whose bytes are not available', () => {
    const { monitors } = decodeReadiness1(bytes('FF FF FF FF FF FF FF FF'))
    expect(monitors).toHaveLength(CONTINUOUS.length + OTHERS.length)
    expect(monitors.every(({ supported, complete }) => supported === null && complete === null)).toBe(true)
  })

  it('keeps what a short payload holds', () => {
    const readiness = decodeReadiness1(bytes('02 07 14 01'))
    expect(readiness.values.previouslyActiveCount.value).toBe(7)
    expect(readiness.monitors[0]).toMatchObject({ name: 'misfire', supported: true, complete: true })
    expect(readiness.monitors[3]).toMatchObject({ name: 'catalyst', supported: null, complete: null })
    expect(readiness.problems).toEqual([{ code: 'short-payload', at: 4 }])
  })
})

describe('DM21', () => {
  it('has distances and times', () => {
    const { values, problems } = decodeReadiness2(bytes('01 02 03 04 05 06 07 08'))
    expect(Object.entries(values).map(([name, { spn, value, unit }]) => [name, spn, value, unit])).toEqual([
      ['distanceWithLampOn', 3069, 0x0201, 'km'],
      ['distanceSinceCleared', 3294, 0x0403, 'km'],
      ['timeWithLampOn', 3295, 0x0605, 'min'],
      ['timeSinceCleared', 3296, 0x0807, 'min'],
    ])
    expect(problems).toEqual([])
  })

  it('has no number for what is not available, an error or not sent', () => {
    const { values, problems } = decodeReadiness2(bytes('FF FF 34 FE 05 06 07'))
    expect(values.distanceWithLampOn).toMatchObject({ status: 'not-available', value: null })
    expect(values.distanceSinceCleared).toMatchObject({ status: 'error', value: null })
    expect(values.timeWithLampOn).toMatchObject({ status: 'valid', value: 0x0605 })
    expect(values.timeSinceCleared).toMatchObject({ status: 'not-sent', value: null })
    expect(problems).toEqual([{ code: 'short-payload', at: 7 }])
  })
})

describe('DM26', () => {
  it('has the time since start, warm-ups and the monitors of this cycle', () => {
    const readiness = decodeReadiness3(bytes('2C 01 0B 14 00 04 00 04'))
    expect(readiness.values.timeSinceStart).toMatchObject({ spn: 3301, value: 300, unit: 's' })
    expect(readiness.values.warmUpsSinceCleared).toMatchObject({ spn: 3302, value: 11 })
    expect(readiness.monitors.filter(({ enabled }) => enabled).map(({ name }) => name)).toEqual([
      'comprehensive component',
      'diesel particulate filter',
    ])
    expect(readiness.monitors.filter(({ complete }) => complete === false).map(({ name }) => name)).toEqual([
      'misfire',
      'diesel particulate filter',
    ])
    expect(readiness.problems).toEqual([])
  })
})
