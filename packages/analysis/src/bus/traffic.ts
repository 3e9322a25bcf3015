/**
 * Who was heard when: the streams of a recording by node, and the stretches in which a node, or a
 * whole channel, said nothing though it was due to. What a silence means is decided in
 * `silences.ts`; here is only the arithmetic.
 */
import type { Recording, Stream } from '@firstcrank/decoder'
import type { Span } from '../model.js'
import { periodOfStream } from '../rhythm.js'
import { firstAt } from '../series.js'

/** Fewer messages say nothing of a rhythm. Source: common practice. */
const ENOUGH_MESSAGES = 12
/** A rhythm: at least this share of the intervals lies within {@link NEAR} of the usual one. Source: common practice. */
const REGULAR_SHARE = 0.8
const NEAR = 0.35
/** A silence is at least so many of the fastest rhythm's periods, and so long in microseconds. Source: our own choice. */
const SILENT_PERIODS = 5
const SHORTEST_SILENCE = 150_000

/**
 * Groups that answer, ask or carry others, and so have no rhythm of their own: request, acknowledgement,
 * claim, and the two transport protocols. Source: the kernel's J1939 header; the extended one from memory.
 */
const NO_RHYTHM: ReadonlySet<number> = new Set([59392, 59904, 60928, 60160, 60416, 50944, 51200])

/** One parameter group of a node, with the times of its messages. */
export interface Pulse {
  readonly stream: Stream
  readonly time: Float64Array
  /** The usual interval, in microseconds. */
  readonly period: number
}

/** One source address on one channel. */
export interface Sender {
  readonly channel: number
  readonly sa: number
  readonly streams: readonly Stream[]
  /** Its messages that come in a rhythm, the fastest first. */
  readonly pulses: readonly Pulse[]
  readonly firstTime: number
  readonly lastTime: number
}

/** Addresses above are no nodes. Source: SAE J1939-81, as the kernel's J1939 header has it. */
const LAST_NODE = 253

/** Every node that was heard, by channel and address. */
export function findSenders(recording: Recording): Sender[] {
  const byNode = new Map<number, Stream[]>()
  for (const stream of recording.streams) {
    if (stream.sa > LAST_NODE || stream.count === 0) continue
    const key = stream.channel * 256 + stream.sa
    const others = byNode.get(key)
    if (others === undefined) byNode.set(key, [stream])
    else others.push(stream)
  }
  return [...byNode]
    .sort(([a], [b]) => a - b)
    .map(([key, streams]) => ({
      channel: Math.floor(key / 256),
      sa: key % 256,
      streams,
      pulses: streams.flatMap((stream) => pulseOf(stream) ?? []).sort((a, b) => a.period - b.period),
      firstTime: Math.min(...streams.map((stream) => stream.time(0))),
      lastTime: Math.max(...streams.map((stream) => stream.time(stream.count - 1))),
    }))
}

/** A stream that has a rhythm; undefined where it comes when it likes. */
function pulseOf(stream: Stream): Pulse | undefined {
  if (stream.count < ENOUGH_MESSAGES || NO_RHYTHM.has(stream.pgn)) return undefined
  const period = periodOfStream(stream)
  if (period === null || period <= 0) return undefined
  const time = stream.times()
  let regular = 0
  for (let i = 1; i < time.length; i++) {
    const interval = (time[i] as number) - (time[i - 1] as number)
    if (Math.abs(interval - period) <= NEAR * period) regular++
  }
  return regular >= REGULAR_SHARE * (time.length - 1) ? { stream, time, period } : undefined
}

/** Whether any of the streams has a message after `from` and before `to`. */
export function isHeard(streams: readonly Stream[], { from, to }: Span): boolean {
  return streams.some((stream) => {
    const row = stream.rowAfter(from)
    return row < stream.count && stream.time(row) < to
  })
}

/**
 * Stretches without a word from all of the streams, from the last message before to the first behind.
 * They are looked for in the gaps of the fastest rhythm.
 *
 * @param pulse the fastest of them
 */
export function silencesOf(streams: readonly Stream[], pulse: Pulse): Span[] {
  const shortest = shortestSilence(pulse)
  const found: Span[] = []
  for (let i = 1; i < pulse.time.length; i++) {
    const from = pulse.time[i - 1] as number
    const to = pulse.time[i] as number
    if (to - from < shortest) continue
    found.push(...quietParts(streams, { from, to }).filter((part) => part.to - part.from >= shortest))
  }
  return found
}

/** The shortest silence that is one, beside a rhythm; in microseconds. */
export function shortestSilence({ period }: Pulse): number {
  return Math.max(SHORTEST_SILENCE, SILENT_PERIODS * period)
}

/** What is between the messages of all streams inside a span. */
function quietParts(streams: readonly Stream[], { from, to }: Span): Span[] {
  const heard: number[] = []
  for (const stream of streams) {
    for (let row = stream.rowAfter(from); row < stream.count && stream.time(row) < to; row++)
      heard.push(stream.time(row))
  }
  const edges = [from, ...heard.sort((a, b) => a - b), to]
  return edges.slice(1).map((edge, i) => ({ from: edges[i] as number, to: edge }))
}

/** Intervals of a rhythm longer than so many periods. */
export function gapsOf({ time, period }: Pulse, periods: number): Span[] {
  const found: Span[] = []
  for (let i = 1; i < time.length; i++) {
    const from = time[i - 1] as number
    const to = time[i] as number
    if (to - from >= periods * period) found.push({ from, to })
  }
  return found
}

/** How many intervals of a rhythm lie within a span, and how many of those are longer than so many periods. */
export function lateIn({ time, period }: Pulse, { from, to }: Span, periods: number): { late: number; of: number } {
  let late = 0
  let of = 0
  for (let i = firstAt(time, from) + 1; i < time.length && (time[i] as number) <= to; i++) {
    of++
    if ((time[i] as number) - (time[i - 1] as number) > periods * period) late++
  }
  return { late, of }
}
