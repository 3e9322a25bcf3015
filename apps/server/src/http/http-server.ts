/** The HTTP server with its limits on time and connections. */
import { createServer, type RequestListener, type Server } from 'node:http'

/** Milliseconds for a request's headers, for all of it, and of silence. Our own choice. */
const HEADERS_WITHIN = 10_000
const REQUEST_WITHIN = 3_600_000
const SILENCE = 60_000
/** Milliseconds a connection is kept for the next request. */
const KEEP_ALIVE = 5_000
/** Connections of all kinds, beside those of the feed. Our own choice. */
const MAX_CONNECTIONS = 256

/** @param feedClients connections that the feed may have beside the others */
export function createHttpServer(listener: RequestListener, feedClients: number): Server {
  const server = createServer(
    { headersTimeout: HEADERS_WITHIN, requestTimeout: REQUEST_WITHIN, keepAliveTimeout: KEEP_ALIVE },
    listener,
  )
  server.timeout = SILENCE
  server.maxConnections = MAX_CONNECTIONS + feedClients
  return server
}
