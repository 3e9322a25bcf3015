/** `firstcrank serve`: the server, until somebody stops it. */
import type { RunningServer, ServerOptions } from '@firstcrank/server'
import { renderUnicodeCompact } from 'uqr'
import type { RunCommand } from './commands.js'
import { serverError } from './library.js'
import { openBrowser } from './open-browser.js'
import type { Io, Output } from './output.js'
import { serveOptions } from './serve-options.js'

/** Starts the server, says where it is, and ends it at the first signal to do so. */
export const serve: RunCommand = async (args, io, output) => {
  const { startServer } = await import('@firstcrank/server')
  let running: RunningServer | undefined
  const early: (() => void)[] = []
  /** What is told while the server starts is shown when that is done: where it is comes first. */
  const say = (write: () => void): void => {
    if (running === undefined) {
      early.push(write)
      return
    }
    write()
    // Nobody waits for it: whoever looks at the terminal sees it.
    output.flush().catch(() => undefined)
  }
  const options = await serveOptions(args, io, {
    onCode: (code) => say(() => sayCode(code, running?.pairUrl, io, output)),
    onNotice: (text) => say(() => output.add(`${text}\n`)),
  })
  const stopped = signalled()
  try {
    running = await startServer(options)
  } catch (error) {
    throw serverError(error, args)
  }
  try {
    sayWhere(running, options, output)
    for (const write of early) write()
    await output.flush()
    if (args.has('open')) openBrowser(running.url, io.stdin.isTTY === true)
    const signal = await stopped
    output.add(`\n${signal}: stopping ...\n`)
    await output.flush()
  } finally {
    await running.stop()
  }
}

function sayWhere(server: RunningServer, { lan, library, viewer }: ServerOptions, output: Output): void {
  output.add(`firstcrank is at ${server.url}\n`)
  output.add(`  library: ${library}\n`)
  if (viewer === undefined) output.add('  The viewer has not been built; see: npm run build\n')
  if (lan) {
    output.add('Other devices on the network find it at:\n')
    for (const url of server.lanUrls) output.add(`  ${url}\n`)
    output.add('Each has to be paired once, with the code shown here. The connection is not encrypted.\n')
  } else {
    output.add('  Only this machine can reach it; --lan lets other devices in.\n')
  }
  output.add('Ctrl-C stops it.\n')
}

/** Modules around a QR code that stay empty. Source: ISO/IEC 18004, from memory. */
const QUIET = 4

/** Shows the code; to a person at a terminal also as a QR code that a telephone's camera reads. */
export function sayCode(code: string, url: string | undefined, io: Io, output: Output): void {
  output.add(`\nCode for the next device: ${code}\n`)
  const address = `${url}?code=${code}`
  if (url === undefined || !io.stdout.isTTY) return
  output.addLines(renderUnicodeCompact(address, { border: QUIET }).split('\n'))
  output.add(`  ${address}\n`)
}

/** The first signal to stop. A second one ends the process at once, as it would without us. */
function signalled(): Promise<NodeJS.Signals> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => resolve(signal))
  })
}
