import { openRecording } from '@firstcrank/decoder'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type AskableRecording, answerRequest, findSignal } from './answer.js'
import { type ColumnEntry, decodeFrame } from './column-frame.js'
import { overviewOf } from './decimate.js'
import { type RecordingInfo, recordingInfo } from './recording-info.js'
import {
  type CheckedRequest,
  type MessagesPage,
  type MomentValue,
  messagesPage,
  momentValue,
  recordingRequest,
} from './requests.js'

const START = 1_700_000_000_000_000
const stamp = (micros: number): string => `(${Math.floor(micros / 1e6)}.${String(micros % 1e6).padStart(6, '0')})`
/** Engine speed in eighths of a revolution; undefined is "not available". */
const speed = (n: number, eighths = n): string => {
  const raw = (eighths & 0xffff).toString(16).toUpperCase().padStart(4, '0')
  return `${stamp(START + n * 10_000)} can0 0CF00400#FFFFFF${raw.slice(2)}${raw.slice(0, 2)}FFFFFF\n`
}
const LOG = [
  `${stamp(START)} can0 18EEFF00#0100000000000080\n`,
  `${stamp(START)} can1 18FEF100#FFFFFFFFFFFFFFFF\n`,
  ...Array.from({ length: 400 }, (_, n) => speed(n + 1, n % 50 === 7 ? 0xffff : n)),
  `${stamp(START + 4_100_000)} can0 18FECA00#04FFBE000803FFFF\n`,
  `${stamp(START + 4_200_000)} can0 18F0FF00#0102\n`,
].join('')

const SPEED = { channel: 'can0', sa: 0, pgn: 61444, spn: 190 }
const askable: AskableRecording = {
  recording: await openRecording(new TextEncoder().encode(LOG), { summary: true }),
  epoch: 'an epoch',
  complete: true,
  report: () => ({ made: true }),
}
const ask = (request: unknown): unknown => answerRequest(askable, recordingRequest.parse(request) as CheckedRequest)
const windowOf = (query: object): readonly ColumnEntry[] =>
  decodeFrame(ask({ ask: 'window', query }) as Uint8Array).entries

describe('the longest silence of a stream', () => {
  const at = [0, 0.1, 0.2, 0.9, 1.0, 41.0, 41.1]
  const log = at.map((seconds) => `${stamp(START + seconds * 1e6)} can0 18FEF100#FFFFFFFFFFFFFFFF\n`).join('')
  const silenceIn = async (complete: boolean) => {
    const recording = await openRecording(new TextEncoder().encode(log))
    const answer = answerRequest({ recording, epoch: 'e', complete }, { ask: 'info' }) as RecordingInfo
    return answer.streams[0]?.silence
  }

  test('is between two messages, and not where nothing was recorded at all', async () => {
    expect(await silenceIn(true)).toEqual({ from: START + 200_000, to: START + 900_000 })
  })

  test('is the longest part of it where the recorder paused within', async () => {
    const other = [0, 10, 50, 80].flatMap((edge, i, edges) =>
      i % 2 === 0 ? Array.from({ length: ((edges[i + 1] as number) - edge) * 2 + 1 }, (_, n) => edge + n / 2) : [],
    )
    const lines = [
      [0, '18FEF100'] as const,
      ...other.map((seconds) => [seconds, '18FEEE03'] as const),
      [80, '18FEF100'] as const,
    ]
    const text = lines.map(([at, id]) => `${stamp(START + at * 1e6)} can0 ${id}#FFFFFFFFFFFFFFFF\n`).join('')
    const recording = await openRecording(new TextEncoder().encode(text))
    const info = answerRequest({ recording, epoch: 'e', complete: true }, { ask: 'info' }) as RecordingInfo
    expect(info.streams.find(({ pgn }) => pgn === 65265)?.silence).toEqual({ from: START + 50e6, to: START + 80e6 })
  })

  test('is not told while the log is being read, and of one message', async () => {
    expect(await silenceIn(false)).toBeNull()
    expect(recordingInfo.parse(ask({ ask: 'info' })).streams.find(({ count }) => count === 1)?.silence).toBeNull()
  })
})

describe('info', () => {
  const info = recordingInfo.parse(ask({ ask: 'info' }))

  test('says what is in the log', () => {
    expect(info).toMatchObject({
      epoch: 'an epoch',
      complete: true,
      dated: true,
      from: START,
      to: START + 4_200_000,
      channels: ['can0', 'can1'],
      counts: { lines: 404, extended: 404, malformed: 0 },
    })
    expect(info.loads.map(({ channel }) => channel)).toEqual(['can0', 'can1'])
  })

  test('has nodes with their NAMEs, and streams of groups nobody has defined', () => {
    expect(info.nodes.find(({ channel, sa }) => channel === 'can0' && sa === 0)).toMatchObject({
      name: '8000000000000001',
      preferred: 'Engine 1',
    })
    expect(info.streams.find(({ pgn }) => pgn === 61695)).toMatchObject({
      acronym: null,
      name: null,
      count: 1,
      period: null,
    })
    expect(info.streams.find(({ pgn }) => pgn === 61444)).toMatchObject({ acronym: 'EEC1', count: 400, period: 10_000 })
  })

  test('knows which signals ever had a value', () => {
    const valid = (spn: number) => info.signals.find((signal) => signal.spn === spn)?.valid
    expect([valid(190), valid(84)]).toEqual([true, false])
  })

  test('has faults with their names', () => {
    expect(info.faults).toMatchObject([
      { spn: 190, fmi: 8, name: 'Engine speed', source: 'DM1', endedBy: 'recording-ended' },
    ])
  })
})

