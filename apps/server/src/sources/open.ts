/** What a person writes for a live source → the source. */
import type { LiveOption } from '../options.js'
import { FollowSource } from './follow.js'
import { type Source, SourceError } from './source.js'
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

/**
 * Opens several. A pipe or socket has one reader, and a recording one writer; a file can be read by many, and
 * two of one name are not the same.
 *
 * @throws {SourceError} `bad-address`
 */
export function openSources(live: readonly LiveOption[]): OpenedSource[] {
  const opened = live.map(({ source, record }) => openSource(source, record))
  const titles = opened
    .filter(({ source, record }) => record || source.kind !== 'file')
    .map(({ source }) => source.title)
  const twice = titles.find((title, index) => titles.indexOf(title) !== index)
  if (twice !== undefined) throw new SourceError('bad-address', `${twice} is given twice`)
  return opened
}

function sourceFrom(text: string): Source {
  if (text === '-') return new StreamSource(process.stdin)
  if (!/^tcp(-listen)?:/i.test(text)) return new FollowSource(text)
  const { listen, ...address } = parseTcpAddress(text)
  return listen ? new TcpListenSource(address) : new TcpConnectSource(address)
}
