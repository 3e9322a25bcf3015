/** Streams with an end. */
import { FeedError } from '@firstcrank/feed'

/** Passes a stream on until it is too long. @throws {FeedError} `too-large` */
export function limited(most: number): (source: AsyncIterable<Uint8Array>) => AsyncGenerator<Uint8Array> {
  return async function* (source) {
    let bytes = 0
    for await (const chunk of source) {
      bytes += chunk.length
      if (bytes > most) throw new FeedError('too-large', `more than ${most} bytes`)
      yield chunk
    }
  }
}
