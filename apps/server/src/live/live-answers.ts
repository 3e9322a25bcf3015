/** What a live recording answers, from the messages it still keeps. */
import { decodeSignal } from '@firstcrank/decoder'
import {
  blockOf,
  type ColumnEntry,
  hexOf,
  type MessagesPage,
  type MessagesQuery,
  type MomentQuery,
  type MomentValue,
  momentValueOf,
  type SignalRef,
  type WindowQuery,
} from '@firstcrank/feed'
import { entryOf, type LiveSignal } from './live-signal.js'
import type { LiveStream } from './live-stream.js'

/** What is asked: messages by stream, and signals by name. */
export interface Kept {
  readonly channels: readonly string[]
  readonly streams: readonly LiveStream[]
  signal(ref: SignalRef): LiveSignal | undefined
}

/** Signals over a stretch of time; of one that nobody has sent yet, nothing. */
export function windowOf(kept: Kept, { signals, from, to, columns }: WindowQuery): ColumnEntry[] {
  return signals.map((ref, index) => {
    const signal = kept.signal(ref)
    if (signal === undefined) return noRows(index, from, to)
    const first = signal.stream.rowAt(from)
    const next = signal.stream.rowAt(to + 1)
    return entryOf(signal, { index, first, next, from, to, columns, limit: columns * 4 })
  })
}

/** Signals at a moment; null where no message from before it is kept. */
export function momentOf(kept: Kept, { signals, time }: MomentQuery): (MomentValue | null)[] {
  return signals.map((ref) => {
    const signal = kept.signal(ref)
    if (signal === undefined) return null
    const { stream, definition, group, instance } = signal
    const row = stream.rowAt(time + 1) - 1
    if (row < stream.first) return null
    const payload = blockOf(stream.payload(row), group, instance)
    return { time: stream.time(row), ...momentValueOf(decodeSignal(definition, payload)) }
  })
}

/** The newest messages that fit, or those from a time on; rows of a live list have no lasting number. */
export function messagesOf(kept: Kept, { channel, pgn, sa, from, limit = 200 }: MessagesQuery): MessagesPage {
  const streams = kept.streams.filter(
    (stream) =>
      (pgn === undefined || stream.pgn === pgn) &&
      (sa === undefined || stream.sa === sa) &&
      (channel === undefined || kept.channels[stream.channel] === channel),
  )
  const total = streams.reduce((sum, stream) => sum + stream.kept, 0)
  const rows = streams.flatMap((stream) => {
    const start = from === undefined ? Math.max(stream.first, stream.next - limit) : stream.rowAt(from)
    const end = from === undefined ? stream.next : Math.min(stream.next, start + limit)
    return Array.from({ length: end - start }, (_, i) => ({ stream, row: start + i, time: stream.time(start + i) }))
  })
  rows.sort((a, b) => a.time - b.time)
  const page = from === undefined ? rows.slice(-limit) : rows.slice(0, limit)
  return {
    messages: page.map(({ stream, row, time }) => ({
      time,
      ...stream.transport(row),
      channel: kept.channels[stream.channel] as string,
      priority: stream.priority,
      pgn: stream.pgn,
      sa: stream.sa,
      da: stream.da,
      data: hexOf(stream.payload(row)),
    })),
    row: from === undefined ? total - page.length : 0,
    total,
  }
}

function noRows(index: number, from: number, to: number): ColumnEntry {
  const none = { time: new Float64Array(0), value: new Float64Array(0), status: new Uint8Array(0) }
  return { index, next: 0, lastTime: Number.NaN, from, to, skipped: 0, columns: { form: 'samples', ...none } }
}
