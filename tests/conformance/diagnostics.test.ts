/** Published values of SAE J1939-73, each with its source, against the decoder. */
import { describe, expect, it } from 'vitest'
import { formatIdentifier, parseIdentifier } from '../../packages/decoder/src/bus/identifier.js'
import type { Message } from '../../packages/decoder/src/bus/message.js'
import { Transport } from '../../packages/decoder/src/bus/transport.js'
import { publicationsAmong } from '../../packages/decoder/src/catalog/sources.js'
import {
  DIAGNOSTIC_GROUPS,
  decodeDiagnostic,
  decodeDtc,
  decodeFaultList,
  decodeLamps,
  diagnosticGroup,
  diagnosticGroupByNumber,
  encodeDtc,
  type FaultList,
  FMIS,
  LAMPS,
  type LampState,
} from '../../packages/decoder/src/diagnostics/index.js'

const KEYPAD = 'Keypad J1939 manual'
const CAPTURE = 'Open CAN capture of heavy trucks (public dataset)'
const ATTACKS = 'Open captures of attacks on a J1939 bus (public dataset)'
const LAB = 'University lab notebook on multi-frame messages'
const GENSET = 'Genset controller manual'
const ENGINE = "An engine maker's published J1939 chapter"
const BODYWORK = "A truck maker's bodywork CAN manual"
const MEMORY = 'from memory'

const bytes = (text: string) => Uint8Array.from(text.split(' '), (byte) => Number.parseInt(byte, 16))

/**
 * State of the malfunction, red stop, amber warning and protect lamps, and the flash code of all four.
 * Code 3 is "do not flash"; code 0 would be a slow flash, but no lamp is on where it was sent.
 */
type Lamps = readonly [LampState, LampState, LampState, LampState, flashCode: 0 | 3]
/** SPN, FMI, occurrence count; the conversion method bit is 0 in all of them. */
type Dtc = readonly [spn: number, fmi: number, count: number]

interface Example {
  readonly name: string
  /** Of the frame, or of the frames' announcement (BAM). */
  readonly id: number
  readonly data: string
  readonly lamps: Lamps
  readonly dtcs: readonly Dtc[]
  readonly source: string
}

