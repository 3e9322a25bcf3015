/** Requests answered from a recording in this program: what a worker and a server's thread both run. */
import type { GroupDefinition, Recording, Signal, Stream } from '@firstcrank/decoder'
import { decodeSignal } from '@firstcrank/decoder'
import { type ColumnEntry, encodeFrame } from './column-frame.js'
import { describeRecording, type RecordingParts } from './describe.js'
import { FeedError } from './problem.js'
import type {
  Answers,
  CheckedRequest,
  MessagesPage,
  MessagesQuery,
  MomentQuery,
  MomentValue,
  WindowQuery,
} from './requests.js'
import { type SignalRef, signalKey } from './signal-ref.js'

/** A recording that can be asked. */
export interface AskableRecording {
  readonly recording: Recording
  readonly epoch: string
  /** Whether it has been read to its end. */
  readonly complete: boolean
  /** Makes the report on it; the analysis is not known here. */
  readonly report?: (recording: Recording) => unknown
}

/** Microseconds. */
interface Span {
  readonly from: number
  readonly to: number
}

const valid = new WeakMap<Signal, { readonly rows: number; readonly found: boolean }>()

/**
 * Answers one request.
 *
 * @throws {FeedError} `signal-not-found`
 */
export function answerRequest(askable: AskableRecording, request: CheckedRequest): Answers[CheckedRequest['ask']] {
  switch (request.ask) {
    case 'info':
      return describeRecording(partsOf(askable))
    case 'window':
      return encodeFrame({ ...NO_FRAME, entries: windowOf(askable.recording, request.query) })
    case 'moment':
      return momentOf(askable.recording, request.query)
    case 'messages':
      return messagesOf(askable.recording, request.query)
    case 'report':
      if (askable.report === undefined) throw new FeedError('not-found', 'no report can be made here')
      return askable.report(askable.recording)
  }
}

/** Head of a frame that answers a request. */
export const NO_FRAME = { id: 0, sequence: 0, reset: false, sent: Number.NaN, arrived: Number.NaN } as const

/**
 * The signal that is meant: of several destinations the one with the most messages.
 *
 * @throws {FeedError} `signal-not-found`
 */
export function findSignal(recording: Recording, ref: SignalRef): Signal {
  const signal = recording
    .signals(ref)
    .filter(({ instance }) => instance === ref.instance)
    .reduce<Signal | undefined>(
      (most, next) => (most === undefined || next.count > most.count ? next : most),
      undefined,
    )
  if (signal === undefined) throw new FeedError('signal-not-found', `no signal ${signalKey(ref)}`)
  return signal
}

function partsOf({ recording, epoch, complete }: AskableRecording): RecordingParts {
  const { reader, bus } = recording.log
  const pauses = [...reader.clock.holes.kept, ...reader.clock.jumps.kept]
  return {
    epoch,
    complete,
    reader,
    bus,
    events: recording.events,
    streams: recording.streams.map((stream) => ({
      channel: stream.channel,
      priority: stream.priority,
      pgn: stream.pgn,
      sa: stream.sa,
      da: stream.da,
      count: stream.count,
      firstTime: stream.count > 0 ? stream.time(0) : null,
      lastTime: stream.count > 0 ? stream.time(stream.count - 1) : null,
      silence: complete ? silenceOf(stream, pauses) : null,
      group: recording.catalogue.find(stream.pgn),
    })),
    signals: recording.signals().map((signal) => ({
      group: signal.group,
      definition: signal.definition,
      stream: signal.stream,
      instance: signal.instance,
      valid: hasValue(signal),
    })),
    loads: recording.loads(),
  }
}

const silences = new WeakMap<Stream, Span | null>()

/** The longest time between two messages, without what the recorder paused in it; worked out once. */
function silenceOf(stream: Stream, holes: readonly Span[]): Span | null {
  const known = silences.get(stream)
  if (known !== undefined) return known
  let longest: Span | null = null
  const times = stream.times()
  for (let row = 1; row < times.length; row++) {
    const [from, to] = [times[row - 1] as number, times[row] as number]
    if (longest !== null && to - from <= longest.to - longest.from) continue
    for (const part of outside({ from, to }, holes)) {
      if (longest === null || part.to - part.from > longest.to - longest.from) longest = part
    }
  }
  silences.set(stream, longest)
  return longest
}

/** The parts of a span that lie in none of the others. */
function outside(span: Span, others: readonly Span[]): readonly Span[] {
  return others.reduce<readonly Span[]>(
    (parts, { from, to }) =>
      parts.flatMap((part) => {
        if (to <= part.from || from >= part.to) return [part]
        return [
          ...(from > part.from ? [{ from: part.from, to: from }] : []),
          ...(to < part.to ? [{ from: to, to: part.to }] : []),
        ]
      }),
    [span],
  )
}

