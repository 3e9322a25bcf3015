/**
 * Thread that takes in new logs: which one is it, what is in it, what does the analysis conclude. One
 * job after the other; nobody who looks at a recording waits for it.
 */
import { createReadStream } from 'node:fs'
import { workerData } from 'node:worker_threads'
import type { Report, UnitSystem } from '@firstcrank/analysis'
import { type LogSummary, openRecording, summarizeLog } from '@firstcrank/decoder'
import { FeedError, type RunSummary, type RunVerdict } from '@firstcrank/feed'
import { VERSION } from '../version.js'
import { examineFile } from './examine.js'
import { type LogPlace, MEMORY_SHARE, type ThreadSettings } from './places.js'
import { judge, type ReportForm, renderReport } from './report.js'
import { serveThread } from './serve-thread.js'
import { summarize } from './summarize.js'

/** What is known of a run once it has been read. */
export interface ReadRun {
  readonly summary: RunSummary
  readonly verdict: RunVerdict | null
  /** In JSON. */
  readonly report: string | null
  /** Why there is no verdict. */
  readonly problem: string | null
}

/** A report to be put into another form. */
export interface RenderRequest {
  /** In JSON. */
  readonly report: string
  readonly place: LogPlace
  readonly form: ReportForm
  readonly units?: UnitSystem
}

const { memory, definitions } = workerData as ThreadSettings
const CHUNK_BYTES = 262_144

let last: Promise<unknown> = Promise.resolve()

/** Jobs take turns: two large logs at a time would need twice the memory. */
function inTurn<Result>(job: () => Promise<Result>): Promise<Result> {
  const done = last.then(job)
  last = done.catch(() => undefined)
  return done
}

serveThread({
  examine: ({ path, limit }: { path: string; limit: number }) => inTurn(() => examineFile(path, limit)),
  read: (place: LogPlace) => inTurn(() => readRun(place)),
  render: ({ report, place, form, units }: RenderRequest) =>
    renderReport(JSON.parse(report) as Report, place, form, units),
})

async function readRun(place: LogPlace): Promise<ReadRun> {
  const source = () => createReadStream(place.path, { highWaterMark: CHUNK_BYTES })
  try {
    const recording = await openRecording(source(), {
      summary: true,
      definitions,
      onProgress: (bytes) => {
        if (bytes * MEMORY_SHARE > memory) throw new FeedError('recording-too-large', 'too large to be analysed')
      },
    })
    const summary = summarize(recording.summary() as LogSummary)
    return { summary, ...judge(recording, place, VERSION) }
  } catch (error) {
    if (!(error instanceof FeedError) || error.code !== 'recording-too-large') throw error
    // Its summary takes no memory to speak of.
    return {
      summary: summarize(await summarizeLog(source(), { definitions })),
      verdict: null,
      report: null,
      problem: error.code,
    }
  }
}
