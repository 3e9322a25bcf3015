/** Sockets to the feed: the same checks as for HTTP, before a connection becomes one. */
import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import { FEED_PATH, FEED_PROTOCOL, FeedError, MAX_CLIENT_BYTES, PROBLEMS_BY_CODE } from '@firstcrank/feed'
import type { Logger } from 'pino'
import { WebSocketServer } from 'ws'
import type { Guard } from '../http/guard.js'
import type { Metrics } from '../metrics.js'
import type { FeedHub } from './hub.js'

/** What upgrades need. */
export interface UpgradeOptions {
  readonly guard: Guard
  readonly hub: FeedHub
  readonly maxClients: number
  readonly metrics: Metrics
  readonly log: Logger
  readonly isStopping: () => boolean
}

/** Takes upgrade requests of an HTTP server. */
export function upgradeHandler(
  options: UpgradeOptions,
): (request: IncomingMessage, socket: Duplex, head: Buffer) => void {
  const { hub, metrics, log } = options
  const server = new WebSocketServer({
    noServer: true,
    // Columns of numbers hardly shrink, and a live feed has no time for it.
    perMessageDeflate: false,
    maxPayload: MAX_CLIENT_BYTES,
    handleProtocols: (offered) => (offered.has(FEED_PROTOCOL) ? FEED_PROTOCOL : false),
  })
  return (request, socket, head) => {
    socket.on('error', (error) => log.debug({ err: error }, 'feed socket'))
    try {
      check(request, options)
    } catch (error) {
      if (!(error instanceof FeedError)) throw error
      metrics.add('firstcrank_refused', 1, `code="${error.code}"`)
      refuse(socket, error)
      return
    }
    server.handleUpgrade(request, socket, head, (client) => hub.accept(client))
  }
}

/** @throws {FeedError} */
function check(request: IncomingMessage, { guard, hub, maxClients, isStopping }: UpgradeOptions): void {
  guard.checkHost(request)
  guard.checkRate(request)
  guard.checkOrigin(request)
  if (request.url?.split('?')[0] !== FEED_PATH) throw new FeedError('not-found', `the feed is at ${FEED_PATH}`)
  guard.checkDevice(request)
  const offered = (request.headers['sec-websocket-protocol'] ?? '').split(',').map((name) => name.trim())
  if (!offered.includes(FEED_PROTOCOL)) throw new FeedError('feed-version', `this server speaks ${FEED_PROTOCOL}`)
  if (hub.clients >= maxClients) throw new FeedError('too-many-clients', `${maxClients} clients are connected`)
  if (isStopping()) throw new FeedError('stopping', 'the server is stopping')
}

function refuse(socket: Duplex, { code, problem }: FeedError): void {
  const body = JSON.stringify(problem)
  const { status } = PROBLEMS_BY_CODE[code]
  socket.end(
    `HTTP/1.1 ${status} ${code}\r\nConnection: close\r\nContent-Type: application/problem+json\r\n` +
      `Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`,
  )
}
