/** A signal of a live recording, and its rows as columns for a client. */
import {
  type ColumnReader,
  columnReader,
  compileReader,
  type GroupDefinition,
  isColumnDefinition,
  type SignalDefinition,
} from '@firstcrank/decoder'
import { type ColumnEntry, overviewOf, type SignalRef } from '@firstcrank/feed'
import type { LiveStream } from './live-stream.js'

/** One SPN of one stream. */
export interface LiveSignal {
  readonly key: string
  readonly stream: LiveStream
  readonly group: GroupDefinition
  readonly definition: SignalDefinition
  readonly instance: number | undefined
  readonly reader: ColumnReader
}

/** The signal of a stream that is meant; undefined where its group has none such. */
export function liveSignal(key: string, stream: LiveStream, { spn, instance }: SignalRef): LiveSignal | undefined {
  const { group } = stream
  if (group === undefined) return undefined
  const { repeat } = group
  const definitions = instance === undefined ? group.signals : (repeat?.signals ?? [])
  const definition = definitions.filter(isColumnDefinition).find((candidate) => candidate.spn === spn)
  if (definition === undefined) return undefined
  const reader =
    instance === undefined || repeat === undefined
      ? columnReader(definition)
      : compileReader(definition, repeat.at - 1 + instance * repeat.bytes)
  return { key, stream, group, definition, instance, reader }
}

/** Which rows of a signal are told, and how finely. */
export interface Stretch {
  readonly index: number
  /** Rows `first` to `next` (not included). */
  readonly first: number
  readonly next: number
  /** Microseconds the columns of an overview span. */
  readonly from: number
  readonly to: number
  readonly skipped?: number
  /** More rows than this become an overview of so many columns. */
  readonly limit: number
  readonly columns: number
}

/** Rows of a signal as an entry of a column frame. */
export function entryOf({ stream, reader }: LiveSignal, stretch: Stretch): ColumnEntry {
  const { index, first, next, from, to, limit, columns, skipped = 0 } = stretch
  const { time, value, status } = stream.read(reader, first, next)
  const lastTime = time.length > 0 ? (time[time.length - 1] as number) : Number.NaN
  return {
    index,
    next,
    lastTime,
    from,
    to,
    skipped,
    columns:
      time.length <= limit ? { form: 'samples', time, value, status } : overviewOf(time, value, from, to, columns),
  }
}
