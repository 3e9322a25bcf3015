/** What `firstcrank serve` was asked for → how the server is set up; wrong things are refused before it starts. */
import { realpath } from 'node:fs/promises'
import { Readable } from 'node:stream'
import type { LiveOption, Outside, ServerOptions } from '@firstcrank/server'
import type { Arguments } from './arguments.js'
import { CommandError, fileProblem } from './command-error.js'
import { ownDefinitions } from './log-options.js'
import type { Io } from './output.js'

const MEGABYTE = 2 ** 20
const LOG_LEVELS: readonly string[] = ['debug', 'info', 'warn', 'error']

/** Whom the server tells what; see `ServerOptions`. */
type Listeners = Pick<ServerOptions, 'onCode' | 'onNotice'>

/** @throws {CommandError} 2, where an option is wrong; 3, where a log or folder cannot be shown */
export async function serveOptions(args: Arguments, io: Io, listeners: Required<Listeners>): Promise<ServerOptions> {
  const { builtViewer, createLog, defaultLibrary } = await import('@firstcrank/server')
  const level = args.text('log') ?? 'warn'
  if (!LOG_LEVELS.includes(level)) throw new CommandError(2, `--log ${level}: one of ${LOG_LEVELS.join(', ')}`)
  const viewer = builtViewer()
  const memory = numberOf(args, 'memory', 16, 1_000_000)
  const maxUpload = numberOf(args, 'max-upload', 1, 1_000_000)
  const syncEvery = numberOf(args, 'sync-every', 0.05, 3_600)
  const port = numberOf(args, 'port', 0, 65_535)
  return {
    library: args.text('library') ?? defaultLibrary(),
    outside: await Promise.all(args.positionals.map((place) => placeOf(place, listeners.onNotice))),
    live: await liveFrom(args, io),
    lan: args.has('lan'),
    allowHosts: args.texts('allow-host') ?? [],
    definitions: await ownDefinitions(args),
    log: createLog(level, io.stderr),
    ...listeners,
    ...(port === undefined ? {} : { port }),
    ...(viewer === undefined ? {} : { viewer }),
    ...(memory === undefined ? {} : { memory: memory * MEGABYTE }),
    ...(maxUpload === undefined ? {} : { maxUpload: maxUpload * MEGABYTE }),
    ...(syncEvery === undefined ? {} : { recorder: { syncEvery: syncEvery * 1_000 } }),
  }
}

/** Where a log or folder really is. A folder may be filled later: that it is empty is only said. */
async function placeOf(place: string, onNotice: (text: string) => void): Promise<string> {
  const { whatIsAt } = await import('@firstcrank/server')
  let found: Outside
  try {
    found = await whatIsAt(place)
  } catch (error) {
    const missing = (error as NodeJS.ErrnoException).code === 'ENOENT'
    throw new CommandError(3, `${place}: ${missing ? 'there is no such file or folder' : fileProblem(error)}`)
  }
  if (found === 'no-log') throw new CommandError(3, `${place} is not a log: no line of it can be read as a CAN frame`)
  if (found === 'no-file')
    throw new CommandError(3, `${place} is no file; what comes through a pipe is read by --live -`)
  if (found === 'no-logs') {
    onNotice(`${place} holds no log so far: no *.log, *.txt or *.candump, plain or .gz; one that is put there is shown`)
  }
  // The library follows no links: where a person points at one, what it leads to is meant.
  return realpath(place)
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
