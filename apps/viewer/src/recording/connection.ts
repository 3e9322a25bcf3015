/** The connection to a server; loaded only where there is one. */
import { FEED_PATH, FEED_VERSION, FeedClient, type ServerInfo, type SourceInfo } from '@firstcrank/feed'
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
    connect: (protocol) => {
      const socket = new WebSocket(address, protocol)
      let opened = false
      socket.addEventListener('open', () => {
        opened = true
      })
      socket.addEventListener('close', () => {
        if (!opened && !older) noteOtherFeed().catch(reportError)
      })
      return socket
    },
    retry: RETRY,
    onConnected: (connected) => noteCut(connect, !connected),
    onSources,
    onLibrary,
  })
}

/** Whether the server is known to speak another version of the feed. */
let older = false

/**
 * Notes where the server speaks another version of the feed than these pages. It refuses them before it says
 * hello, and a browser does not tell why: only its answer to another question does.
 */
async function noteOtherFeed(): Promise<void> {
  const info: Partial<ServerInfo> | null = await fetch('api/server', { cache: 'no-store' })
    .then((response) => response.json())
    .catch(() => null)
  if (info?.name !== 'firstcrank' || info.feed === FEED_VERSION) return
  older = true
  noteOlder()
}