/** Whether any message holds a value; asked again while a recording grows, only what is new is looked at. */
function hasValue(signal: Signal): boolean {
  const { count } = signal
  const before = valid.get(signal)
  if (before !== undefined && (before.found || before.rows === count)) return before.found
  const found = signal.hasValues(before?.rows)
  valid.set(signal, { rows: count, found })
  return found
}

function windowOf(recording: Recording, { signals, from, to, columns }: WindowQuery): ColumnEntry[] {
  return signals.map((ref, index) => {
    const signal = findSignal(recording, ref)
    const first = signal.stream.rowAt(from)
    const next = signal.stream.rowAfter(to)
    const lastTime = next > 0 ? signal.stream.time(next - 1) : Number.NaN
    const entry = { index, next, lastTime, from, to, skipped: 0 }
    // Four numbers a column: fewer messages than that are told whole, and exactly.
    if (next - first <= columns * 4) {
      const { time, value } = signal.samples(from, to)
      return { ...entry, columns: { form: 'samples', time, value, status: signal.statuses(first, next) } }
    }
    return { ...entry, columns: { form: 'overview', ...signal.overview(from, to, columns) } }
  })
}

function momentOf(recording: Recording, { signals, time }: MomentQuery): (MomentValue | null)[] {
  return signals.map((ref) => {
    const signal = findSignal(recording, ref)
    const row = signal.stream.rowAfter(time) - 1
    if (row < 0) return null
    const payload = blockOf(signal.stream.payload(row), signal.group, signal.instance)
    return { time: signal.stream.time(row), ...momentValueOf(decodeSignal(signal.definition, payload)) }
  })
}

/** The part of a payload that a signal's position counts from. */
export function blockOf(payload: Uint8Array, { repeat }: GroupDefinition, instance: number | undefined): Uint8Array {
  if (instance === undefined || repeat === undefined) return payload
  const start = repeat.at - 1 + instance * repeat.bytes
  return payload.subarray(start, start + repeat.bytes)
}

/** A decoded value as it is told. */
export function momentValueOf(decoded: ReturnType<typeof decodeSignal>): Omit<MomentValue, 'time'> {
  const { value, status, raw, label } = decoded
  return { value, status, raw, ...(label === undefined ? {} : { label }) }
}

function messagesOf(recording: Recording, query: MessagesQuery): MessagesPage {
  const { row, from, limit = 200, ...which } = query
  const times = timesOf(recording, which)
  const first = Math.min(times.length, row ?? firstAt(times, from ?? Number.NEGATIVE_INFINITY))
  const messages: MessagesPage['messages'] = []
  const start = times[first]
  if (start === undefined) return { messages, row: first, total: times.length }
  let left = first - firstAt(times, start)
  for (const message of recording.messages({ ...which, from: start })) {
    if (left-- > 0) continue
    const { time, firstTime, channel, priority, pgn, sa, da, transport, payload } = message
    messages.push({ time, firstTime, channel, priority, pgn, sa, da, transport, data: hexOf(payload) })
    if (messages.length === limit) break
  }
  return { messages, row: first, total: times.length }
}

/** Times of the messages that fit, sorted: the list's row numbers. One list for each recording is kept. */
const lists = new WeakMap<Recording, { readonly key: string; readonly times: Float64Array }>()

function timesOf(recording: Recording, which: Pick<MessagesQuery, 'channel' | 'pgn' | 'sa'>): Float64Array {
  const streams = recording.streams.filter(
    (stream) =>
      (which.pgn === undefined || stream.pgn === which.pgn) &&
      (which.sa === undefined || stream.sa === which.sa) &&
      (which.channel === undefined || recording.channels[stream.channel] === which.channel),
  )
  const total = streams.reduce((sum, { count }) => sum + count, 0)
  const key = `${which.channel ?? ''}/${which.pgn ?? ''}/${which.sa ?? ''}/${total}`
  const known = lists.get(recording)
  if (known?.key === key) return known.times
  const times = new Float64Array(total)
  let at = 0
  for (const stream of streams) {
    times.set(stream.times(), at)
    at += stream.count
  }
  times.sort()
  lists.set(recording, { key, times })
  return times
}

/** The first index at or after a time. */
function firstAt(times: Float64Array, time: number): number {
  let low = 0
  let high = times.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((times[middle] as number) < time) low = middle + 1
    else high = middle
  }
  return low
}

/** Bytes as upper-case hexadecimal digits. */
export function hexOf(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += byte.toString(16).padStart(2, '0').toUpperCase()
  return text
}
