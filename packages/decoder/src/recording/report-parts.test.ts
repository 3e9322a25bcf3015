/** Words of reports. Payloads are made up so that no two fields are alike; layouts from memory, as the decoder has them. */
import { describe, expect, it } from 'vitest'
import { decodeDiagnostic, diagnosticGroupByNumber } from '../diagnostics/index.js'
import type { SupportedSpn } from '../diagnostics/monitors.js'
import type { ReportMessage } from './diagnostic-reports.js'
import { reportParts } from './report-parts.js'

const bytes = (text: string) => Uint8Array.from(text === '' ? [] : text.split(' '), (byte) => Number.parseInt(byte, 16))
const hexOf = (text: string) => Array.from(text, (sign) => sign.charCodeAt(0).toString(16)).join(' ')

/** Parts of a diagnostic message, each line as words, so that a value under another label shows. */
function wordsOf(dm: number, payload: string, supported?: readonly SupportedSpn[]) {
  const { pgn = 0 } = diagnosticGroupByNumber(dm) ?? {}
  const head = { channel: 0, priority: 6, pgn, sa: 0, da: 255, firstTime: 0, time: 0, transport: 'single' } as const
  const options = supported === undefined ? {} : { supported: () => supported }
  const says = decodeDiagnostic({ ...head, payload: bytes(payload) }, options) as ReportMessage
  return reportParts(says).map(({ fault, lines }) => [
    fault && `${fault.spn}/${fault.fmi}`,
    ...lines.map(({ label, spn, value }) => {
      const said = typeof value === 'string' ? value : `${value.value ?? value.status} ${value.unit}`
      return `${spn === null ? '' : `${spn} `}${label}: ${said}`
    }),
  ])
}

const CODE = '66 00 03 01'
const DATA = '04 32 80 25 4B 7D 80 3C'

describe('freeze frames', () => {
  it('are a part each, with the fault they were kept for and the bytes only their maker knows', () => {
    expect(wordsOf(4, `0D ${CODE} ${DATA} AB 06 BE 00 02 05 FF FF`)).toEqual([
      [
        '102/3',
        '102 Engine intake manifold 1 pressure: 100 kPa',
        '190 Engine speed: 1200 rpm',
        '92 Engine percent load at current speed: 75 %',
        '110 Engine coolant temperature: 85 °C',
        '84 Wheel-based vehicle speed: 60.5 km/h',
        'Engine torque mode, byte as sent: 04',
        'Further bytes, known to the maker: AB',
      ],
      [
        '190/2',
        '102 Engine intake manifold 1 pressure: not-available kPa',
        '190 Engine speed: not-sent rpm',
        '92 Engine percent load at current speed: not-sent %',
        '110 Engine coolant temperature: not-sent °C',
        '84 Wheel-based vehicle speed: not-sent km/h',
      ],
    ])
  })

  it('that are none say so', () => {
    expect(wordsOf(4, '00 00 00 00 00 FF FF FF')).toEqual([[null, 'Freeze frames: none']])
  })

  it('that do not fit their payload say what is wrong with them', () => {
    expect(wordsOf(4, `40 ${CODE} ${DATA}`)).toEqual([
      [null, 'Freeze frames: none'],
      [null, 'Wrong with it, from byte 1 on: the lengths of the freeze frames do not fit the payload'],
    ])
  })

  const listed = (spn: number, length: number): SupportedSpn => {
    return { spn, inFreezeFrame: true, inDataStream: true, inTestResults: false, bytes: length }
  }

  it('of listed parameters have the catalogue’s scales where the sizes agree, else bytes', () => {
    const list = [listed(190, 2), listed(110, 1), listed(84, 1), listed(524286, 3)]
    expect(wordsOf(25, `0B ${CODE} 80 25 7D 22 41 42 43`, list)).toEqual([
      [
        '102/3',
        '190 Engine speed: 1200 rpm',
        '110 Engine coolant temperature: 85 °C',
        '84 Wheel-based vehicle speed: bytes 22',
        '524286 Not in the public list known here: bytes 414243',
      ],
    ])
  })

  it('without a list are bytes', () => {
    expect(wordsOf(25, `07 ${CODE} 11 22 33`)).toEqual([
      ['102/3', 'Bytes, without a list (DM24) of the node that fits them: 112233'],
    ])
  })
})

