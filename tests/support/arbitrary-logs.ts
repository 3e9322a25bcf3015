/** Logs at random: lines of every shape, good and damaged, and frames that mean something together. */
import { formatIdentifier } from '@firstcrank/decoder'
import fc from 'fast-check'
import { bamFrames, type LogFrame, printFrame, printTime } from './log.js'

/** A frame in the plainest terms. */
export interface AnyFrame {
  readonly micros: number
  readonly channel: string
  /** 29 bits. */
  readonly id: number
  readonly data: readonly number[]
}

const byte = fc.integer({ min: 0, max: 255 })
const hexOf = (bytes: readonly number[]): string =>
  bytes
    .map((b) => b.toString(16).padStart(2, '0'))
    .join('')
    .toUpperCase()
const idHex = (id: number): string => id.toString(16).padStart(8, '0').toUpperCase()

/** A few identifiers, so that streams have more than one message, and now and then any other. */
const anyId = fc.oneof(
  {
    arbitrary: fc
      .record({ pgn: fc.constantFrom(61444, 65262, 65263, 65226, 0), sa: fc.nat(2) })
      .map((parts) => formatIdentifier({ priority: 6, ...parts })),
    weight: 4,
  },
  { arbitrary: fc.nat(0x1fffffff), weight: 1 },
)

export const anyFrame: fc.Arbitrary<AnyFrame> = fc.record({
  micros: fc.oneof(fc.nat(4e9), fc.integer({ min: 1_600_000_000_000_000, max: 1_700_000_000_000_000 })),
  channel: fc.constantFrom('can0', 'can1', 'vcan12', 'slcan0', 'bus', 'b', 'a-long-interface-name'),
  id: anyId,
  data: fc.oneof(fc.array(byte, { minLength: 8, maxLength: 8 }), fc.array(byte, { maxLength: 8 })),
})

type Print = (frame: AnyFrame) => string

const spaced = (data: readonly number[]): string => data.map((b) => ` ${hexOf([b])}`).join('')
const file: Print = ({ micros, channel, id, data }) => `${printTime(micros)} ${channel} ${idHex(id)}#${hexOf(data)}`

/** Ways to print a frame, all of which must give it back. */
export const SHAPES: Readonly<Record<string, Print>> = {
  file,
  'file, lower case': (frame) => file(frame).replace(/\S+$/, (text) => text.toLowerCase()),
  'file, carriage return': (frame) => `${file(frame)}\r`,
  'file, blanks behind': (frame) => `${file(frame)}  `,
  'file, bit 31 left in': ({ id, ...frame }) => file({ id: id + 0x80000000, ...frame }),
  'file, direction': (frame) => `${file(frame)} R`,
  'file, comment behind': (frame) => `${file(frame)} # seen`,
  'file, two blanks': ({ micros, channel, id, data }) =>
    `${printTime(micros)}  ${channel}  ${idHex(id)}#${hexOf(data)}`,
  'file, nanoseconds': ({ micros, channel, id, data }) =>
    `${printTime(micros).replace(')', '789)')} ${channel} ${idHex(id)}#${hexOf(data)}`,
  console: ({ micros, channel, id, data }) =>
    ` ${printTime(micros)}  ${channel}  ${idHex(id)}   [${data.length}] ${spaced(data)}`,
  'console, flags': ({ micros, channel, id, data }) =>
    ` ${printTime(micros)}  ${channel}  RX - -  ${idHex(id)}   [${data.length}] ${spaced(data)}   'text'`,
}

export const anyShape: fc.Arbitrary<Print> = fc.constantFrom(...Object.values(SHAPES))

/** What may stand in a log and is no extended data frame. */
export const otherLine: fc.Arbitrary<string> = fc.constantFrom(
  ...['', '   ', '# a comment', '; another', '// and another', '\tcontroller-problem{rx-overflow}'],
  ...['(1.500000) can0 123#1122', '(1.500000) can0 18FEEE00#R3', '(1.500000) can0 20000088#0000000000000000'],
  ...['(1.500000) can0 18FEEE00##1112233', '(1.500000) can0 18FEEE00#1', '(1.500000) can0 18FEEE00#112233445566778899'],
  ...[
    '(1.500000) can0',
    '(x) can0 18FEEE00#11',
    'no log line at all',
    '\0\0\0\0',
    '(1.5000(2.500000) can0 18FEEE00#1122',
  ],
  ...['  can0  18FEEE00   [2]  11 22', '  can0  18FEEE00   [3]  11 22', `(1.5) can0 18FEEE00#${'1'.repeat(600)}`],
)

