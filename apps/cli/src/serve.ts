/** `firstcrank serve`: the server, until somebody stops it. */
import { existsSync } from 'node:fs'
import { Readable } from 'node:stream'
import type { LiveOption, RunningServer, ServerOptions } from '@firstcrank/server'
import type { Arguments } from './arguments.js'
import { CommandError } from './command-error.js'
import type { RunCommand } from './commands.js'
import { serverError } from './library.js'
import { ownDefinitions } from './log-options.js'
import type { Io, Output } from './output.js'

const MEGABYTE = 2 ** 20
const LOG_LEVELS: readonly string[] = ['debug', 'info', 'warn', 'error']

/** Starts the server, says where it is, and ends it at the first signal to do so. */
export const serve: RunCommand = async (args, io, output) => {
  const { startServer } = await import('@firstcrank/server')
  let running: RunningServer | undefined
  let firstCode: string | undefined
  const options = await optionsFrom(args, io, (code) => {
    // The first comes while the server starts: it is shown when that is done.
    if (running === undefined) firstCode = code
    else sayCode(code, output)
  })
  try {
    running = await startServer(options)
  } catch (error) {
    throw serverError(error, args)
  }
  const stopped = signalled()
  try {
    sayWhere(running, options, output)
    if (firstCode !== undefined) sayCode(firstCode, output)
    await output.flush()
    const signal = await stopped
    output.add(`\n${signal}: stopping ...\n`)
    await output.flush()
  } finally {
    await running.stop()
  }
}

async function optionsFrom(args: Arguments, io: Io, onCode: (code: string) => void): Promise<ServerOptions> {
  const { builtViewer, createLog, defaultLibrary } = await import('@firstcrank/server')
  for (const place of args.positionals) {
    if (!existsSync(place)) throw new CommandError(3, `${place}: there is no such file or folder`)
  }
  const level = args.text('log') ?? 'warn'
  if (!LOG_LEVELS.includes(level)) throw new CommandError(2, `--log ${level}: one of ${LOG_LEVELS.join(', ')}`)
  const viewer = builtViewer()
  const memory = numberOf(args, 'memory', 16, 1_000_000)
  const maxUpload = numberOf(args, 'max-upload', 1, 1_000_000)
  const syncEvery = numberOf(args, 'sync-every', 0.05, 3_600)
  const port = numberOf(args, 'port', 0, 65_535)
  return {
    library: args.text('library') ?? defaultLibrary(),
    outside: args.positionals,
    live: await liveFrom(args, io),
    lan: args.has('lan'),
    allowHosts: args.texts('allow-host') ?? [],
    definitions: await ownDefinitions(args),
    log: createLog(level, io.stderr),
    onCode,
    ...(port === undefined ? {} : { port }),
    ...(viewer === undefined ? {} : { viewer }),
    ...(memory === undefined ? {} : { memory: memory * MEGABYTE }),
    ...(maxUpload === undefined ? {} : { maxUpload: maxUpload * MEGABYTE }),
    ...(syncEvery === undefined ? {} : { recorder: { syncEvery: syncEvery * 1_000 } }),
  }
}

async function liveFrom(args: Arguments, io: Io): Promise<LiveOption[]> {
  const { StreamSource } = await import('@firstcrank/server')
  const record = args.has('no-record') ? { record: false } : {}
  return (args.texts('live') ?? []).map((source) => ({
    source: source === '-' ? new StreamSource(streamOf(io.stdin)) : source,
    ...record,
  }))
}

/** The process's own input is taken as it is: one made of it could not be closed, and would keep the process. */
function streamOf(input: Io['stdin']): Readable {
  return input instanceof Readable ? input : Readable.from(input, { objectMode: false })
}

/** @throws {CommandError} 2, where it is no number of that size */
function numberOf(
  args: Arguments,
  name: 'port' | 'memory' | 'max-upload' | 'sync-every',
  low: number,
  high: number,
): number | undefined {
  const text = args.text(name)
  if (text === undefined) return undefined
  const value = Number(text)
  if (text.trim() !== '' && value >= low && value <= high && (name !== 'port' || Number.isInteger(value))) return value
  throw new CommandError(2, `--${name} ${text}: a number from ${low} to ${high}`)
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

function sayCode(code: string, output: Output): void {
  output.add(`\nCode for the next device: ${code}\n`)
  // Nobody waits for it: whoever looks at the terminal sees it.
  output.flush().catch(() => undefined)
}

/** The first signal to stop. A second one ends the process at once, as it would without us. */
function signalled(): Promise<NodeJS.Signals> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => resolve(signal))
  })
}
