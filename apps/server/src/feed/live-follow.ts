/**
 * One client following one live recording: where it is with each signal. A client that could not take
 * more for a while is told less finely what it missed; nothing is ever put in a queue for it.
 */
import { type Cursor, encodeEntry, joinFrame, type ResumePoint, type SignalRef } from '@firstcrank/feed'
import { entryOf, type LiveSignal } from '../live/live-signal.js'
import type { LiveSession } from '../live/session.js'
import { wallClock } from '../live/session.js'

/** What a client asked to follow. */
export interface FollowRequest {
  readonly id: number
  readonly signals: readonly SignalRef[]
  /** Microseconds of history that come first. */
  readonly span: number
  readonly columns: number
  readonly resume?: ResumePoint
}

/** Points of one signal that a client gets at a tick before they become an overview: 1.28 s at 100 a second. Our own choice. */
const TICK_POINTS = 128
/** Points of an overview column: first, least, greatest, last. */
const COLUMN_POINTS = 4

/** Entries that were encoded in this tick, by what is in them: most clients get the same. */
export type EntryCache = Map<string, Uint8Array>

/** A frame ready to be sent, but for its place in the sequence. */
export interface ReadyFrame {
  readonly reset: boolean
  readonly arrived: number
  readonly entries: readonly Uint8Array[]
}

export class LiveFollow {
  readonly id: number
  readonly session: LiveSession
  /** Number of the first event not yet told of. */
  event: number
  /** Whether it goes on where the client was. */
  readonly resumed: boolean
  #epoch: string
  readonly #request: FollowRequest
  readonly #cursors: (Cursor | null)[]

  constructor(request: FollowRequest, session: LiveSession) {
    this.id = request.id
    this.session = session
    this.#request = request
    this.#epoch = session.recording.epoch
    const { resume } = request
    this.resumed = resume !== undefined && resume.epoch === this.#epoch && this.#areHere(resume)
    this.#cursors = request.signals.map((_, index) => (this.resumed ? (resume?.cursors[index] ?? null) : null))
    this.event = resume !== undefined && sameInstance(resume.epoch, this.#epoch) ? resume.event : session.events.next
  }

  get epoch(): string {
    return this.#epoch
  }

  /** Whether the recording has begun anew since the last call; then all is told from the beginning. */
  noticeRestart(): boolean {
    const { epoch } = this.session.recording
    if (epoch === this.#epoch) return false
    this.#epoch = epoch
    this.#cursors.fill(null)
    return true
  }

  /** What there is to tell: first histories, then what is new. The client is taken to get it. */
  take(cache: EntryCache): ReadyFrame[] {
    const histories: Uint8Array[] = []
    const news: Uint8Array[] = []
    this.#request.signals.forEach((ref, index) => {
      const signal = this.session.recording.signal(ref)
      if (signal === undefined || signal.stream.kept === 0) return
      const cursor = this.#cursors[index] ?? null
      if (cursor === null) histories.push(this.#history(signal, index, cache))
      else if (signal.stream.next > cursor.next) news.push(this.#news(signal, index, cursor, cache))
    })
    const { arrived } = this.session
    const frames: ReadyFrame[] = []
    if (histories.length > 0) frames.push({ reset: true, arrived, entries: histories })
    if (news.length > 0) frames.push({ reset: false, arrived, entries: news })
    return frames
  }

  /** A cursor beyond what has come is of another recording, whatever the epoch says. */
  #areHere({ cursors }: ResumePoint): boolean {
    const { signals } = this.#request
    return (
      cursors.length === signals.length &&
      signals.every((ref, index) => {
        const cursor = cursors[index]
        return cursor == null || cursor.next <= (this.session.recording.signal(ref)?.stream.next ?? 0)
      })
    )
  }

  #history(signal: LiveSignal, index: number, cache: EntryCache): Uint8Array {
    const { span, columns } = this.#request
    const { stream } = signal
    const to = stream.lastTime
    const first = stream.rowAt(to - span)
    // Not from where the span begins: before the first message there is nothing to be drawn.
    const from = stream.time(first)
    return this.#entry(signal, index, first, { from, to, columns, limit: columns * COLUMN_POINTS }, cache)
  }

  #news(signal: LiveSignal, index: number, { next }: Cursor, cache: EntryCache): Uint8Array {
    const { stream } = signal
    const first = Math.max(next, stream.first)
    const stretch = { from: stream.time(first), to: stream.lastTime, limit: TICK_POINTS, skipped: first - next }
    return this.#entry(signal, index, first, { ...stretch, columns: TICK_POINTS / COLUMN_POINTS }, cache)
  }

  #entry(
    signal: LiveSignal,
    index: number,
    first: number,
    how: { from: number; to: number; columns: number; limit: number; skipped?: number },
    cache: EntryCache,
  ): Uint8Array {
    const { next } = signal.stream
    const key = `${this.session.recording.epoch} ${signal.key} ${index} ${first} ${how.columns} ${how.skipped ?? 0}`
    let bytes = cache.get(key)
    if (bytes === undefined) {
      bytes = encodeEntry(entryOf(signal, { index, first, next, ...how }))
      cache.set(key, bytes)
    }
    this.#cursors[index] = { next, lastTime: signal.stream.lastTime }
    return bytes
  }
}

/** A frame with its place in the sequence. */
export function frameBytes(id: number, sequence: number, { reset, arrived, entries }: ReadyFrame): Uint8Array {
  return joinFrame({ id, sequence, reset, arrived, sent: wallClock() }, entries)
}

/** Whether two epochs are of one session in one process: then its events have the same numbers. */
function sameInstance(one: string, other: string): boolean {
  return one.split('.')[0] === other.split('.')[0]
}