describe('readiness', () => {
  it('has counts, compliance, and monitors by how far they are', () => {
    expect(wordsOf(5, '02 07 14 21 01 80 00 80')).toEqual([
      [
        null,
        '1218 Active trouble codes: 2 count',
        '1219 Previously active trouble codes: 7 count',
        '1220 Built to comply with: HD OBD (code 20)',
        expect.stringMatching(/^Monitors, complete: misfire, catalyst$/),
        expect.stringMatching(/^Monitors, not there: fuel system, comprehensive component, heated catalyst, /),
      ],
    ])
    expect(wordsOf(5, '02 07 FA FF FF FF FF FF')[0]).toContain('1220 Built to comply with: code 250')
    expect(wordsOf(5, '02 07 FF FF FF FF FF FF')[0]).toContain('1220 Built to comply with: not available')
  })

  it('since the start says which monitors are not enabled', () => {
    const [[, time, warmUps, ...monitors]] = wordsOf(26, '2C 01 05 10 00 00 00 00')
    expect([time, warmUps]).toEqual([
      '3301 Time since engine start: 300 s',
      '3302 Warm-ups since trouble codes cleared: 5 count',
    ])
    expect(monitors).toContain('Monitors, not complete and not enabled: misfire')
  })

  it('by distances and times', () => {
    expect(wordsOf(21, '01 00 02 00 03 00 04 00')).toEqual([
      [
        null,
        '3069 Distance travelled while MIL is activated: 1 km',
        '3294 Distance since trouble codes cleared: 2 km',
        '3295 Minutes run by engine while MIL is activated: 3 min',
        '3296 Time since trouble codes cleared: 4 min',
      ],
    ])
  })
})

describe('other reports', () => {
  const CALIBRATION = `78 56 34 02 ${hexOf('RESCUE-3.0-CAL-1')}`
  const NO_CALIBRATION = Array(20).fill('FF').join(' ')

  it.each<readonly [string, number, string, readonly string[]]>([
    [
      'calibrations',
      19,
      `${CALIBRATION} ${NO_CALIBRATION}`,
      [
        '1635 Calibration 1: RESCUE-3.0-CAL-1',
        '1634 Its verification number: 02345678',
        '1635 Calibration 2: not available',
        '1634 Its verification number: not available',
      ],
    ],
    [
      'monitor ratios',
      20,
      '09 00 08 00 F6 0B F8 03 00 0C 00 52 0A F8 FF FF FF FF',
      [
        '3048 Ignition cycle counter: 9 count',
        '3049 OBD monitoring conditions encountered: 8 count',
        expect.stringMatching(/^3062 .+: ran 3 of the 12 times it could$/),
        expect.stringMatching(/^2642 .+: not available$/),
      ],
    ],
    [
      'supported parameters',
      24,
      'BE 00 1C 02 6E 00 1D 01 5B 00 1B 01',
      [
        'In the freeze frame, in this order: Engine speed (SPN 190, 2 bytes)',
        'Sent as ordinary data: Engine speed (SPN 190); Engine coolant temperature (SPN 110)',
        'With test results: Accelerator pedal position 1 (SPN 91)',
      ],
    ],
    ['no broadcast', 13, 'FF FF FF FF FF FF FF FF', ['Normal broadcasts: no action']],
    [
      'fault counts',
      29,
      '01 02 03 04 05 FF FF FF',
      [
        '4104 Emissions-related pending trouble codes: 1 count',
        '4105 All pending trouble codes: 2 count',
        '4106 Emissions-related MIL-on trouble codes: 3 count',
        '4107 Emissions-related previously MIL-on trouble codes: 4 count',
        '4108 Emissions-related permanent trouble codes: 5 count',
      ],
    ],
    ['a message known by name', 14, '01 02 A3', ['Known by name only; bytes: 0102A3']],
    ['an empty one', 14, '', ['Known by name only; bytes: none']],
  ])('%s', (_, dm, payload, lines) => {
    expect(wordsOf(dm, payload)).toEqual([[null, ...lines]])
  })
})
