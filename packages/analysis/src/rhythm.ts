/** How often a stream's messages come, worked out once: every signal of a message has the same rhythm. */
import type { Stream } from '@firstcrank/decoder'
import { periodOf } from './series.js'

const known = new WeakMap<Stream, { readonly count: number; readonly period: number | null }>()

/** The usual time between a stream's messages: the median interval, in microseconds; null of fewer than two. */
export function periodOfStream(stream: Stream): number | null {
  const before = known.get(stream)
  if (before !== undefined && before.count === stream.count) return before.period
  const period = periodOf(stream.times())
  known.set(stream, { count: stream.count, period })
  return period
}
