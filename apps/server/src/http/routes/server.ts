/** The server itself: what it is, how it is, and pairing with it. */
import { health, pairRequest, pairResult, serverInfo } from '@firstcrank/feed'
import { METRICS_TYPE } from '../../metrics.js'
import type { Context } from '../context.js'
import { giveToken } from '../pair-page.js'
import { type Route, route } from '../route.js'

/** Paths that need no paired device. */
export const OPEN_PATHS: ReadonlySet<string> = new Set(['/healthz', '/api/server', '/api/pair', '/openapi.json'])

export function serverRoutes(context: Context): Route[] {
  return [
    route({
      method: 'get',
      path: '/healthz',
      summary: 'How the server is',
      answers: {
        200: { description: 'It works', schema: health },
        503: { description: 'It works in part, or is stopping', schema: health },
      },
      problems: [],
      handle: () => {
        const body = context.health()
        return { status: body.status === 'ok' ? 200 : 503, body, headers: { 'Cache-Control': 'no-store' } }
      },
    }),
    route({
      method: 'get',
      path: '/metrics',
      summary: 'Counts and levels in the OpenMetrics text form',
      answers: { 200: { description: 'Metrics', type: METRICS_TYPE.split(';')[0] as string } },
      problems: [],
      handle: async ({ response }) => {
        await context.measure()
        response.set({ 'Content-Type': METRICS_TYPE, 'Cache-Control': 'no-store' }).end(context.metrics.text())
        return undefined
      },
    }),
    route({
      method: 'get',
      path: '/api/server',
      summary: 'What the server is, and what it takes',
      answers: { 200: { description: 'The server', schema: serverInfo } },
      problems: [],
      handle: () => ({ body: context.info }),
    }),
    route({
      method: 'post',
      path: '/api/pair',
      summary: 'Pair this device with the code the server shows',
      body: pairRequest,
      answers: { 200: { description: 'Paired: the cookie is set', schema: pairResult } },
      problems: ['wrong-code'],
      handle: ({ body, request, response }) => {
        const token = context.pairing.pair(body.code, body.device, request.socket.remoteAddress ?? '')
        context.log.info({ device: body.device, address: request.socket.remoteAddress }, 'device paired')
        giveToken(response, token)
        return { body: { paired: true }, headers: { 'Cache-Control': 'no-store' } }
      },
    }),
  ]
}
