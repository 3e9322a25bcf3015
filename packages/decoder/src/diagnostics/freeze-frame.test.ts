/** Layouts are from memory, so the payloads here are made up; scales are those of the same SPNs elsewhere. */
import { describe, expect, it } from 'vitest'
import { decodeExpandedFreezeFrames, decodeFreezeFrames } from './freeze-frame.js'
import type { SupportedSpn } from './monitors.js'

const bytes = (text: string) => Uint8Array.from(text === '' ? [] : text.split(' '), (byte) => Number.parseInt(byte, 16))

/** SPN 102 FMI 3 count 1; torque mode 4, boost 0x32, speed 0x2580, load 0x4B, coolant 0x7D, road speed 0x3C80. */
const CODE = '66 00 03 01'
const DATA = '04 32 80 25 4B 7D 80 3C'

describe('decodeFreezeFrames', () => {
  it('reads the parameters every frame has', () => {
    const { frames, problems } = decodeFreezeFrames(bytes(`0C ${CODE} ${DATA}`))
    expect(problems).toEqual([])
    expect(frames).toHaveLength(1)
    const [frame] = frames
    expect(frame.dtc).toMatchObject({ spn: 102, fmi: 3, occurrenceCount: 1 })
    expect(frame.torqueMode).toBe(4)
    expect(Object.entries(frame.values).map(([name, { spn, value, unit }]) => [name, spn, value, unit])).toEqual([
      ['boostPressure', 102, 100, 'kPa'],
      ['engineSpeed', 190, 1200, 'rpm'],
      ['engineLoad', 92, 75, '%'],
      ['coolantTemperature', 110, 85, '°C'],
      ['vehicleSpeed', 84, 60.5, 'km/h'],
    ])
    expect(frame.rest).toEqual(new Uint8Array())
  })

  it('keeps what its maker added', () => {
    const { frames, problems } = decodeFreezeFrames(bytes(`0E ${CODE} ${DATA} AB CD`))
    expect(problems).toEqual([])
    expect(frames[0].rest).toEqual(bytes('AB CD'))
  })

  it.each([
    ['without', '0D', '0C'],
    ['with', '0E', '0D'],
  ])('takes lengths that count %s the length byte itself, as the payload shows', (_, first, second) => {
    const { frames, problems } = decodeFreezeFrames(bytes(`${first} ${CODE} ${DATA} AB ${second} BE 00 02 05 ${DATA}`))
    expect(problems).toEqual([])
    expect(frames.map(({ dtc }) => dtc.spn)).toEqual([102, 190])
    expect(frames.map(({ rest }) => Array.from(rest))).toEqual([[0xab], []])
  })

  it('gives no number for what is not available or not sent', () => {
    const [frame] = decodeFreezeFrames(bytes(`08 ${CODE} FF FF FF FF`)).frames
    expect(frame.torqueMode).toBeNull()
    expect(frame.values.boostPressure).toMatchObject({ status: 'not-available', value: null })
    expect(frame.values.engineSpeed).toMatchObject({ status: 'not-available', value: null })
    expect(frame.values.engineLoad).toMatchObject({ status: 'not-sent', value: null, raw: null })
    expect(decodeFreezeFrames(bytes(`04 ${CODE}`)).frames[0].torqueMode).toBeNull()
  })

  it.each([
    ['length 0', '00 00 00 00 00 FF FF FF'],
    ['all zero', '00 00 00 00 00 00 00 00'],
    ['all FF', 'FF FF FF FF FF FF FF FF'],
    ['nothing', ''],
  ])('finds no frame in %s', (_, text) => {
    expect(decodeFreezeFrames(bytes(text))).toEqual({ kind: 'freeze-frames', dm: 4, frames: [], problems: [] })
  })

  it.each([
    ['longer than the payload', `0C ${CODE} ${DATA} 30 BE 00 02 05 04`, 13],
    ['shorter than a trouble code', `0C ${CODE} ${DATA} 02 BE 00 02 05 04`, 13],
    ['longer from the start', `40 ${CODE} ${DATA}`, 0],
  ])('keeps the whole frames before one that is %s', (_, text, at) => {
    const { frames, problems } = decodeFreezeFrames(bytes(text))
    expect(frames).toHaveLength(at === 0 ? 0 : 1)
    expect(problems).toEqual([{ code: 'freeze-frame-length', at }])
  })

  it('copies what it keeps', () => {
    const payload = bytes(`0D ${CODE} ${DATA} AB`)
    const [frame] = decodeFreezeFrames(payload).frames
    const [expanded] = decodeExpandedFreezeFrames(payload).frames
    payload.fill(0)
    expect(frame.rest).toEqual(bytes('AB'))
    expect(expanded.data).toEqual(bytes(`${DATA} AB`))
  })
})

describe('decodeExpandedFreezeFrames', () => {
  const entry = (spn: number, length: number, inFreezeFrame = true): SupportedSpn => ({
    spn,
    inFreezeFrame,
    inDataStream: true,
    inTestResults: false,
    bytes: length,
  })

  it('keeps the data of each frame', () => {
    const text = `07 ${CODE} 11 22 33 07 BE 00 02 05 44 55 66`
    const { frames, problems } = decodeExpandedFreezeFrames(bytes(text))
    expect(problems).toEqual([])
    expect(frames.map(({ dtc, data }) => [dtc.spn, Array.from(data)])).toEqual([
      [102, [0x11, 0x22, 0x33]],
      [190, [0x44, 0x55, 0x66]],
    ])
    expect(frames.map(({ parameters }) => parameters)).toEqual([null, null])
  })

  it('finds the parameters its node listed, in their order, without those that are not in it', () => {
    const supported = [entry(190, 2), entry(247, 4, false), entry(110, 1), entry(5, 0), entry(237, 7)]
    const text = `0E ${CODE} 80 25 7D 41 42 43 44 45 46 47`
    const { frames, problems } = decodeExpandedFreezeFrames(bytes(text), undefined, supported)
    expect(problems).toEqual([])
    expect(frames[0].parameters).toEqual([
      { spn: 190, bytes: bytes('80 25'), raw: 0x2580 },
      { spn: 110, bytes: bytes('7D'), raw: 0x7d },
      { spn: 5, bytes: bytes(''), raw: null },
      { spn: 237, bytes: bytes('41 42 43 44 45 46 47'), raw: null },
    ])
  })

  it('does not guess where the list does not add up', () => {
    const text = `07 ${CODE} 11 22 33`
    const { frames, problems } = decodeExpandedFreezeFrames(bytes(text), undefined, [entry(190, 2)])
    expect(frames[0].parameters).toBeNull()
    expect(problems).toEqual([{ code: 'freeze-frame-parameters', at: 0 }])
  })

  it('reads old SPN layouts as told', () => {
    const [frame] = decodeExpandedFreezeFrames(bytes('05 17 00 C2 85 11'), 2).frames
    expect(frame.dtc).toMatchObject({ spn: 190, version: 2 })
  })
})
