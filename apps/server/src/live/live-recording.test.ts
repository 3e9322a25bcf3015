/** A live recording says the same as a whole one of the same lines, as far back as it keeps. */
import { openRecording } from '@firstcrank/decoder'
import {
  answerRequest,
  type CheckedRequest,
  type ColumnEntry,
  decodeFrame,
  type MessagesPage,
  type RecordingInfo,
  signalKey,
} from '@firstcrank/feed'
import { writeLog } from '@firstcrank/simulator'
import { describe, expect, test } from 'vitest'
import { LiveRecording } from './live-recording.js'

const { text } = writeLog('clean-first-start', { duration: 120 })
const bytes = new TextEncoder().encode(text)
const FOREVER = { keep: 1e15, messages: 1e9 }

function live(limits = FOREVER, given: Uint8Array = bytes): LiveRecording {
  const recording = new LiveRecording('e.0', limits)
  for (let at = 0; at < given.length; ) {
    const end = given.indexOf(0x0a, Math.min(given.length - 1, at + 5_000)) + 1
    recording.push(given.slice(at, end))
    at = end
  }
  return recording
}

const ask = (recording: LiveRecording, request: CheckedRequest): unknown => recording.answer(request)
const windowOf = (answer: unknown): readonly ColumnEntry[] => decodeFrame(answer as Uint8Array).entries

describe('a live recording', async () => {
  const whole = { recording: await openRecording(bytes), epoch: 'e.0', complete: false }
  const recording = live()
  const info = ask(recording, { ask: 'info' }) as RecordingInfo
  const wholeInfo = answerRequest(whole, { ask: 'info' }) as RecordingInfo

  test('has the same streams, nodes, faults and counts', () => {
    expect(info.streams).toEqual(wholeInfo.streams)
    expect(info.nodes).toEqual(wholeInfo.nodes)
    expect(info.counts).toEqual(wholeInfo.counts)
    // The whole recording's books are closed.
    const open = (faults: RecordingInfo['faults']) => faults.map((fault) => ({ ...fault, endedBy: null }))
    expect(open(info.faults)).toEqual(open(wholeInfo.faults))
    expect(info.complete).toBe(false)
  })

  test('has the same diagnostic reports', () => {
    const log =
      '(1700000000.000000) can0 18FECE00#0203140703000000\n(1700000003.000000) can0 18D903F9#0102030405060708\n'
    const { reports, reportsDropped } = ask(live(FOREVER, new TextEncoder().encode(log)), {
      ask: 'info',
    }) as RecordingInfo
    expect(reportsDropped).toBe(0)
    expect(reports.map(({ dm, sa, count }) => [dm, sa, count])).toEqual([
      [5, 0, 1],
      [14, 249, 1],
    ])
    expect(info.reports).toEqual(wholeInfo.reports)
  })

  test('has the same signals', () => {
    const names = (from: RecordingInfo) => from.signals.map(({ valid: _, ...signal }) => signal)
    expect(names(info)).toEqual(names(wholeInfo))
    expect(info.signals.length).toBeGreaterThan(50)
  })

  test('gives the same samples of every signal', () => {
    const { from, to } = wholeInfo
    for (const { channel, sa, pgn, spn, instance } of info.signals) {
      const ref = { channel, sa, pgn, spn, ...(instance === undefined ? {} : { instance }) }
      const query = { signals: [ref], from: from as number, to: to as number, columns: 8_000 }
      const [mine] = windowOf(ask(recording, { ask: 'window', query }))
      const [theirs] = windowOf(answerRequest(whole, { ask: 'window', query }))
      expect(mine, signalKey(ref)).toEqual(theirs)
    }
  })

  test.each([1, 7, 60])('gives the same overview in %i columns', (columns) => {
    const { from, to } = wholeInfo
    const signals = [{ channel: 'can0', sa: 0, pgn: 61444, spn: 190 }]
    const query = { signals, from: (from as number) + 3, to: to as number, columns }
    const [mine] = windowOf(ask(recording, { ask: 'window', query }))
    const [theirs] = windowOf(answerRequest(whole, { ask: 'window', query }))
    expect(mine?.columns.form).toBe('overview')
    expect(mine).toEqual(theirs)
  })

  test('knows the same of a moment', () => {
    const signals = info.signals.slice(0, 60).map(({ channel, sa, pgn, spn }) => ({ channel, sa, pgn, spn }))
    const query = { signals, time: ((info.from as number) + (info.to as number)) / 2 }
    expect(ask(recording, { ask: 'moment', query })).toEqual(answerRequest(whole, { ask: 'moment', query }))
  })

  test('gives the newest messages, and those from a time on', () => {
    const last = ask(recording, { ask: 'messages', query: { limit: 50 } }) as MessagesPage
    const page = answerRequest(whole, { ask: 'messages', query: { row: last.total - 50, limit: 50 } }) as MessagesPage
    expect(last.total).toBe(page.total)
    expect(last.messages.map(({ time }) => time)).toEqual(page.messages.map(({ time }) => time))
    expect(new Set(last.messages.map(({ data }) => data))).toEqual(new Set(page.messages.map(({ data }) => data)))
    const from = (info.from as number) + 5e6
    const later = ask(recording, { ask: 'messages', query: { from, limit: 20, pgn: 61444 } }) as MessagesPage
    const theirs = answerRequest(whole, { ask: 'messages', query: { from, limit: 20, pgn: 61444 } }) as MessagesPage
    expect(later.messages).toEqual(theirs.messages)
  })

  test('says nothing of a signal that nobody sends', () => {
    const signals = [{ channel: 'can0', sa: 77, pgn: 61444, spn: 190 }]
    const [entry] = windowOf(ask(recording, { ask: 'window', query: { signals, from: 0, to: 1, columns: 5 } }))
    expect(entry?.columns).toMatchObject({ form: 'samples', time: new Float64Array(0) })
    expect(ask(recording, { ask: 'moment', query: { signals, time: 1e15 } })).toEqual([null])
  })

  test('makes no report', () => {
    expect(() => ask(recording, { ask: 'report' })).toThrow(expect.objectContaining({ code: 'not-found' }))
  })
})

