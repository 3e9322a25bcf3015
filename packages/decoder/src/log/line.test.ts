import { describe, expect, it } from 'vitest'
import { createParsedLine, LINE_PROBLEMS, type LineKind, type LineProblem, parseLine } from './line.js'

const encoder = new TextEncoder()
const decoder = new TextDecoder('latin1')

/** What a line was read as; the data as text, the channel by name. Fields that say nothing are left out. */
interface Read {
  kind: LineKind
  time?: number
  form?: 'seconds' | 'date'
  channel?: string
  id?: number
  length?: number
  data?: string
  direction?: 'rx' | 'tx'
  problem?: LineProblem
  from?: number
}

const line = createParsedLine()

/**
 * Reads a line that stands between bytes that would change it if they were looked at: hexadecimal
 * digits, which would lengthen the time, the name, the identifier and the data.
 */
function readBytes(bytes: Uint8Array): Read {
  const before = 7
  const surrounded = new Uint8Array(before + bytes.length + 9).fill(0x35)
  surrounded.set(bytes, before)
  parseLine(surrounded, before, before + bytes.length, line)
  const { kind, timeForm, channelStart, channelEnd, direction, problem, recoveredFrom } = line
  return {
    kind,
    ...(timeForm !== 'none' && { time: line.time, form: timeForm }),
    ...(channelEnd > channelStart && { channel: decoder.decode(surrounded.subarray(channelStart, channelEnd)) }),
    ...(channelEnd > channelStart && {
      id: line.id,
      length: line.length,
      data: hex(line.data, kind === 'remote' ? 0 : line.length),
    }),
    ...(direction && { direction }),
    ...(problem && { problem }),
    ...(recoveredFrom >= 0 && { from: recoveredFrom - before }),
  }
}

const read = (text: string): Read => readBytes(encoder.encode(text))

