/**
 * A recording as a viewer sees it: the same whether a worker of the browser has read a dropped file,
 * or a server has the run, or it is live.
 */
import { type ColumnEntry, decodeFrame } from './column-frame.js'
import type { LiveEvent } from './live.js'
import type { RecordingInfo } from './recording-info.js'
import type {
  Answers,
  MessagesPage,
  MessagesQuery,
  MomentQuery,
  MomentValue,
  RecordingRequest,
  WindowQuery,
} from './requests.js'
import type { SignalRef } from './signal-ref.js'

/** What to follow of a live recording. */
export interface FollowQuery {
  readonly signals: readonly SignalRef[]
  /** Microseconds of history that come first. */
  readonly span: number
  /** Columns of the picture the history is for. */
  readonly columns: number
}

/** Who takes what is followed. */
export interface FollowSink {
  /**
   * New columns, in order, no message twice and none left out but those an entry calls skipped.
   * With `reset`, what was told of these signals before no longer holds.
   */
  columns(batch: FollowBatch): void
  events?(events: readonly LiveEvent[], missed: number): void
  /** The recording has begun anew, such as a replay that was moved: all columns so far are void. */
  restarted?(): void
  /** The connection was lost, or is there again; nothing is lost by it. */
  connected?(connected: boolean): void
  /** No more will come. */
  ended?(detail: string): void
}

/** Columns of one moment. */
export interface FollowBatch {
  readonly reset: boolean
  /** Wall clock of the sender, in microseconds, when it sent this and when the newest message came. */
  readonly sent: number
  readonly arrived: number
  readonly entries: readonly ColumnEntry[]
}

/** Something being followed. */
export interface Follow {
  stop(): void
}

/** How far a recording has been read. */
export interface Progress {
  readonly complete: boolean
  /** Bytes read, and bytes in all where that is known. */
  readonly bytes: number
  readonly total: number | null
}

/** A recording. `Report` is what the analysis makes; this package does not know it. */
export interface RecordingSource<Report = unknown> {
  info(): Promise<RecordingInfo>
  /** Columns of signals over a stretch of time, one entry for each signal. */
  window(query: WindowQuery): Promise<readonly ColumnEntry[]>
  /** What each signal was at a moment; null before its first message. */
  moment(query: MomentQuery): Promise<readonly (MomentValue | null)[]>
  messages(query: MessagesQuery): Promise<MessagesPage>
  report(): Promise<Report>
  /** Live recordings only; of one that has ended, the history and then `ended`. */
  follow(query: FollowQuery, sink: FollowSink): Follow
  /** Told while the recording is being read. Returns how to be told no more. */
  onProgress(listener: (progress: Progress) => void): () => void
  close(): void
}

/** The one thing a {@link RecordingSource} is built on. */
export interface RecordingTransport {
  /** @throws {FeedError} */
  ask<Kind extends RecordingRequest['ask']>(request: Extract<RecordingRequest, { ask: Kind }>): Promise<Answers[Kind]>
  follow(query: FollowQuery, sink: FollowSink): Follow
  onProgress(listener: (progress: Progress) => void): () => void
  close(): void
}

/** A source over any transport. */
export function createSource<Report = unknown>(transport: RecordingTransport): RecordingSource<Report> {
  return {
    info: () => transport.ask<'info'>({ ask: 'info' }),
    window: async (query) => decodeFrame(await transport.ask<'window'>({ ask: 'window', query })).entries,
    moment: (query) => transport.ask<'moment'>({ ask: 'moment', query }),
    messages: (query) => transport.ask<'messages'>({ ask: 'messages', query }),
    report: () => transport.ask<'report'>({ ask: 'report' }) as Promise<Report>,
    follow: (query, sink) => transport.follow(query, sink),
    onProgress: (listener) => transport.onProgress(listener),
    close: () => transport.close(),
  }
}