/** The second half of the log, its clock moved by so many seconds. */
const moved = (seconds: number): string =>
  text
    .slice(text.indexOf('\n', text.length / 2) + 1)
    .replaceAll(/^\((\d+)/gm, (_, whole: string) => `(${Number(whole) + seconds}`)
const firstHalf = text.slice(0, text.indexOf('\n', text.length / 2) + 1)

describe.each<[string, string]>([
  ['begins in the middle of a session, and of a line', text.slice(Math.floor(text.length / 3) + 9)],
  ['has its clock set back by an hour', firstHalf + moved(-3_600)],
  ['has its clock set forward by a day', firstHalf + moved(86_400)],
])('what %s', (_, log) => {
  test('is the same live and as a whole log', async () => {
    const given = new TextEncoder().encode(log)
    const recording = live(FOREVER, given)
    const whole = { recording: await openRecording(given), epoch: 'e.0', complete: false }
    const info = ask(recording, { ask: 'info' }) as RecordingInfo
    const wholeInfo = answerRequest(whole, { ask: 'info' }) as RecordingInfo
    const { from, to, counts, streams, clock } = wholeInfo
    expect({ from: info.from, to: info.to, counts: info.counts, streams: info.streams, clock: info.clock }).toEqual({
      ...{ from, to, counts, streams, clock },
    })
    const signals = [{ channel: 'can0', sa: 0, pgn: 61444, spn: 190 }]
    const query = { signals, from: from as number, to: to as number, columns: 500 }
    expect(windowOf(ask(recording, { ask: 'window', query }))).toEqual(
      windowOf(answerRequest(whole, { ask: 'window', query })),
    )
    expect(counts.extended).toBeGreaterThan(10_000)
  })
})

describe('what is kept', () => {
  test('is bounded by time, in blocks; the last message of every stream stays', () => {
    const all = live()
    const recording = live({ keep: 5e6, messages: 1e9 })
    expect(recording.kept).toBeLessThan(all.kept / 2)
    const { streams, to } = ask(recording, { ask: 'info' }) as RecordingInfo
    const { streams: before } = ask(all, { ask: 'info' }) as RecordingInfo
    // Counts are of all messages ever, and nothing is lost of the last five seconds.
    expect(streams).toEqual(before)
    const query = {
      signals: [{ channel: 'can0', sa: 0, pgn: 61444, spn: 190 }],
      from: (to as number) - 5e6,
      to: to as number,
      columns: 8_000,
    }
    expect(windowOf(ask(recording, { ask: 'window', query }))).toEqual(windowOf(ask(all, { ask: 'window', query })))
  })

  test('is bounded by number', () => {
    const recording = live({ keep: 1e15, messages: 8_000 })
    expect(recording.kept).toBeLessThan(8_000 + 4_096 + 6_000)
    expect(recording.kept).toBeLessThan(live().kept)
  })

  test('keeps the numbers of rows', () => {
    const recording = live({ keep: 5e6, messages: 1e9 })
    const signal = recording.signal({ channel: 'can0', sa: 0, pgn: 61444, spn: 190 })
    const all = live().signal({ channel: 'can0', sa: 0, pgn: 61444, spn: 190 })
    expect(signal?.stream.first).toBeGreaterThan(0)
    for (let row = signal?.stream.first ?? 0; row < (signal?.stream.next ?? 0); row += 97) {
      expect(signal?.stream.time(row)).toBe(all?.stream.time(row))
      expect(signal?.stream.payload(row)).toEqual(all?.stream.payload(row))
    }
  })
})