/** The data in hexadecimal; bytes behind the length only where they are not 0xFF. */
function hex(data: Uint8Array, length: number): string {
  const shown = data.subarray(length).every((byte) => byte === 0xff) ? data.subarray(0, length) : data
  return Array.from(shown, (byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('')
}

const EIGHT = '23D8010000000000'
const torn = (time: number, channel: string, id: number, data: string, from: number): Read => ({
  ...{ kind: 'frame', time, form: 'seconds', channel, id, length: data.length / 2, data, problem: 'torn-line', from },
})

/** Shapes met in public recordings of heavy vehicles; where the recording's line was shortened, completed. */
const FROM_RECORDINGS: readonly [string, Read][] = [
  [
    '(1626905042.645596) can1 0CF00400#507D8DD11200F48E',
    frame(1626905042645596, 'can1', 0x0cf00400, '507D8DD11200F48E'),
  ],
  [
    '(1436509052.249713) can0 18FEEE00#FFFF3D25FFFFFFFF',
    frame(1436509052249713, 'can0', 0x18feee00, 'FFFF3D25FFFFFFFF'),
  ],
  [
    '(1648574057.733906(1648575604.162655) can0 18EFA2FF#23D8010000000000',
    torn(1648575604162655, 'can0', 0x18efa2ff, EIGHT, 18),
  ],
  [
    '(1648(1648577042.771725) can1 18FD7C00#E0870000C30F03FF',
    torn(1648577042771725, 'can1', 0x18fd7c00, 'E0870000C30F03FF', 5),
  ],
  [
    '(1589326646.006935) can1 1F8A3FB7#R3',
    { ...frame(1589326646006935, 'can1', 0x1f8a3fb7, ''), kind: 'remote', length: 3 },
  ],
  ['(143.800747) can1 18F00F3D#', frame(143800747, 'can1', 0x18f00f3d, '')],
  [' (016.459062)  can0  1FFFFFFF   [0] ', frame(16459062, 'can0', 0x1fffffff, '')],
  [
    '(143.783033) can1      301#096fa73b0ab80c98',
    { ...frame(143783033, 'can1', 0x301, '096FA73B0AB80C98'), kind: 'standard' },
  ],
  [' (000.000000)  can0  0CF00400   [8]  F0 7D 84 12 34 00 F4 8E', frame(0, 'can0', 0x0cf00400, 'F07D84123400F48E')],
  ['  can0  0CF00400   [8]  F0 7D 84 12 34 00 F4 8E', untimed('can0', 0x0cf00400, 'F07D84123400F48E')],
  ['can0  0CF00400   [8]  F0 7D 84 12 34 00 F4 8E', untimed('can0', 0x0cf00400, 'F07D84123400F48E')],
  ['(1626905042.700000) can1 18D48025#000F', frame(1626905042700000, 'can1', 0x18d48025, '000F')],
  [
    '(1626905042.700001) can1 0CEA1C00#00EE000000000000',
    frame(1626905042700001, 'can1', 0x0cea1c00, '00EE000000000000'),
  ],
  [
    '(1713293479.152000) slcan0 89f11200#ff690aff7fff7ffd',
    frame(1713293479152000, 'slcan0', 0x09f11200, 'FF690AFF7FFF7FFD'),
  ],
  [
    '(1626905042.700002) can0 18EC258B#2042000AFF00D400',
    frame(1626905042700002, 'can0', 0x18ec258b, '2042000AFF00D400'),
  ],
  ['  can0  0CD02496   [8]  remote request', { ...untimed('can0', 0x0cd02496, ''), kind: 'remote', length: 8 }],
  [
    ' (1970-01-01 02:41:33.856148)  can1  RX - -  20000004   [8]  00 04 00 00 00 00 00 00   ERRORFRAME',
    {
      ...frame(9693856148, 'can1', 4, '0004000000000000'),
      ...{ kind: 'error', form: 'date', direction: 'rx' },
    },
  ],
  ['\tcontroller-problem{rx-overflow}', { kind: 'comment' }],
]

/** Shapes known from memory; the flag bits from the Linux kernel's linux/can.h. */
const OTHER_SHAPES: readonly [string, Read][] = [
  ['(1.5) can0 00000123#11', frame(1500000, 'can0', 0x123, '11')],
  ['(1.5) can0 123#1122', { ...frame(1500000, 'can0', 0x123, '1122'), kind: 'standard' }],
  ['(1.5) can0 7FF#', { ...frame(1500000, 'can0', 0x7ff, ''), kind: 'standard' }],
  ['(1.5) can0 7#AB', { ...frame(1500000, 'can0', 7, 'AB'), kind: 'standard' }],
  ['(1.5) can0 CF00400#01', frame(1500000, 'can0', 0x0cf00400, '01')],
  ['(1.5) can0 1000#01', frame(1500000, 'can0', 0x1000, '01')],
  ['(1.5) can0 98FEEE00#01', frame(1500000, 'can0', 0x18feee00, '01')],
  ['(1.5) can0 20000088#0000000000000000', { ...frame(1500000, 'can0', 0x88, '00'.repeat(8)), kind: 'error' }],
  ['(1.5) can0 D8FEEE00#', { ...frame(1500000, 'can0', 0x18feee00, ''), kind: 'remote' }],
  ['(1.5) can0 D8FEEE00#1122', { ...frame(1500000, 'can0', 0x18feee00, ''), kind: 'remote', length: 2 }],
  ['(1.5) can0 123#R', { ...frame(1500000, 'can0', 0x123, ''), kind: 'remote' }],
  ['(1.5) can0 18FEEE00#r8_9', { ...frame(1500000, 'can0', 0x18feee00, ''), kind: 'remote', length: 8 }],
  [`(1.5) can0 18FEEE00#${EIGHT}_F`, frame(1500000, 'can0', 0x18feee00, EIGHT)],
  ['(1.5) can0 18FEEE00##1112233', { ...frame(1500000, 'can0', 0x18feee00, '112233'), kind: 'fd' }],
  ['(1.5) can0 123##0', { ...frame(1500000, 'can0', 0x123, ''), kind: 'fd' }],
  [
    `(1.5) can0 123##5${EIGHT}AABBCCDD`,
    { ...frame(1500000, 'can0', 0x123, EIGHT), kind: 'fd', length: 12, data: EIGHT },
  ],
  ['(1.5) can0 18FEEE00#1122 R', { ...frame(1500000, 'can0', 0x18feee00, '1122'), direction: 'rx' }],
  ['(1.5) can0 18FEEE00#1122 T', { ...frame(1500000, 'can0', 0x18feee00, '1122'), direction: 'tx' }],
  ['(1.5) can0 18FEEE00#1122 T B E', { ...frame(1500000, 'can0', 0x18feee00, '1122'), direction: 'tx' }],
  ['(1.5) can0 18FEEE00# R', { ...frame(1500000, 'can0', 0x18feee00, ''), direction: 'rx' }],
  ['(1.5) can0 18FEEE00#1122 # engine started', frame(1500000, 'can0', 0x18feee00, '1122')],
  ['(1.5) can0 18FEEE00#1122  // was (1.4) can0 18FEEE00#33', frame(1500000, 'can0', 0x18feee00, '1122')],
  ['can0 18FEEE00#1122', untimed('can0', 0x18feee00, '1122')],
  [' (1.5)  can0  TX B E  18FEEE00   [2]  11 22', { ...frame(1500000, 'can0', 0x18feee00, '1122'), direction: 'tx' }],
  ['can0  RX - -  18FEEE00   [1]  11', { ...untimed('can0', 0x18feee00, '11'), direction: 'rx' }],
  ["  can0  18FEEE00   [3]  41 28 FF   'A(.'", untimed('can0', 0x18feee00, '4128FF')],
  ['  can0  18FEEE00   [1]  41   seen (again) on the bench', untimed('can0', 0x18feee00, '41')],
  ['  can0       123   [2]  aB Cd', { ...untimed('can0', 0x123, 'ABCD'), kind: 'standard' }],
  ['  can0  123   [0]', { ...untimed('can0', 0x123, ''), kind: 'standard' }],
  [
    '  can0  18FEEE00  [08]  01 02 03 04 05 06 07 08',
    { ...untimed('can0', 0x18feee00, '0102030405060708'), kind: 'fd' },
  ],
  [
    '  can0  18FEEE00  [12]  01 02 03 04 05 06 07 08 09 0A 0B 0C',
    { ...untimed('can0', 0x18feee00, '0102030405060708'), kind: 'fd', length: 12 },
  ],
  ['\tcan0\t18FEEE00\t[2]\t11\t22\t', untimed('can0', 0x18feee00, '1122')],
  ['  can0  0000018F   [1]  04  ERRORFRAME', { ...untimed('can0', 0x18f, '04'), kind: 'error' }],
  ['(1.5) can0 18FEEE00#1122\r', frame(1500000, 'can0', 0x18feee00, '1122')],
  ['\ufeff(1.5) can0 18FEEE00#1122', frame(1500000, 'can0', 0x18feee00, '1122')],
  ['\ufeff  can0  18FEEE00   [1]  11\r', untimed('can0', 0x18feee00, '11')],
  ['(1.5) vehicle-bus_2.0 18FEEE00#11', frame(1500000, 'vehicle-bus_2.0', 0x18feee00, '11')],
  ['', { kind: 'blank' }],
  [' \t \r', { kind: 'blank' }],
  ['\ufeff', { kind: 'blank' }],
  ['# (1.5) can0 18FEEE00#1122', { kind: 'comment' }],
  ['  ; note', { kind: 'comment' }],
  ['// note', { kind: 'comment' }],
  ['\tbus-off', { kind: 'comment' }],
  ['    lost-arbitration{at bit 3}', { kind: 'comment' }],
  ['\terror-counter-tx-rx{{8}{0}}\r', { kind: 'comment' }],
]

const TORN: readonly [string, Read][] = [
  [
    `(1648574057.733906) can0 18EF(1648575604.162655) can0 18EFA2FF#${EIGHT}`,
    torn(1648575604162655, 'can0', 0x18efa2ff, EIGHT, 29),
  ],
  [`(1.5) can0 18EFA2FF#${EIGHT}(2.5) can1 18FEF100#01`, torn(2500000, 'can1', 0x18fef100, '01', 36)],
  [`(1.5) can0 18EFA2FF#${EIGHT} (2.5) can1 18FEF100#01`, torn(2500000, 'can1', 0x18fef100, '01', 37)],
  ['(1.5) can0 18EFA2FF#23D(2.5) can1 18FEF100#01', torn(2500000, 'can1', 0x18fef100, '01', 23)],
  ['(1.5) can0(2.5) can1 18FEF100#01', torn(2500000, 'can1', 0x18fef100, '01', 10)],
  ['(1.5)(2.5) can1 18FEF100#01', torn(2500000, 'can1', 0x18fef100, '01', 5)],
  ['((2.5) can1 18FEF100#01', torn(2500000, 'can1', 0x18fef100, '01', 1)],
  ['(1(2.5) can1 18F(3.5) can1 18FEF100#01', torn(3500000, 'can1', 0x18fef100, '01', 16)],
  ['\0\0\0\0(2.5) can1 18FEF100#01', torn(2500000, 'can1', 0x18fef100, '01', 4)],
  ['  can0  18FEEE00   [8]  01 02 (2.5)  can1  18FEF100   [1]  01', torn(2500000, 'can1', 0x18fef100, '01', 30)],
  ['  can0  18FEEE00   [1]  02  (2.5)  can1  18FEF100   [1]  01', torn(2500000, 'can1', 0x18fef100, '01', 28)],
  ['(1.5) can0 18EF(2.5) can1 123#01', { ...torn(2500000, 'can1', 0x123, '01', 15), kind: 'standard' }],
]

const MALFORMED: readonly [string, LineProblem][] = [
  ['(', 'cut-short'],
  ['(1648574057', 'cut-short'],
  ['(1648574057.733906)', 'cut-short'],
  ['(1648574057.733906) can0', 'cut-short'],
  ['(1648574057.733906) can0 18EFA2FF', 'cut-short'],
  ['(1648574057.733906) can0 0CF0', 'cut-short'],
  [' (1.5)  can0  RX - -', 'cut-short'],
  [' (1.5)  can0  18FEEE00   [', 'cut-short'],
  [' (1.5)  can0  18FEEE00   [8', 'cut-short'],
  ['(16a8574057.733906) can0 18EFA2FF#23D8', 'bad-time'],
  ['(1648574057.) can0 18EFA2FF#23D8', 'bad-time'],
  ['(.733906) can0 18EFA2FF#23D8', 'bad-time'],
  ['(-1.5) can0 18EFA2FF#23D8', 'bad-time'],
  ['() can0 18EFA2FF#23D8', 'bad-time'],
  ['(99999999999.0) can0 18EFA2FF#23D8', 'bad-time'],
  ['(12:34:56.5) can0 18EFA2FF#23D8', 'bad-time'],
  ['(the engine was started by hand here', 'bad-time'],
  ['(1970-02-29 00:00:00.0) can0 18EFA2FF#23D8', 'bad-time'],
  ['(1.5) can0 #1122', 'bad-identifier'],
  ['(1.5) can0 800#1122', 'bad-identifier'],
  ['(1.5) can0 0123#1122', 'bad-identifier'],
  ['(1.5) can0 18EFA2FF0#1122', 'bad-identifier'],
  ['(1.5) can0 18EFA2FG#1122', 'bad-identifier'],
  ['can0 18EFA2FG#1122', 'bad-identifier'],
  ['  can0  18EFA2FG   [1]  11', 'bad-identifier'],
  ['(1.5) can0 18EFA2FF 8 11 22', 'bad-data'],
  ['(1.5) can0 18EFA2FF #1122', 'bad-data'],
  ['(1.5) can0 18EFA2FF#11.22', 'bad-data'],
  ['(1.5) can0 18EFA2FF#11 22 33', 'bad-data'],
  ['(1.5) can0 18EFA2FF#1122 can1 18FEF100#FF', 'bad-data'],
  ['(2.5) can1 18FEF100#01(3.5) can1 18F', 'bad-data'],
  ['(1.5) can0 18EFA2FF#1122_9', 'bad-data'],
  ['(1.5) can0 18EFA2FF#R9', 'bad-data'],
  ['(1.5) can0 18EFA2FF#RT', 'bad-data'],
  ['(1.5) can0 18EFA2FF##', 'bad-data'],
  ['(1.5) can0 18EFA2FF##g11', 'bad-data'],
  ['  can0  18FEEE00   []  11', 'bad-data'],
  ['  can0  18FEEE00   [A]  11', 'bad-data'],
  ['  can0  18FEEE00   [008]  11', 'bad-data'],
  ['  can0  18FEEE00   [2]  00000001 00000010', 'bad-data'],
  ['  can0  18FEEE00   [2]  22`11', 'bad-data'],
  ['(1648574057.733906) can0 18EFA2FF#23D80', 'odd-data'],
  ['(1.5) can0 18EFA2FF##123D', 'odd-data'],
  ['  can0  18FEEE00   [2]  11 2', 'odd-data'],
  ['(1.5) can0 18EFA2FF#112233445566778899', 'too-many-bytes'],
  [`(1.5) can0 18EFA2FF##0${'11'.repeat(65)}`, 'too-many-bytes'],
  ['  can0  18FEEE00   [9]  01 02 03 04 05 06 07 08 09', 'too-many-bytes'],
  ['  can0  18FEEE00  [65]  01', 'too-many-bytes'],
  ['  can0  18FEEE00   [8]  01 02 03 04 05 06 07', 'length-mismatch'],
  ["  can0  18FEEE00   [8]  41 42 43 44 45 46 47  'ABCDEFG'", 'length-mismatch'],
  ['  can0  18FEEE00   [7]  01 02 03 04 05 06 07 08', 'length-mismatch'],
  ['  can0  18FEEE00   [8]', 'length-mismatch'],
  ['hello', 'not-a-log-line'],
  ['Recording of truck 1 on can0', 'not-a-log-line'],
  ['can0 18EFA2FF', 'not-a-log-line'],
  ['bus-off', 'not-a-log-line'],
  ['  can0', 'not-a-log-line'],
  ['(1.5)can0 18EFA2FF#11', 'not-a-log-line'],
  ['(1.5) 18EFA2FF#11', 'not-a-log-line'],
  ['(1.5) kän0 18EFA2FF#11', 'not-a-log-line'],
  ['\0\0\0\0', 'not-a-log-line'],
]

function frame(time: number, channel: string, id: number, data: string): Read {
  return { kind: 'frame', time, form: 'seconds', channel, id, length: data.length / 2, data }
}

function untimed(channel: string, id: number, data: string): Read {
  return { kind: 'frame', channel, id, length: data.length / 2, data }
}

describe('shapes met in recordings', () => {
  it.each(FROM_RECORDINGS)('%j', (text, expected) => expect(read(text)).toEqual(expected))
})

describe('other shapes', () => {
  it.each(OTHER_SHAPES)('%j', (text, expected) => expect(read(text)).toEqual(expected))
})

describe('torn lines', () => {
  it.each(TORN)('%j', (text, expected) => expect(read(text)).toEqual(expected))
})

describe('malformed lines', () => {
  it.each(MALFORMED)('%j', (text, problem) => expect(read(text)).toEqual({ kind: 'malformed', problem }))

  it('meets every problem there is', () => {
    const met = new Set([...MALFORMED.map(([, problem]) => problem), ...TORN.map(([, { problem }]) => problem)])
    expect(met).toEqual(new Set(LINE_PROBLEMS.map(({ code }) => code)))
  })
})
