/** An engine profile on disk. */
import type { Profile } from '@firstcrank/analysis'
import { CommandError } from './command-error.js'
import { readTextFile } from './text-file.js'

/** Mistakes of a profile that are shown. */
const MISTAKES_SHOWN = 10

/**
 * Reads a profile.
 *
 * @param place what to begin a complaint with: where the file was named
 * @throws {CommandError} 3 where it cannot be read, 4 where it cannot be used
 */
export async function readProfile(place: string, name: string): Promise<Profile> {
  const text = await readTextFile(place, name)
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
