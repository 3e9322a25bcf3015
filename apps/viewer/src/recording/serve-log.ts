/**
 * One log read in a worker, which answers what a page asks of it. Requests are answered while the log
 * is still being read, so that the first picture does not wait for the last byte.
 */
import type { Report } from '@firstcrank/analysis'
import { Recording } from '@firstcrank/decoder'
import { answerRequest, FeedError, servePort } from '@firstcrank/feed'
import { portOf } from './port.js'
import { readLog } from './read-log.js'
import { makeReport } from './report.js'

/** A log, and where questions about it come from. */
export interface OpenLog {
  readonly file: Blob
  readonly name: string
  readonly port: MessagePort
}

/** A log that is being read. */
export interface ServedLog {
  readonly name: string
  readonly recording: Recording
  /** Settles when it has been read; rejects with a {@link FeedError} where it is no log. */
  readonly read: Promise<void>
  /** Made once. Ask when it has been read. */
  report(): Report
}

/** Starts reading a log and answering. */
export function serveLog({ file, name, port }: OpenLog): ServedLog {
  const recording = new Recording({ summary: true })
  const epoch = `${performance.timeOrigin}`
  let complete = false
  let failure: FeedError | undefined
  let made: Report | undefined
  const report = (): Report => {
    made ??= makeReport(recording, name)
    return made
  }
  const { progress } = servePort(portOf(port), (request) => {
    if (failure !== undefined) throw failure
    if (request.ask === 'report' && !complete) throw new FeedError('not-ready', 'the log is still being read')
    return answerRequest({ recording, epoch, complete, report }, request)
  })
  const read = async (): Promise<void> => {
    try {
      await readLog(file, recording, (bytes) => progress({ complete: false, bytes, total: file.size }))
    } catch (error) {
      failure = new FeedError('not-a-log', error instanceof Error ? error.message : String(error))
    }
    const { extended, standard, remote, error } = recording.counts
    if (failure === undefined && extended + standard + remote + error === 0) {
      failure = new FeedError('not-a-log', file.size === 0 ? 'The file is empty.' : '')
    }
    complete = true
    progress({ complete: true, bytes: file.size, total: file.size })
    if (failure !== undefined) throw failure
  }
  return { name, recording, report, read: read() }
}
