/** What went wrong → problem details (RFC 9457), and a page for each code. */
import {
  describeProblem,
  FeedError,
  PROBLEMS_BY_CODE,
  type ProblemDetails,
  type ProblemDetailsCode,
} from '@firstcrank/feed'
import type { ErrorRequestHandler, RequestHandler } from 'express'
import type { Logger } from 'pino'
import type { Metrics } from '../metrics.js'

export const PROBLEM_TYPE = 'application/problem+json'

/** Codes of the web framework's own errors, by HTTP status. */
const BY_STATUS: Readonly<Record<number, ProblemDetailsCode>> = {
  404: 'not-found',
  413: 'too-large',
  415: 'unsupported-media-type',
  416: 'range-not-satisfiable',
}

/** What is said of a connection that the other side has broken off. */
const BROKEN_OFF = new Set([
  'ECONNABORTED',
  'ECONNRESET',
  'EPIPE',
  'ERR_STREAM_DESTROYED',
  'ERR_STREAM_PREMATURE_CLOSE',
  'ERR_STREAM_UNABLE_TO_PIPE',
])

const isBrokenOff = (error: unknown): boolean => BROKEN_OFF.has(String((error as NodeJS.ErrnoException).code))

/** Answers every error. What is not ours to explain goes to the log, not to the client. */
export function problemHandler(log: Logger, metrics: Metrics): ErrorRequestHandler {
  return (error: unknown, _request, response, next) => {
    if (response.destroyed && isBrokenOff(error)) {
      // The client has gone: nobody is left to be told, and nobody made a mistake.
      log.debug({ err: error }, 'the client has gone')
      return
    }
    const problem = problemOf(error)
    if (problem.code === 'internal') log.error({ err: error }, 'request failed')
    metrics.add('firstcrank_refused', 1, `code="${problem.code}"`)
    // Also a stream that fails on our side takes the response with it.
    if (response.destroyed) return
    if (response.headersSent) {
      // Half an answer must not look like a whole one.
      next(error)
      response.destroy()
      return
    }
    response.removeHeader('ETag')
    response.removeHeader('Cache-Control')
    response.removeHeader('Content-Disposition')
    if (problem.status === 429) response.set('Retry-After', '1')
    if (problem.status === 401) response.set('WWW-Authenticate', 'Bearer realm="firstcrank"')
    response.status(problem.status).type(PROBLEM_TYPE).send(JSON.stringify(problem))
  }
}

function problemOf(error: unknown): ProblemDetails {
  if (error instanceof FeedError) {
    return error.code === 'internal' ? describeProblem('internal', 'see the log of the server') : error.problem
  }
  const { status, code, message, type } = error as { status?: number; code?: string; message?: string; type?: string }
  if (code === 'ENOENT') return describeProblem('file-missing', 'the log is not where it was')
  if (code === 'ENOSPC') return describeProblem('disk-full', 'the disk is full')
  if (type === 'entity.parse.failed') return describeProblem('bad-request', 'the body is not an object in JSON')
  if (status !== undefined && status >= 400 && status < 500) {
    return describeProblem(BY_STATUS[status] ?? 'bad-request', message ?? '')
  }
  return describeProblem('internal', 'see the log of the server')
}

/** Explains a code: what a problem's `type` points to. */
export const problemPage: RequestHandler = (request, response) => {
  const code = request.params['code'] as string
  if (!Object.hasOwn(PROBLEMS_BY_CODE, code)) throw new FeedError('not-found', `no problem has the code ${code}`)
  const { status, title } = PROBLEMS_BY_CODE[code as ProblemDetailsCode]
  response.type('text/plain').send(`${code} (HTTP ${status})\n\n${title}\n`)
}
