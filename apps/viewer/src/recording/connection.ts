/** The connection to a server; loaded only where there is one. */
import { FEED_PATH, FeedClient, type SourceInfo } from '@firstcrank/feed'
import { noteCut, noteOlder } from './contact.js'

/** Milliseconds between tries to come back, at first and at most: who waits at the engine sees it within two seconds. */
const RETRY = { first: 250, longest: 2_000 }

/** Connects to the server these pages came from. */
export function connect(
  onSources: (sources: readonly SourceInfo[]) => void,
  onLibrary: (revision: number) => void,
): FeedClient {
  const address = new URL(FEED_PATH.slice(1), document.baseURI)
  address.protocol = address.protocol.replace('http', 'ws')
  return new FeedClient({
    connect: (protocol) => new WebSocket(address, protocol),
    retry: RETRY,
    onConnected: (connected) => noteCut(connect, !connected),
    onSources,
    onLibrary,
    onProblem: ({ code }) => {
      if (code === 'feed-version') noteOlder()
    },
  })
}
