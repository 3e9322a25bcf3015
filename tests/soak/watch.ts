/** A bus at full load, a server, and many viewers: each in a process of its own. */
import { execFile } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { startProcess } from '../server/process.js'
import { ask, later } from '../server/support.js'
import { FULL_LOAD, Traffic, WATCHED } from './traffic.js'

const run = promisify(execFile)
const VIEWERS = fileURLToPath(new URL('viewers.js', import.meta.url))

/** What the viewers saw, all together. Delays are milliseconds from the writing of a line to a viewer's hands. */
export interface Seen {
  readonly messages: number
  readonly skipped: number
  readonly gaps: number
  readonly resets: number
  readonly batches: number
  readonly overviews: number
  readonly broken: number
  readonly p50: number
  readonly p99: number
  readonly p999: number
  /** Lines a second that were written. */
  readonly rate: number
  /** Seconds of processor time of the server for each second. */
  readonly load: number
}

/**
 * Lets so many viewers watch a full bus for some seconds.
 *
 * @param meanwhile something else that the server, at a port, is asked for; the viewers' time has to suffice
 */
export async function watchFullBus(
  library: string,
  count: number,
  seconds: number,
  meanwhile: (port: number) => Promise<void> = async () => undefined,
): Promise<Seen> {
  const server = await startProcess({ library, port: 0, live: [{ source: '-' }], maxClients: count + 10 })
  later(() => server.kill())
  const traffic = new Traffic((text) => server.child.stdin.write(text), FULL_LOAD)
  try {
    const begun = performance.now()
    const options = { port: server.port, recording: `live:${server.sources[0]}`, signals: WATCHED, count, seconds }
    const [{ stdout }] = await Promise.all([
      run(process.execPath, [VIEWERS, JSON.stringify(options)]),
      meanwhile(server.port),
    ])
    const took = (performance.now() - begun) / 1_000
    const { text } = await ask(server.port, '/metrics')
    const used = Number(/^firstcrank_processor_seconds_total ([\d.]+)/m.exec(text)?.[1])
    return { ...JSON.parse(stdout), rate: traffic.lines / took, load: used / took }
  } finally {
    traffic.stop()
    await server.stop()
  }
}
