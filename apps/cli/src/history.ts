/** `firstcrank history`: many runs of one vehicle in a row. */
import { readdir, stat } from 'node:fs/promises'
import { join } from 'node:path'
import type { FixNote, HistoryEntry } from '@firstcrank/analysis'
import { CommandError, fileProblem } from './command-error.js'
import type { RunCommand } from './commands.js'
import { type Json, toJson } from './json.js'
import { logOptions } from './log-options.js'
import { openRun, profileOf, unitsOf, WIDTH } from './runs.js'
import { readTextFile } from './text-file.js'

const LOG = /\.log(?:\.gz)?$/

/** Writes the history of the logs of a folder, or of those named. */
export const history: RunCommand = async (args, io, output) => {
  const format = args.format()
  if (args.positionals.length === 0) throw new CommandError(2, 'history needs a folder of logs, or their names')
  const profile = await profileOf(args)
  const units = unitsOf(args, profile)
  const notes = await notesOf(args.text('notes'))
  const options = await logOptions(args)
  const names = (await Promise.all(args.positionals.map(logsOf))).flat()
  const { historyEntry, historyOf, renderHistory } = await import('@firstcrank/analysis')
  const entries: HistoryEntry[] = []
  // One after the other, and only what the history needs is kept of each.
  for (const name of names) entries.push(historyEntry(await openRun(name, io, options, profile)))
  const found = historyOf(entries, notes)
  if (format === 'json') output.add(`${toJson(found as unknown as Json)}\n`)
  else output.add(renderHistory(found, format as 'text' | 'html' | 'md', { units, width: WIDTH }))
}

/** The logs of a folder in order of their names; a file is itself. */
async function logsOf(name: string): Promise<string[]> {
  try {
    if (!(await stat(name)).isDirectory()) return [name]
    const logs = (await readdir(name)).filter((file) => LOG.test(file)).sort()
    if (logs.length > 0) return logs.map((file) => join(name, file))
  } catch (error) {
    throw new CommandError(3, `cannot read ${name}: ${fileProblem(error)}`, { cause: error })
  }
  throw new CommandError(3, `cannot read ${name}: no file in it ends in .log or .log.gz`)
}

/** A day, a time of day where one is given, and a zone where it is another than UTC. */
const MOMENT = /^(\d{4}-\d\d-\d\d)(?:[T ](\d\d:\d\d(?::\d\d(?:\.\d+)?)?)(Z|[+-]\d\d:\d\d)?)?$/

/** Microseconds since the epoch, the same on every machine; NaN for what is no date. */
function noteTime(at: string): number {
  const [, day, clock = '00:00', zone = 'Z'] = MOMENT.exec(at) ?? []
  return Date.parse(`${day}T${clock}${zone}`) * 1000
}

/** Notes of what was done: a JSON list of `at`, a date and time, and `text`. */
async function notesOf(name: string | undefined): Promise<FixNote[]> {
  if (name === undefined) return []
  const text = await readTextFile(`--notes ${name}`, name)
  try {
    const list: unknown = JSON.parse(text)
    if (!Array.isArray(list)) throw new TypeError('it is no list')
    return list.map((item: { at?: unknown; text?: unknown } | null) => {
      const time = noteTime(String(item?.at))
      if (Number.isNaN(time) || typeof item?.text !== 'string') {
        throw new TypeError('each note has "at", a date and time, and "text"')
      }
      return { time, text: item.text }
    })
  } catch (error) {
    const [why] = String((error as Error).message).split('\n')
    throw new CommandError(4, `--notes ${name}: cannot be used: ${why}`, { cause: error })
  }
}
