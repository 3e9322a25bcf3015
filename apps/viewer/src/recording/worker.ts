/**
 * The worker of one recording: reads a log and answers what the page asks of it. Requests are answered
 * while the log is still being read, so that the first picture does not wait for the last byte.
 */
import { Recording } from '@firstcrank/decoder'
import { answerRequest, FeedError, servePort } from '@firstcrank/feed'
import { portOf } from './port.js'
import { readLog } from './read-log.js'
import { makeReport } from './report.js'

/** What a worker is started with. */
export interface OpenLog {
  readonly file: Blob
  readonly name: string
  readonly port: MessagePort
}

addEventListener('message', ({ data }: MessageEvent<OpenLog>) => {
  open(data).catch((error: unknown) => reportError(error))
})

async function open({ file, name, port }: OpenLog): Promise<void> {
  const recording = new Recording({ summary: true })
  const epoch = `${performance.timeOrigin}`
  let complete = false
  let failure: FeedError | undefined
  let report: unknown
  const { progress } = servePort(portOf(port), (request) => {
    if (failure !== undefined) throw failure
    if (request.ask === 'report' && !complete) throw new FeedError('not-ready', 'the log is still being read')
    return answerRequest(
      {
        recording,
        epoch,
        complete,
        report: () => {
          report ??= makeReport(recording, name)
          return report
        },
      },
      request,
    )
  })
  try {
    await readLog(file, recording, (bytes) => progress({ complete: false, bytes, total: file.size }))
  } catch (error) {
    failure = new FeedError('not-a-log', error instanceof Error ? error.message : String(error))
  }
  const { extended, standard, remote, error } = recording.counts
  if (failure === undefined && extended + standard + remote + error === 0) {
    failure = new FeedError('not-a-log', 'no line of it can be read as a CAN frame')
  }
  complete = true
  progress({ complete: true, bytes: file.size, total: file.size })
}
