/** Runs to be compared: opened, and analysed. */
import { basename } from 'node:path'
import type { Profile, Run, UnitSystem } from '@firstcrank/analysis'
import { openRecording, type SummaryOptions } from '@firstcrank/decoder'
import type { Arguments } from './arguments.js'
import { CommandError } from './command-error.js'
import { readLog } from './log-file.js'
import type { Io } from './output.js'
import { readProfile } from './profile-file.js'

/** Characters in a line of text. */
export const WIDTH = 100

/** Opens a log and analyses it. */
export async function openRun(
  name: string,
  io: Io,
  options: SummaryOptions,
  profile: Profile | undefined,
): Promise<Run> {
  const { analyse } = await import('@firstcrank/analysis')
  const recording = await openRecording(readLog(name, io), { ...options, summary: true })
  const title = name === '-' ? 'standard input' : basename(name)
  const report = analyse(recording, profile, { name: title })
  return { recording, report, title, ...(profile === undefined ? {} : { profile }) }
}

/** The profile that `--profile` names; undefined where it was not given. */
export async function profileOf(args: Arguments): Promise<Profile | undefined> {
  const name = args.text('profile')
  return name === undefined ? undefined : await readProfile(`--profile ${name}`, name)
}

/**
 * Units asked for, else those of the profile, else metric.
 *
 * @throws {CommandError} 2, where there are no such units
 */
export function unitsOf(args: Arguments, profile: Profile | undefined): UnitSystem {
  const word = args.text('units') ?? profile?.units ?? 'metric'
  if (word !== 'metric' && word !== 'us') throw new CommandError(2, `--units ${word}: it takes metric or us`)
  return word
}