describe('a window', () => {
  test('of few messages gives them whole, with statuses', () => {
    const [entry] = windowOf({ signals: [SPEED], from: START, to: START + 100_000, columns: 10 })
    expect(entry).toMatchObject({ index: 0, next: 10, lastTime: START + 100_000, skipped: 0 })
    expect(entry?.columns).toMatchObject({ form: 'samples' })
    if (entry?.columns.form !== 'samples') return
    expect([...entry.columns.value].map((value) => value * 8)).toEqual([0, 1, 2, 3, 4, 5, 6, Number.NaN, 8, 9])
    expect([...entry.columns.status]).toEqual([0, 0, 0, 0, 0, 0, 0, 4, 0, 0])
  })

  test('of many gives an overview that counts them all', () => {
    const [entry] = windowOf({ signals: [SPEED], from: START, to: START + 5e6, columns: 20 })
    expect(entry?.columns.form).toBe('overview')
    if (entry?.columns.form !== 'overview') return
    expect(entry.columns.count.reduce((a, b) => a + b, 0)).toBe(400)
    expect(Math.max(...[...entry.columns.greatest].filter((value) => !Number.isNaN(value)))).toBe(399 / 8)
  })

  test('of several signals gives one entry for each, in order', () => {
    const signals = [{ ...SPEED, spn: 512 }, SPEED, { ...SPEED, da: 255 }]
    expect(windowOf({ signals, from: START, to: START + 1e6, columns: 5 }).map(({ index }) => index)).toEqual([0, 1, 2])
  })

  test.each([
    ['another node', { ...SPEED, sa: 9 }],
    ['another channel', { ...SPEED, channel: 'can9' }],
    ['another signal', { ...SPEED, spn: 110 }],
    ['an instance it does not have', { ...SPEED, instance: 0 }],
    ['a destination it does not have', { ...SPEED, da: 3 }],
  ])('of %s is refused', (_, signal) => {
    expect(() => findSignal(askable.recording, signal)).toThrow(expect.objectContaining({ code: 'signal-not-found' }))
  })

  test('is the same as an overview made of samples', () => {
    const { time, value } = findSignal(askable.recording, SPEED).samples()
    fc.assert(
      fc.property(fc.nat(4_500_000), fc.nat(4_500_000), fc.integer({ min: 1, max: 40 }), (a, b, columns) => {
        const [from, to] = [START + Math.min(a, b), START + Math.max(a, b)]
        const { form: _, ...mine } = overviewOf(time, value, from, to, columns)
        const theirs = findSignal(askable.recording, SPEED).overview(from, to, columns)
        // Where a column begins is a rounding of the last digit: totals and extremes do not depend on it.
        const total = (counts: Uint32Array) => counts.reduce((sum, count) => sum + count, 0)
        const most = (column: Float64Array) => Math.max(...[...column].filter((one) => !Number.isNaN(one)))
        if (from < to) {
          expect(total(mine.count)).toBe(total(theirs.count))
          expect(most(mine.greatest)).toBe(most(theirs.greatest))
          expect(most(mine.last)).toBe(most(theirs.last))
        }
      }),
    )
  })
})

describe('a moment', () => {
  const at = (time: number, signal: object = SPEED): MomentValue | null =>
    momentValue
      .nullable()
      .array()
      .parse(ask({ ask: 'moment', query: { signals: [signal], time } }))[0] ?? null

  test.each([
    ['before the first message', START + 9_999, null],
    ['at a message', START + 30_000, { time: START + 30_000, value: 0.25, status: 'valid', raw: 2 }],
    ['between two', START + 39_999, { time: START + 30_000, value: 0.25 }],
    ['at one without a value', START + 80_000, { value: null, status: 'not-available', raw: 0xffff }],
    ['long after the last', START + 9e9, { time: START + 4_000_000 }],
  ])('%s', (_, time, value) => {
    if (value === null) expect(at(time)).toBeNull()
    else expect(at(time)).toMatchObject(value)
  })
})

describe('messages', () => {
  const page = (query: object): MessagesPage => messagesPage.parse(ask({ ask: 'messages', query }))

  test('begin with the first, and are as many as asked for', () => {
    const { messages, row, total } = page({ limit: 3 })
    expect([messages.length, row, total]).toEqual([3, 0, 404])
    expect(messages[0]).toMatchObject({ pgn: 60928, sa: 0, data: '0100000000000080', transport: 'single' })
  })

  test.each([
    [0, 5],
    [1, 5],
    [2, 1],
    [399, 10],
    [403, 10],
    [404, 10],
    [9_999, 10],
  ])('from row %i are the ones a whole list has there', (row, limit) => {
    const whole = page({ limit: 2_000 }).messages
    expect(page({ row, limit }).messages).toEqual(whole.slice(row, row + limit))
  })

  test('from a time on tell which row that is', () => {
    expect(page({ from: START + 30_000, limit: 1 })).toMatchObject({ row: 4, messages: [{ time: START + 30_000 }] })
  })

  test('of one group, node or channel are numbered by themselves', () => {
    expect(page({ pgn: 61444, row: 10, limit: 1 })).toMatchObject({ total: 400, messages: [{ time: START + 110_000 }] })
    expect(page({ channel: 'can1' })).toMatchObject({ total: 1, messages: [{ channel: 'can1' }] })
    expect(page({ sa: 200 })).toMatchObject({ total: 0, messages: [] })
  })
})

describe('a report', () => {
  test('is made by who knows how', () => {
    expect(ask({ ask: 'report' })).toEqual({ made: true })
    const { report: _, ...plain } = askable
    expect(() => answerRequest(plain, { ask: 'report' })).toThrow(expect.objectContaining({ code: 'not-found' }))
  })
})
