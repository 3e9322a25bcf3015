import { describe, expect, it } from 'vitest'
import { bamFrames, type LogFrame, printLog, utf8 } from '../../../../tests/support/log.js'
import { createLogDecoder } from './log-decoder.js'
import { Traffic } from './traffic.js'

const S = 1_000_000
const START = 1_600_000_000 * S

/** Traffic of a log: frames, and other lines behind them. */
function trafficOf(frames: readonly LogFrame[], others = '', bitRate?: number): Traffic {
  let traffic: Traffic | undefined
  const { reader, bus } = createLogDecoder(({ keys }) => {
    const taken = new Traffic(keys, bitRate === undefined ? {} : { bitRate })
    traffic = taken
    return {
      frames: (batch, from, to) => taken.frames(batch, from, to),
      assembled: (message) => taken.assembled(message),
      other: (frame) => taken.other(frame),
    }
  })
  reader.push(utf8(printLog(frames.map((frame) => ({ ...frame, time: START + frame.time }))) + others))
  reader.finish()
  bus.finish()
  return traffic as Traffic
}

const every = (period: number, count: number, pgn: number, more: Partial<LogFrame> = {}): LogFrame[] =>
  Array.from({ length: count }, (_, index) => ({ time: index * period, pgn, data: '00'.repeat(8), ...more }))

const byTime = (frames: LogFrame[]): LogFrame[] => frames.sort((a, b) => a.time - b.time)

describe('streams', () => {
  it('are counted, with first and last time and period', () => {
    const traffic = trafficOf(byTime([...every(10_000, 101, 61444), ...every(S, 2, 65262, { sa: 3, channel: 'can1' })]))
    expect(traffic.streams()).toEqual([
      {
        ...{ channel: 0, priority: 6, pgn: 61444, sa: 0, da: 255, count: 101, frames: 101 },
        ...{ firstTime: START, lastTime: START + S },
        intervals: { period: 10_000, jitter: 0, gaps: 0, longestGaps: [] },
      },
      {
        ...{ channel: 1, priority: 6, pgn: 65262, sa: 3, da: 255, count: 2, frames: 2 },
        ...{ firstTime: START, lastTime: START + S },
        intervals: { period: S, jitter: null, gaps: 0, longestGaps: [] },
      },
    ])
  })

  it('of long messages count messages, beside the frames that carried them', () => {
    const long = [0, 1, 2].flatMap((n) => bamFrames({ time: n * S, pgn: 65251, data: '00'.repeat(20) }))
    const counts = trafficOf(long)
      .streams()
      .map(({ pgn, count, frames }) => [pgn, count, frames])
    expect(counts).toEqual([
      [60416, 3, 3],
      [60160, 9, 9],
      [65251, 3, 0],
    ])
  })

  it('that are silent while others send have a gap', () => {
    const silent = every(100_000, 100, 65263, { sa: 9 }).filter(({ time }) => time < 3 * S || time >= 5 * S)
    const [, stream] = trafficOf(byTime([...every(10_000, 1000, 61444), ...silent])).streams()
    expect(stream.intervals).toEqual({
      ...{ period: 100_000, jitter: 0, gaps: 1 },
      longestGaps: [{ from: START + 2.9 * S, to: START + 5 * S }],
    })
  })

  it('have no gap where the whole recording has a hole', () => {
    const frames = byTime([...every(10_000, 1000, 61444), ...every(100_000, 100, 65263, { sa: 9 })])
    const holed = frames.filter(({ time }) => time < 3 * S || time >= 5 * S)
    expect(
      trafficOf(holed)
        .streams()
        .map(({ intervals }) => intervals.gaps),
    ).toEqual([0, 0])
  })

  it('keep their gaps where another interface hands its frames over late', () => {
    // can1 lags 0.6 s behind can0, and can0 is silent for 0.5 s: from a frame of can1 to the next one of can0
    // it is more than a second, but the recording itself is never without a frame for that long.
    const can0 = [0, 0.1, 0.2, 0.3, 0.4, 0.5, 1, 1.1].map((t) => ({ at: t, time: t * S, pgn: 61444, channel: 'can0' }))
    const can1 = [0.51, 1.05].map((t) => ({ at: t, time: (t - 0.6) * S, pgn: 61444, channel: 'can1' }))
    const log = [...can0, ...can1]
      .sort((a, b) => a.at - b.at)
      .map(({ at: _, ...frame }) => ({ ...frame, data: '00'.repeat(8) }))
    const [stream] = trafficOf(log).streams()
    expect(stream.intervals.gaps).toBe(1)
  })
})

describe('the load', () => {
  it('counts every classical frame by channel: extended, 11-bit and remote, not CAN FD or error frames', () => {
    const others = [
      '(1600000000.500000) can0 123#1122',
      '(1600000000.500000) can0 123#R2',
      '(1600000000.500000) can0 18FEEE00#R8',
      '(1600000000.500000) can0 18FEEE00##111',
      '(1600000000.500000) can0 20000088#0000000000000000',
    ]
    const loads = trafficOf(
      [...every(0, 2, 61444), ...every(0, 1, 61444, { channel: 'can1' })],
      others.join('\n'),
    ).loads()
    expect(loads.map(({ channel, frames }) => [channel, frames])).toEqual([
      [0, 5],
      [1, 1],
    ])
  })

  it('is reckoned at the bit rate that is given', () => {
    const [given] = trafficOf(every(10_000, 200, 61444), '', 500_000).loads()
    const [assumed] = trafficOf(every(10_000, 200, 61444)).loads()
    expect(given.bitRate).toEqual({ value: 500_000, basis: 'given' })
    expect(assumed.bitRate).toEqual({ value: 250_000, basis: 'assumed' })
    expect(assumed.maximum.load / given.maximum.load).toBeCloseTo(2, 9)
    // A hundred frames of 8 bytes a second take 131 to 155 bits each without and with all stuff bits, and
    // three bits of pause: a known formula (`bus/frame-bits.ts`).
    expect(assumed.maximum.load).toBeGreaterThan((100 * 131) / 250_000)
    expect(assumed.maximum.load).toBeLessThan((100 * 160) / 250_000)
  })

  it('is the same for the same frame, whenever its identifier was first met', () => {
    const [together] = trafficOf([...every(0, 1, 61444), ...every(0, 1, 65262), ...every(0, 1, 61444)]).loads()
    const alone = [61444, 65262, 61444].map((pgn) => trafficOf(every(0, 1, pgn)).loads()[0].bits)
    expect(together.bits).toBe(alone.reduce((sum, bits) => sum + bits))
  })
})
