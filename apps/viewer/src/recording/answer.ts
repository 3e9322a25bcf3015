/** What a server says to a question: what was asked for, or why not. */
import { FeedError, type ProblemDetails } from '@firstcrank/feed'

/**
 * What an answer holds.
 *
 * @throws {FeedError} with the server's code, where it refuses
 */
export async function answerOf<Answer>(response: Response): Promise<Answer> {
  if (!response.ok) throw await refusalOf(response)
  return response.json()
}

/** Why a server refuses. Where another answers in its place, as a folder of files does, the status has to do. */
export async function refusalOf(response: Response): Promise<FeedError> {
  const said: Partial<ProblemDetails> | null = await response.json().catch(() => null)
  const unsaid = response.status === 404 ? 'run-not-found' : 'internal'
  return new FeedError(said?.code ?? unsaid, said?.detail ?? `${response.status}`)
}
