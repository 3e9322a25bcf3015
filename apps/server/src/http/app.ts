/** The HTTP side of the server: guards, headers, routes, the viewer. */
import { createHash } from 'node:crypto'
import { FeedError } from '@firstcrank/feed'
import express, { type Express, type RequestHandler } from 'express'
import helmet from 'helmet'
import type { Context } from './context.js'
import type { Guard } from './guard.js'
import { OPENAPI_PATH, openApiDocument } from './openapi.js'
import { addPairing } from './pair-page.js'
import { problemHandler, problemPage } from './problems.js'
import { handlersOf, type Route } from './route.js'
import { recordingRoutes } from './routes/recordings.js'
import { runRoutes } from './routes/runs.js'
import { OPEN_PATHS, serverRoutes } from './routes/server.js'
import { sourceRoutes } from './routes/sources.js'
import { viewerHandlers } from './viewer.js'

/** What the application needs beside what its routes do. */
export interface AppOptions {
  readonly context: Context
  readonly guard: Guard
  /** Folder of the built viewer; undefined where there is none. */
  readonly viewer: string | undefined
}

/** Every route of the API. */
export function allRoutes(context: Context): Route[] {
  return [...serverRoutes(context), ...runRoutes(context), ...recordingRoutes(context), ...sourceRoutes(context)]
}

export function createApp({ context, guard, viewer }: AppOptions): Express {
  const { metrics, log } = context
  const app = express()
  app.disable('x-powered-by')
  app.disable('etag')
  app.set('query parser', 'simple')
  // One spelling for each address: what is checked by a path must be what is found by it.
  app.enable('case sensitive routing')
  app.enable('strict routing')
  app.set('trust proxy', false)

  app.use((request, response, next) => {
    const begun = performance.now()
    response.on('finish', () => {
      metrics.add('firstcrank_requests', 1, `status="${Math.floor(response.statusCode / 100)}xx"`)
      const { method, path } = request
      log.debug({ method, path, status: response.statusCode, ms: Math.round(performance.now() - begun) }, 'request')
    })
    guard.checkHost(request)
    next()
  })
  app.use(securityHeaders())
  app.use((request, _response, next) => {
    if (context.isStopping() && request.path !== '/healthz') throw new FeedError('stopping', 'the server is stopping')
    guard.checkRate(request)
    guard.checkSite(request)
    if (needsDevice(request.path)) guard.checkDevice(request)
    next()
  })

  const routes = allRoutes(context)
  const document = JSON.stringify(openApiDocument(routes, context.info.version))
  const etag = `"${createHash('sha256').update(document).digest('base64url')}"`
  app.get(OPENAPI_PATH, (request, response) => {
    response.set({ ETag: etag, 'Cache-Control': 'no-cache' })
    if (request.headers['if-none-match'] === etag) response.status(304).end()
    else response.type('application/json').send(document)
  })
  app.get('/problems/:code', problemPage)
  const device: RequestHandler = (request, _response, next) => {
    guard.checkDevice(request)
    next()
  }
  for (const route of routes) {
    // Asked by the route that was found, however its path was spelt.
    app[route.method](route.path, ...(OPEN_PATHS.has(route.path) ? [] : [device]), ...handlersOf(route))
  }
  app.use(refuseOtherMethods(routes))
  addPairing(app, context, guard)
  app.use(...viewerHandlers(viewer))
  app.use(() => {
    throw new FeedError('not-found', 'there is nothing here')
  })
  app.use(problemHandler(log, metrics))
  return app
}

/** Data needs a paired device, also where there is none; the page in which one is paired does not. */
function needsDevice(path: string): boolean {
  return (path.startsWith('/api/') || path === '/metrics') && !OPEN_PATHS.has(path)
}

/** A policy of our own: the usual one asks for HTTPS, which a local network does not have. */
function securityHeaders(): RequestHandler {
  return helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        // Not every browser takes 'self' to mean sockets too. The host has been checked by now.
        connectSrc: [
          "'self'",
          (request) => `ws://${request.headers.host}`,
          (request) => `wss://${request.headers.host}`,
        ],
        workerSrc: ["'self'"],
        manifestSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    strictTransportSecurity: false,
    originAgentCluster: false,
    referrerPolicy: { policy: 'no-referrer' },
    xFrameOptions: { action: 'deny' },
  })
}

/** A known address with another method is told so, rather than not found. */
function refuseOtherMethods(routes: readonly Route[]): RequestHandler {
  const byPath = new Map<string, string[]>()
  for (const { path, method } of routes) byPath.set(path, [...(byPath.get(path) ?? []), method.toUpperCase()])
  const known = [...byPath].map(([path, methods]) => ({
    pattern: new RegExp(`^${path.replaceAll('.', '\\.').replaceAll(/:\w+/g, '[^/]+')}$`),
    methods,
  }))
  return (request, response, next) => {
    const methods = known.filter(({ pattern }) => pattern.test(request.path)).flatMap((entry) => entry.methods)
    if (methods.length > 0) {
      response.set('Allow', methods.join(', '))
      throw new FeedError('method-not-allowed', `${request.method} is not one of ${methods.join(', ')}`)
    }
    next()
  }
}
