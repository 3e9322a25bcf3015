/** Engine profiles as they come from a person: checked by the analysis. */
import { NO_PROFILE, type Profile, ProfileError, parseProfile } from '@firstcrank/analysis'
import { FeedError } from '@firstcrank/feed'

/**
 * A profile out of its JSON; the defaults where there is none.
 *
 * @throws {FeedError} `bad-profile`, its errors naming each field
 */
export function checkProfile(json: unknown): Profile {
  if (json === null || json === undefined) return NO_PROFILE
  try {
    return parseProfile(JSON.stringify(json))
  } catch (error) {
    if (!(error instanceof ProfileError)) throw error
    const errors = error.problems.map((problem) => {
      const [path = '', ...message] = problem.split(': ')
      return { path, message: message.join(': ') }
    })
    throw new FeedError('bad-profile', error.problems[0] ?? error.code, errors)
  }
}
