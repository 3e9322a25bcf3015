/** The connection to a server; loaded only where there is one. */
import { FEED_PATH, FeedClient, type SourceInfo } from '@firstcrank/feed'

/** Connects to the server these pages came from. */
export function connect(
  onSources: (sources: readonly SourceInfo[]) => void,
  onLibrary: (revision: number) => void,
): FeedClient {
  const address = new URL(FEED_PATH.slice(1), document.baseURI)
  address.protocol = address.protocol.replace('http', 'ws')
  return new FeedClient({ connect: (protocol) => new WebSocket(address, protocol), onSources, onLibrary })
}
