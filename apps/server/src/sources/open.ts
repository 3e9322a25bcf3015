/** What a person writes for a live source → the source. */
import { FollowSource } from './follow.js'
import type { Source } from './source.js'
import { StreamSource } from './stream.js'
import { parseTcpAddress, TcpConnectSource, TcpListenSource } from './tcp.js'

/** A source, and whether what it sends is to be recorded. */
export interface OpenedSource {
  readonly source: Source
  readonly record: boolean
}

/**
 * Opens `-`, `tcp://host:port`, `tcp-listen://host:port` or the path of a file that grows.
 *
 * @param record default: yes, but for a file, which is a recording already
 * @throws {SourceError} `bad-address`
 */
export function openSource(which: string | Source, record?: boolean): OpenedSource {
  const source = typeof which === 'string' ? sourceFrom(which) : which
  return { source, record: record ?? source.kind !== 'file' }
}

function sourceFrom(text: string): Source {
  if (text === '-') return new StreamSource(process.stdin)
  if (!/^tcp(-listen)?:/i.test(text)) return new FollowSource(text)
  const { listen, ...address } = parseTcpAddress(text)
  return listen ? new TcpListenSource(address) : new TcpConnectSource(address)
}
