/** Levels for the metrics: looked up when somebody asks. */
import type { FeedHub } from './feed/hub.js'
import type { Library } from './library/library.js'
import type { Sessions } from './live/sessions.js'
import { label, type Metrics } from './metrics.js'
import type { ThreadPool } from './workers/pool.js'

/** Whose levels are looked up. */
export interface Measured {
  readonly metrics: Metrics
  readonly hub: FeedHub
  readonly library: Library
  readonly threads: ThreadPool
  readonly sessions: Sessions
}

/** Those that a source has, for each. */
const SOURCE_METRICS = [
  'firstcrank_source_lines',
  'firstcrank_source_messages_kept',
  'firstcrank_recorder_written_bytes',
  'firstcrank_recorder_synced_bytes',
  'firstcrank_recorder_dropped_lines',
] as const

/** Brings all levels up to date. */
export async function measure({ metrics, hub, library, threads, sessions }: Measured): Promise<void> {
  hub.measure()
  metrics.set('firstcrank_runs_waiting', library.waiting)
  metrics.set('firstcrank_thread_calls', threads.waiting)
  metrics.set('firstcrank_resident_bytes', process.memoryUsage.rss())
  metrics.set('firstcrank_uptime_seconds', process.uptime())
  const { user, system } = process.cpuUsage()
  metrics.set('firstcrank_processor_seconds', (user + system) / 1e6)
  // Sources come and go: what is said of one that has gone goes with it.
  for (const name of SOURCE_METRICS) metrics.clear(name)
  for (const session of sessions.all) {
    const { id, lines, recorder } = session.info()
    const which = label('source', id)
    metrics.set('firstcrank_source_lines', lines, which)
    metrics.set('firstcrank_source_messages_kept', session.recording.kept, which)
    if (recorder === null) continue
    metrics.set('firstcrank_recorder_written_bytes', recorder.written, which)
    metrics.set('firstcrank_recorder_synced_bytes', recorder.synced, which)
    metrics.set('firstcrank_recorder_dropped_lines', recorder.dropped, which)
  }
  const { recordings, bytes } = await threads.usage()
  metrics.set('firstcrank_recordings', recordings)
  metrics.set('firstcrank_recordings_bytes', bytes)
}
