/** The HTTP server with its limits on time and connections. */
import { once } from 'node:events'
import { createServer, type RequestListener, type Server } from 'node:http'

/** Milliseconds for a request's headers, for all of it, and of silence. Our own choice. */
const HEADERS_WITHIN = 10_000
const REQUEST_WITHIN = 3_600_000
const SILENCE = 60_000
/** Milliseconds between looks at who is late: the platform's own 30 s would be added to each limit. */
const LATE_EVERY = 1_000
/** Milliseconds a connection is kept for the next request. */
const KEEP_ALIVE = 5_000
/** Connections of all kinds, beside those of the feed. Our own choice. */
const MAX_CONNECTIONS = 256

/** @param feedClients connections that the feed may have beside the others */
export function createHttpServer(listener: RequestListener, feedClients: number): Server {
  const server = createServer(
    {
      headersTimeout: HEADERS_WITHIN,
      requestTimeout: REQUEST_WITHIN,
      connectionsCheckingInterval: LATE_EVERY,
      keepAliveTimeout: KEEP_ALIVE,
    },
    listener,
  )
  server.timeout = SILENCE
  server.maxConnections = MAX_CONNECTIONS + feedClients
  return server
}

/**
 * Listens on a port, or where that is taken on the next, up to a last one.
 *
 * @throws {Error} the system's own, where none of them can be had
 */
export async function listen(server: Server, host: string, port: number, last: number): Promise<void> {
  const listening = once(server, 'listening')
  server.listen(port, host)
  try {
    await listening
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE' || port >= last) throw error
    await listen(server, host, port + 1, last)
  }
}
