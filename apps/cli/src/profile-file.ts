/** An engine profile on disk. */
import { readFile } from 'node:fs/promises'
import type { Profile } from '@firstcrank/analysis'
import { CommandError, fileProblem } from './command-error.js'

/** Mistakes of a profile that are shown. */
const MISTAKES_SHOWN = 10

/**
 * Reads a profile.
 *
 * @param place what to begin a complaint with: where the file was named
 * @throws {CommandError} 3 where it cannot be read, 4 where it cannot be used
 */
export async function readProfile(place: string, name: string): Promise<Profile> {
  let text: string
  try {
    text = await readFile(name, 'utf8')
  } catch (error) {
    throw new CommandError(3, `${place}: cannot read it: ${fileProblem(error)}`, { cause: error })
  }
  const { ProfileError, parseProfile } = await import('@firstcrank/analysis')
  try {
    return parseProfile(text)
  } catch (error) {
    if (!(error instanceof ProfileError)) throw error
    const { problems } = error
    const shown = problems.slice(0, MISTAKES_SHOWN).map((problem) => `\n  ${problem}`)
    const more = problems.length > MISTAKES_SHOWN ? `\n  and ${problems.length - MISTAKES_SHOWN} more` : ''
    throw new CommandError(4, `${place}: cannot be used:${shown.join('')}${more}`, { cause: error })
  }
}
