/** What a client says → a message that has been checked. */
import { badRequest, clientMessage, FeedError, messageId } from '@firstcrank/feed'
import type { RawData } from 'ws'
import type { z } from 'zod'

/** A message in the right form. */
export type ClientSays = z.output<typeof clientMessage>

/** A message in the wrong form, with its id where it has one. */
export class WrongMessage extends Error {
  readonly id: number | null
  readonly error: FeedError

  constructor(error: FeedError, id: number | null) {
    super(error.message)
    this.error = error
    this.id = id
  }
}

/** @throws {WrongMessage} */
export function parseMessage(data: RawData, isBinary: boolean): ClientSays {
  if (isBinary) throw new WrongMessage(new FeedError('bad-request', 'clients send text'), null)
  let json: unknown
  try {
    json = JSON.parse(String(data))
  } catch {
    throw new WrongMessage(new FeedError('bad-request', 'not JSON'), null)
  }
  const result = clientMessage.safeParse(json)
  if (result.success) return result.data
  const id = messageId.safeParse((json as { id?: unknown } | null)?.id)
  throw new WrongMessage(badRequest(result.error), id.success ? id.data : null)
}