const EXAMPLES: readonly Example[] = [
  {
    name: 'one fault, undervoltage, SPN 7F260h',
    id: 0x18feca80,
    data: '00 00 60 F2 E4 01 FF FF',
    lamps: ['off', 'off', 'off', 'off', 0],
    dtcs: [[520800, 4, 1]],
    source: KEYPAD,
  },
  {
    name: 'one fault, stuck key, SPN 7F074h',
    id: 0x18feca80,
    data: '00 00 74 F0 E2 05 FF FF',
    lamps: ['off', 'off', 'off', 'off', 0],
    dtcs: [[520308, 2, 5]],
    source: KEYPAD,
  },
  {
    name: 'one fault on a truck: SPN 102 FMI 3, MIL on',
    id: 0x18feca00,
    data: '40 FF 66 00 03 01 FF FF',
    lamps: ['on', 'off', 'off', 'off', 3],
    dtcs: [[102, 3, 1]],
    source: CAPTURE,
  },
  {
    name: 'previously active fault by DM2 request',
    id: 0x18fecb80,
    data: '00 00 60 F2 E4 03 FF FF',
    lamps: ['off', 'off', 'off', 'off', 0],
    dtcs: [[520800, 4, 3]],
    source: KEYPAD,
  },
  {
    name: 'no fault (standard form)',
    id: 0x18feca31,
    data: '00 FF 00 00 00 00 FF FF',
    lamps: ['off', 'off', 'off', 'off', 3],
    dtcs: [],
    source: CAPTURE,
  },
  {
    name: 'no fault, protect lamp not supported',
    id: 0x18feca00,
    data: '03 FF 00 00 00 00 FF FF',
    lamps: ['off', 'off', 'off', 'not-available', 3],
    dtcs: [],
    source: CAPTURE,
  },
  {
    name: 'no DTC but amber lamp on (brake ECU)',
    id: 0x18feca0b,
    data: '04 FF 00 00 00 00 FF FF',
    lamps: ['off', 'off', 'on', 'off', 3],
    dtcs: [],
    source: CAPTURE,
  },
  {
    name: 'no fault, all eight bytes zero (non-standard padding)',
    id: 0x18feca80,
    data: '00 00 00 00 00 00 00 00',
    lamps: ['off', 'off', 'off', 'off', 0],
    dtcs: [],
    source: KEYPAD,
  },
  {
    name: 'six faults by BAM',
    id: 0x18ecff0b,
    data: '04 FF 15 03 02 7E 16 03 02 7E 17 03 02 7E 18 03 02 7E 22 03 04 7E 18 03 07 01',
    lamps: ['off', 'off', 'on', 'off', 3],
    dtcs: [
      [789, 2, 126],
      [790, 2, 126],
      [791, 2, 126],
      [792, 2, 126],
      [802, 4, 126],
      [792, 7, 1],
    ],
    source: ATTACKS,
  },
  {
    name: 'four faults by BAM (printed)',
    id: 0x1cecff80,
    data: '00 00 73 F0 E2 03 74 F0 E2 07 75 F0 E2 03 60 F2 E4 03',
    lamps: ['off', 'off', 'off', 'off', 0],
    dtcs: [
      [520307, 2, 3],
      [520308, 2, 7],
      [520309, 2, 3],
      [520800, 4, 3],
    ],
    source: KEYPAD,
  },
  {
    name: '47 faults by BAM (real engine)',
    id: 0x1cecff00,
    data: '57 FF 9D 00 03 01 FB 06 0B 7E 4A 00 0E 7E E1 06 0E 7E 66 00 04 01 51 00 04 01 B9 04 04 01 69 00 03 01 46 0A 03 01 AB 00 03 01 CF 04 02 01 D3 04 02 01 84 06 02 01 6E 00 03 01 5E 00 04 01 AE 00 03 01 F5 13 13 01 91 0C 13 01 61 02 09 01 7F 02 09 01 84 06 09 01 84 06 09 01 F8 13 09 01 84 06 09 01 84 06 09 01 84 06 09 01 84 06 09 01 FD 13 09 01 84 06 09 01 84 06 09 01 84 06 09 01 D4 04 09 01 84 06 09 01 84 06 09 01 AF 00 03 01 9C 01 03 01 9B 01 04 01 89 03 13 01 8A 03 13 01 8B 03 13 01 8C 03 13 01 84 06 09 01 84 06 09 01 84 06 09 01 75 02 05 01 F9 13 09 01 FA 13 09 01',
    lamps: ['on', 'on', 'on', 'not-available', 3],
    dtcs: [
      [157, 3, 1],
      [1787, 11, 126],
      [74, 14, 126],
      [1761, 14, 126],
      [102, 4, 1],
      [81, 4, 1],
      [1209, 4, 1],
      [105, 3, 1],
      [2630, 3, 1],
      [171, 3, 1],
      [1231, 2, 1],
      [1235, 2, 1],
      [1668, 2, 1],
      [110, 3, 1],
      [94, 4, 1],
      [174, 3, 1],
      [5109, 19, 1],
      [3217, 19, 1],
      [609, 9, 1],
      [639, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [5112, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [5117, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [1236, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [175, 3, 1],
      [412, 3, 1],
      [411, 4, 1],
      [905, 19, 1],
      [906, 19, 1],
      [907, 19, 1],
      [908, 19, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [1668, 9, 1],
      [629, 5, 1],
      [5113, 9, 1],
      [5114, 9, 1],
    ],
    source: LAB,
  },
]

/** The message an example is, or becomes once its packets are put together. */
function messageOf({ id, data }: Example): Message {
  const { priority, pgn, sa, da } = parseIdentifier(id)
  const payload = bytes(data)
  const single = payload.length <= 8
  return {
    channel: 0,
    priority,
    pgn: single ? pgn : 65226,
    sa,
    da,
    firstTime: 0,
    time: 0,
    payload,
    transport: single ? 'single' : 'bam',
  }
}

describe.each(EXAMPLES)('$name ($source)', (example) => {
  const list = decodeDiagnostic(messageOf(example)) as FaultList
  const [malfunction, redStop, amberWarning, protect, flashCode] = example.lamps

  it('has the faults', () => {
    expect(list.faults.map((fault) => [fault.spn, fault.fmi, fault.occurrenceCount])).toEqual(example.dtcs)
    expect(list.faults.map((fault) => fault.version)).toEqual(example.dtcs.map(() => 4))
    expect(list.problems).toEqual([])
  })

  it('has the lamps', () => {
    expect(list.lamps).toEqual({
      malfunction: { state: malfunction, flash: 'none' },
      redStop: { state: redStop, flash: 'none' },
      amberWarning: { state: amberWarning, flash: 'none' },
      protect: { state: protect, flash: 'none' },
    })
  })

  it('has the flash codes, which only a lamp that is on would show', () => {
    const lit = decodeLamps(0b01010101, bytes(example.data)[1])
    for (const { key } of LAMPS) expect(lit[key].flash).toBe(flashCode === 3 ? 'none' : 'slow')
  })

  it('names its message', () => {
    expect(list.source).toBe(example.name.includes('DM2') ? 'DM2' : 'DM1')
  })
})

it('keeps every entry of the 47, repeats too (University lab notebook on multi-frame messages)', () => {
  const [example] = EXAMPLES.filter(({ name }) => name.startsWith('47'))
  expect(decodeFaultList('DM1', bytes(example.data)).faults).toHaveLength(47)
})

interface Broadcast {
  readonly name: string
  readonly sa: number
  /** The announcement, PGN 60416. */
  readonly control: string
  /** The packets, PGN 60160. */
  readonly packets: readonly string[]
  /** First words of the example it carries. */
  readonly example: string
  readonly source: string
}

const BROADCASTS: readonly Broadcast[] = [
  {
    name: 'DM1, four faults, last frame padded FF',
    sa: 0x80,
    control: '20 12 00 03 FF CA FE 00',
    packets: ['01 00 00 73 F0 E2 03 74', '02 F0 E2 07 75 F0 E2 03', '03 60 F2 E4 03 FF FF FF'],
    example: 'four faults',
    source: KEYPAD,
  },
  {
    name: 'DM1 with 47 faults from a real engine (190 bytes, 28 packets)',
    sa: 0x00,
    control: '20 BE 00 1C FF CA FE 00',
    packets: [
      '01 57 FF 9D 00 03 01 FB',
      '02 06 0B 7E 4A 00 0E 7E',
      '03 E1 06 0E 7E 66 00 04',
      '04 01 51 00 04 01 B9 04',
      '05 04 01 69 00 03 01 46',
      '06 0A 03 01 AB 00 03 01',
      '07 CF 04 02 01 D3 04 02',
      '08 01 84 06 02 01 6E 00',
      '09 03 01 5E 00 04 01 AE',
      '0A 00 03 01 F5 13 13 01',
      '0B 91 0C 13 01 61 02 09',
      '0C 01 7F 02 09 01 84 06',
      '0D 09 01 84 06 09 01 F8',
      '0E 13 09 01 84 06 09 01',
      '0F 84 06 09 01 84 06 09',
      '10 01 84 06 09 01 FD 13',
      '11 09 01 84 06 09 01 84',
      '12 06 09 01 84 06 09 01',
      '13 D4 04 09 01 84 06 09',
      '14 01 84 06 09 01 AF 00',
      '15 03 01 9C 01 03 01 9B',
      '16 01 04 01 89 03 13 01',
      '17 8A 03 13 01 8B 03 13',
      '18 01 8C 03 13 01 84 06',
      '19 09 01 84 06 09 01 84',
      '1A 06 09 01 75 02 05 01',
      '1B F9 13 09 01 FA 13 09',
      '1C 01 FF FF FF FF FF FF',
    ],
    example: '47 faults',
    source: LAB,
  },
  {
    name: 'DM1 with six faults, SA 11 (26 bytes)',
    sa: 0x0b,
    control: '20 1A 00 04 FF CA FE 00',
    packets: [
      '01 04 FF 15 03 02 7E 16',
      '02 03 02 7E 17 03 02 7E',
      '03 18 03 02 7E 22 03 04',
      '04 7E 18 03 07 01 FF FF',
    ],
    example: 'six faults',
    source: ATTACKS,
  },
]

it.each(BROADCASTS)('$name, packet by packet ($source)', ({ sa, control, packets, example }) => {
  const lists: unknown[] = []
  const transport = new Transport({ message: (message) => lists.push(decodeDiagnostic(message)), event: () => {} })
  const send = (pgn: number, data: string, time: number) =>
    transport.frame(0, formatIdentifier({ priority: 7, pgn, sa }), time, bytes(data), 0, 8)
  send(60416, control, 0)
  packets.forEach((packet, index) => {
    send(60160, packet, (index + 1) * 50_000)
  })
  const [carried] = EXAMPLES.filter(({ name }) => name.startsWith(example))
  expect(lists).toEqual([decodeFaultList('DM1', bytes(carried.data))])
})

describe('trouble code layouts', () => {
  // Layouts: genset controller manual; the bytes are worked out from them by hand, bit by bit.
  it.each([
    [4, 'BE 00 02 05'],
    [1, '00 17 C2 85'],
    [2, '17 00 C2 85'],
    [3, 'BE 00 02 85'],
  ] as const)(`SPN 190 FMI 2 count 5 by version %i is %s (${GENSET})`, (version, text) => {
    expect(encodeDtc({ spn: 190, fmi: 2, occurrenceCount: 5, version })).toEqual(bytes(text))
    const code = decodeDtc(bytes(text), 0, version === 4 ? undefined : version)
    expect([code.spn, code.fmi, code.occurrenceCount, code.version]).toEqual([190, 2, 5, version])
  })

  it(`method bit 0 is version 4 alone (${GENSET}, ${KEYPAD}, ${ENGINE})`, () => {
    expect(decodeDtc(bytes('BE 00 02 05')).readings).toEqual([{ version: 4, spn: 190 }])
  })

  it(`method bit 1 leaves versions 1, 2 and 3 open (${GENSET})`, () => {
    const code = decodeDtc(bytes('17 00 C2 85'))
    expect(code.ambiguous).toBe(true)
    expect(new Set(code.readings.map(({ version }) => version))).toEqual(new Set([1, 2, 3]))
    expect(code.readings).toContainEqual({ version: 2, spn: 190 })
  })

  it(`19 bits of SPN, 5 of FMI, a count up to 126, 127 not available (${GENSET}, ${LAB})`, () => {
    const highest = decodeDtc(bytes('FF FF FF 7E'))
    expect([highest.spn, highest.fmi, highest.occurrenceCount]).toEqual([524287, 31, 126])
    expect(decodeDtc(bytes('FF FF FF 7F')).occurrenceCount).toBeNull()
  })
})

describe('no fault', () => {
  it.each([
    ['SPN 0, FMI 0, count 0, method 0, then FF', '00 FF 00 00 00 00 FF FF', CAPTURE],
    ['all FF in place of the code', '00 FF FF FF FF FF FF FF', MEMORY],
  ])('%s: %s (%s)', (_, data) => {
    const { faults, lamps, problems } = decodeFaultList('DM1', bytes(data))
    expect({ faults, problems }).toEqual({ faults: [], problems: [] })
    expect(lamps?.malfunction.state).toBe('off')
  })
})

describe('lamps', () => {
  it.each([
    [0x40, 'malfunction', 'on'],
    [0x10, 'redStop', 'on'],
    [0x04, 'amberWarning', 'on'],
    [0x01, 'protect', 'on'],
    [0x80, 'malfunction', 'reserved'],
    [0x20, 'redStop', 'reserved'],
    [0x08, 'amberWarning', 'reserved'],
    [0x02, 'protect', 'reserved'],
    [0xc0, 'malfunction', 'not-available'],
    [0x30, 'redStop', 'not-available'],
    [0x0c, 'amberWarning', 'not-available'],
    [0x03, 'protect', 'not-available'],
  ] as const)(`status %i: %s is %s, the others off (${ENGINE}, ${BODYWORK}, ${GENSET})`, (status, key, state) => {
    const lamps = decodeLamps(status, 0xff)
    for (const lamp of LAMPS) expect(lamps[lamp.key].state).toBe(lamp.key === key ? state : 'off')
  })

  it.each([
    ['malfunction', 1213, 3038],
    ['redStop', 623, 3039],
    ['amberWarning', 624, 3040],
    ['protect', 987, 3041],
  ] as const)(`%s: SPN %i, flashing %i (${ENGINE}; University course parameter table)`, (key, spn, flashSpn) => {
    expect(LAMPS.find((lamp) => lamp.key === key)).toMatchObject({ spn, flashSpn })
  })

  it(`00 in the flash byte is no slow flash while the lamps are off (${KEYPAD})`, () => {
    expect(decodeLamps(0x00, 0x00).malfunction).toEqual({ state: 'off', flash: 'none' })
  })
})

/** Meanings by number. Sources: public list on a workshop page, an engine maker's genset operator manual. */
const MEANINGS: readonly string[] = [
  'above normal range, most severe',
  'below normal range, most severe',
  'erratic, intermittent or wrong data',
  'voltage above normal or shorted high',
  'voltage below normal or shorted low',
  'current below normal or open circuit',
  'current above normal or grounded circuit',
  'mechanical system not responding or out of adjustment',
  'abnormal frequency, pulse width or period',
  'abnormal update rate',
  'abnormal rate of change',
  'cause not known',
  'bad intelligent device or component',
  'out of calibration',
  'special instructions',
  'above normal range, least severe',
  'above normal range, moderately severe',
  'below normal range, least severe',
  'below normal range, moderately severe',
  'received network data in error',
  'data drifted high',
  'data drifted low',
  'reserved',
  'reserved',
  'reserved',
  'reserved',
  'reserved',
  'reserved',
  'reserved',
  'reserved',
  'reserved',
  'condition exists',
]

it('has 32 failure mode identifiers', () => {
  expect(MEANINGS).toHaveLength(32)
  expect(FMIS.map(({ fmi, meaning }) => [fmi, meaning])).toEqual(MEANINGS.map((meaning, fmi) => [fmi, meaning]))
})

/**
 * Parameter groups of DM1 to DM60 in order. DM1 to DM12: university course parameter table; DM1 also an
 * engine maker's published J1939 chapter, a truck maker's bodywork CAN manual and an off-road engine
 * maker's application manual, DM2 also a keypad
 * J1939 manual; the others from memory.
 */
const PGNS: readonly number[] = [
  65226, 65227, 65228, 65229, 65230, 65231, 58112, 65232, 65233, 65234, 65235, 65236, 57088, 55552, 55296, 55040, 54784,
  54272, 54016, 49664, 49408, 49920, 64949, 64950, 64951, 64952, 64898, 64896, 40448, 41984, 41728, 41472, 41216, 40960,
  40704, 64868, 64867, 64866, 64865, 64864, 64863, 64862, 64861, 64860, 64859, 64858, 64857, 64856, 64855, 64854, 64853,
  64852, 64721, 64722, 64723, 64711, 64710, 64475, 64476, 64474,
]

it('has the parameter groups of DM1 to DM60', () => {
  expect(DIAGNOSTIC_GROUPS.map(({ pgn }) => pgn)).toEqual(PGNS)
  PGNS.forEach((pgn, index) => {
    const dm = index + 1
    const group = diagnosticGroup(pgn)
    expect(group?.dm).toBe(dm)
    expect(publicationsAmong(group?.definition.sources ?? [])).toBe(dm === 1 ? 4 : dm === 2 ? 2 : dm <= 12 ? 1 : 0)
    expect(diagnosticGroupByNumber(dm)).toBe(diagnosticGroup(pgn))
  })
})