/** A byte changed, gone or come, a few times. */
export function damaged(text: fc.Arbitrary<string>): fc.Arbitrary<Uint8Array> {
  const edit = fc.record({ at: fc.nat(), remove: fc.nat({ max: 3 }), insert: fc.uint8Array({ maxLength: 3 }) })
  return fc.tuple(text, fc.array(edit, { minLength: 1, maxLength: 4 })).map(([before, edits]) => {
    let bytes = Array.from(new TextEncoder().encode(before))
    for (const { at, remove, insert } of edits) {
      bytes = bytes.toSpliced(bytes.length === 0 ? 0 : at % bytes.length, remove, ...insert)
    }
    return Uint8Array.from(bytes)
  })
}

/** Things that happen on a bus, each a few frames from some moment on. */
const happening = (time: number): fc.Arbitrary<LogFrame[]> => {
  const channel = fc.constantFrom('can0', 'can1')
  const sa = fc.constantFrom(0, 1, 23)
  const faults = fc.constantFrom('0400 5E000301 6E000301', '0400 5E000302', '0000 00000000', '4400 BE001F81 64000105')
  const bytes = fc.array(byte, { minLength: 8, maxLength: 8 }).map(hexOf)
  const long = fc.array(byte, { minLength: 9, maxLength: 40 }).map(hexOf)
  const one = (frame: Omit<LogFrame, 'time'>): LogFrame[] => [{ time, ...frame }]
  return fc.oneof(
    fc.record({ channel, sa, pgn: fc.constantFrom(61444, 65262, 65269, 65280), data: bytes }).map(one),
    fc.record({ channel, sa, pgn: fc.constantFrom(65263, 65271), data: bytes.map((hex) => hex.slice(6)) }).map(one),
    fc.record({ channel, sa, data: faults }).map(({ data, ...frame }) => {
      const payload = data.replaceAll(' ', '')
      if (payload.length > 16) return bamFrames({ time, pgn: 65226, data: payload, ...frame })
      return one({ pgn: 65226, data: payload.padEnd(16, 'F'), ...frame })
    }),
    fc
      .record({ channel, sa, pgn: fc.constantFrom(65251, 65280), data: long, kept: fc.nat(9) })
      .map(({ kept, ...message }) => bamFrames({ time, ...message }).slice(0, kept === 0 ? 2 : undefined)),
    fc
      .record({
        channel,
        sa,
        da: fc.constantFrom(0, 255),
        data: fc.constantFrom('EBFE00', 'DAFE00', '00EE00', '00E000'),
      })
      .map((frame) => one({ pgn: 59904, ...frame })),
    fc
      .record({ channel, sa, data: fc.constantFrom('01FFFFFFFFEBFE00', '00FFFFFF17EBFE00') })
      .map((frame) => one({ pgn: 59392, da: 255, ...frame })),
    fc
      .record({ channel, sa, data: fc.constantFrom('0100000000000080', '0200000000000080') })
      .map((frame) => one({ pgn: 60928, da: 255, ...frame })),
  )
}

/** Frames in the order a recorder wrote them: times mostly grow, some fall back a little, some leap. */
export const busTraffic: fc.Arbitrary<LogFrame[]> = fc
  .array(
    fc.oneof(
      { arbitrary: fc.integer({ min: 0, max: 120_000 }), weight: 9 },
      { arbitrary: fc.integer({ min: -90_000, max: 0 }), weight: 2 },
      { arbitrary: fc.constantFrom(1_400_000, 3_000_000, 40_000_000, -2_000_000), weight: 1 },
    ),
    { minLength: 1, maxLength: 60 },
  )
  .chain((steps) => {
    const times = [1_600_000_000_000_000]
    for (const step of steps) times.push(times[times.length - 1] + step)
    return fc.tuple(...times.map(happening))
  })
  .map((happenings) => happenings.flat())

/** A whole log: traffic with other lines in between, damaged ones too, lines ended either way. */
export const anyLog: fc.Arbitrary<Uint8Array> = fc
  .record({
    frames: busTraffic,
    others: fc.array(fc.tuple(fc.nat(), otherLine), { maxLength: 12 }),
    broken: fc.array(fc.tuple(fc.nat(), damaged(anyFrame.map(file))), { maxLength: 4 }),
    newline: fc.constantFrom('\n', '\n', '\r\n'),
    ended: fc.boolean(),
  })
  .map(({ frames, others, broken, newline, ended }) => {
    const encoder = new TextEncoder()
    const lines: Uint8Array[] = frames.map((frame) => encoder.encode(printFrame(frame)))
    for (const [at, line] of others) lines.splice(at % lines.length, 0, encoder.encode(line))
    for (const [at, line] of broken) lines.splice(at % lines.length, 0, line)
    const end = encoder.encode(newline)
    const bytes = lines.flatMap((line, index) => [...line, ...(ended || index < lines.length - 1 ? end : [])])
    return Uint8Array.from(bytes)
  })
