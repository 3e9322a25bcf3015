/**
 * Two ways of reading a line, one answer. The fast path is asked directly: where it takes a line, the
 * patient parser must say the same of it. Then the reader as a whole, whose answer must be that of the
 * patient parser for every line.
 */
import { FrameBatch, FrameKeys, LogReader } from '@firstcrank/decoder'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Clock, looksLikeDeltas } from '../../packages/decoder/src/log/clock.js'
import { FAST_LINE_BYTES, FastLines } from '../../packages/decoder/src/log/fast-line.js'
import { createParsedLine, parseLine } from '../../packages/decoder/src/log/line.js'
import { anyFrame, anyLog, anyShape, damaged, otherLine, SHAPES } from '../support/arbitrary-logs.js'
import { inChunks, utf8 } from '../support/log.js'

const CHANNELS = ['can0', 'can1', 'vcan12', 'slcan0', 'bus', 'b', 'a-long-interface-name']

/** The fast path, which has met every interface; and the row it read, or undefined where it declined. */
function readFast(
  line: Uint8Array,
): { time: number; channel: string; id: number; data: number[]; next: number } | undefined {
  const keys = new FrameKeys()
  const batch = new FrameBatch()
  const fast = new FastLines(keys, batch)
  for (const name of CHANNELS) {
    const met = utf8(`(1) ${name} 1`)
    fast.learnName(new DataView(met.buffer), 4, 4 + name.length, keys.channelNumber(name))
  }
  const bytes = new Uint8Array(line.length + 1 + FAST_LINE_BYTES).fill(0x35)
  bytes.set(line)
  bytes[line.length] = 0x0a
  const next = fast.read(new DataView(bytes.buffer), bytes, 0, 0)
  if (next === 0) return undefined
  const key = batch.key[0]
  expect(batch.bytes.subarray(batch.length[0], 8).every((byte) => byte === 0xff)).toBe(true)
  return {
    time: batch.time[0],
    channel: keys.channels[keys.channel[key]],
    id: keys.id[key],
    data: [...batch.bytes.subarray(0, batch.length[0])],
    next,
  }
}

/** The same frame as the patient parser reads it; undefined for anything but a sound extended data frame. */
function readPatiently(bytes: Uint8Array): ReturnType<typeof readFast> {
  const line = createParsedLine()
  parseLine(bytes, 0, bytes.length, line)
  if (line.kind !== 'frame' || line.problem !== undefined || line.timeForm !== 'seconds') return undefined
  return {
    time: line.time,
    channel: String.fromCharCode(...bytes.subarray(line.channelStart, line.channelEnd)),
    id: line.id,
    data: [...line.data.subarray(0, line.length)],
    next: bytes.length + 1,
  }
}

describe('the fast path', () => {
  const usual = anyFrame.filter(({ channel, micros }) => channel.length <= 9 && micros >= 100e6)

  it.each(['file', 'file, lower case', 'file, carriage return', 'file, bit 31 left in'])(
    'takes the shape: %s',
    (shape) => {
      fc.assert(
        fc.property(usual, (frame) => {
          const { micros, channel, id, data } = frame
          const bytes = utf8(SHAPES[shape](frame))
          expect(readFast(bytes)).toEqual({ time: micros, channel, id, data, next: bytes.length + 1 })
        }),
        { numRuns: 200 },
      )
    },
  )

  it('says what the patient parser says of any line it takes', () => {
    let taken = 0
    const line = fc.oneof(
      fc.tuple(anyShape, anyFrame).map(([print, frame]) => utf8(print(frame))),
      damaged(anyFrame.map(SHAPES['file'])),
      damaged(anyFrame.map(SHAPES['file, carriage return'])),
    )
    fc.assert(
      fc.property(
        line.filter((bytes) => !bytes.includes(0x0a)),
        (bytes) => {
          const fast = readFast(bytes)
          if (fast === undefined) return
          taken++
          expect(fast).toEqual(readPatiently(bytes))
        },
      ),
      { numRuns: 6000 },
    )
    expect(taken).toBeGreaterThan(600)
  })
})

interface ReadLog {
  readonly rows: readonly (readonly [time: number, channel: string, id: number, data: string])[]
  readonly counts: Readonly<Record<string, number>>
}

/** A log line by line, each by the patient parser, times put on one line by a clock of its own. */
function patientLog(log: Uint8Array): ReadLog {
  const lines: Uint8Array[] = []
  for (let at = 0; at < log.length; ) {
    const newline = log.indexOf(0x0a, at)
    const end = newline < 0 ? log.length : newline
    lines.push(log.subarray(at, end))
    at = end + 1
  }
  const parsed = lines.map((bytes) => {
    const line = createParsedLine()
    parseLine(bytes, 0, bytes.length, line)
    return { bytes, line }
  })
  // As the reader does: the first 64 lines that end tell what the times mean.
  const ended = log.at(-1) === 0x0a ? parsed : parsed.slice(0, -1)
  const opening = ended.filter(({ line }) => line.timeForm !== 'none').slice(0, 64)
  const absolute = opening.some(({ line }) => line.timeForm === 'date' || line.time >= 1e14)
  const clock = new Clock({ deltas: !absolute && looksLikeDeltas(opening.map(({ line }) => line.time)) })
  const counts: Record<string, number> = lines.length > 0 ? { lines: lines.length } : {}
  const rows: ReadLog['rows'][number][] = []
  for (const { bytes, line } of parsed) {
    counts[line.kind] = (counts[line.kind] ?? 0) + 1
    if (['blank', 'comment', 'malformed'].includes(line.kind)) continue
    const time = clock.push(line.time, line.timeForm)
    if (line.kind !== 'frame') continue
    const channel = String.fromCharCode(...bytes.subarray(line.channelStart, line.channelEnd))
    rows.push([time, channel, line.id, `${line.length}:${line.data}`])
  }
  return { rows, counts }
}

function readerLog(chunks: Iterable<Uint8Array>): ReadLog {
  const rows: ReadLog['rows'][number][] = []
  const reader = new LogReader({
    frames: ({ count, time, key, length, bytes }) => {
      for (let row = 0; row < count; row++) {
        const { channels, channel, id } = reader.keys
        const data = `${length[row]}:${bytes.subarray(row * 8, row * 8 + 8)}`
        rows.push([time[row], channels[channel[key[row]]], id[key[row]], data])
      }
    },
  })
  for (const chunk of chunks) reader.push(chunk)
  reader.finish()
  const { comments, extended, ...others } = reader.counts
  const counts = { ...others, comment: comments, frame: extended }
  return { rows, counts: Object.fromEntries(Object.entries(counts).filter(([, count]) => count > 0)) }
}

describe('the reader', () => {
  it('reads every line of a log as the patient parser does', () => {
    const soup = fc
      .array(
        fc.oneof(
          fc.tuple(anyShape, anyFrame).map(([print, frame]) => print(frame)),
          otherLine,
        ),
        { maxLength: 90 },
      )
      .map((lines) => utf8(lines.join('\n')))
    fc.assert(
      fc.property(fc.oneof(soup, anyLog), fc.integer({ min: 1, max: 5000 }), (log, size) => {
        const wanted = patientLog(log)
        expect(readerLog([log])).toEqual(wanted)
        expect(readerLog(inChunks(log, [size]))).toEqual(wanted)
      }),
      { numRuns: 200 },
    )
  })
})
