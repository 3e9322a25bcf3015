/** `firstcrank check`: what a recorded run means, with the verdict first. */
import { basename } from 'node:path'
import type { Profile, Report, UnitSystem } from '@firstcrank/analysis'
import { openRecording } from '@firstcrank/decoder'
import type { Arguments } from './arguments.js'
import { CommandError } from './command-error.js'
import type { RunCommand } from './commands.js'
import { type Json, toJson } from './json.js'
import { readLog } from './log-file.js'
import { logOptions } from './log-options.js'
import { readProfile } from './profile-file.js'

/** Characters in a line of the report. */
const WIDTH = 100

/** Writes the report on a log. With `--fail-on`, what was found decides how the command ends. */
export const check: RunCommand = async (args, io, output) => {
  const format = args.format()
  const name = args.logName()
  const failOn = choice(args, 'fail-on', ['caution', 'fail'])
  const asked = choice(args, 'units', ['metric', 'us'])
  const options = await logOptions(args)
  const profileName = args.text('profile')
  const profile = profileName === undefined ? undefined : await readProfile(`--profile ${profileName}`, profileName)
  const { analyse } = await import('@firstcrank/analysis')
  const recording = await openRecording(readLog(name, io), { ...options, summary: true })
  const report = analyse(recording, profile, name === '-' ? {} : { name: basename(name) })
  output.add(await written(report, format, asked ?? unitsOf(profile)))
  if (failOn !== undefined && isBad(report, failOn)) {
    await output.flush()
    throw new CommandError(5, `--fail-on ${failOn}: ${report.conclusion.verdict}`)
  }
}

async function written(report: Report, format: string, units: UnitSystem): Promise<string> {
  const { renderHtml, renderMarkdown, renderText } = await import('@firstcrank/analysis')
  switch (format) {
    case 'json':
      return `${toJson(report as unknown as Json)}\n`
    case 'html':
      return renderHtml(report, { units })
    case 'md':
      return renderMarkdown(report, { units })
    default:
      return renderText(report, { units, width: WIDTH })
  }
}

function unitsOf(profile: Profile | undefined): UnitSystem {
  return profile?.units ?? 'metric'
}

/** Whether what was found is as bad as asked, or worse. */
function isBad({ conclusion }: Report, failOn: 'caution' | 'fail'): boolean {
  return conclusion.level === 'fail' || (failOn === 'caution' && conclusion.level === 'caution')
}

/**
 * The value of an option that is one of a few words; undefined where it was not given.
 *
 * @throws {CommandError} 2, where it is another word
 */
function choice<const T extends string>(
  args: Arguments,
  name: 'fail-on' | 'units',
  words: readonly T[],
): T | undefined {
  const word = args.text(name)
  if (word === undefined) return undefined
  const known = words.find((candidate) => candidate === word)
  if (known === undefined) throw new CommandError(2, `--${name} ${word}: it takes ${words.join(' or ')}`)
  return known
}
