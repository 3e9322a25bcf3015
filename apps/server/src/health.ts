/** How a server is: what `/healthz` says. */
import type { Health } from '@firstcrank/feed'
import { missing } from './live/recorder-notice.js'
import type { Sessions } from './live/sessions.js'

/** Well, unless something that should be recorded is not, or the server is stopping. */
export function healthOf(sessions: Sessions, isStopping: boolean): Health {
  const problems = sessions
    .list()
    .flatMap(({ title, recorder }) =>
      recorder?.state === 'disk-full' || recorder?.state === 'failed' ? [missing(title, recorder.detail)] : [],
    )
  const status = isStopping ? 'stopping' : problems.length > 0 ? 'degraded' : 'ok'
  return { status, problems, uptime: process.uptime() }
}
