/** Live sources and replays. */
import { replayControl, replayRequest, sourceId, sourceInfo } from '@firstcrank/feed'
import { z } from 'zod'
import type { Context } from '../context.js'
import { type Route, route } from '../route.js'

const params = z.object({ source: sourceId })
const one = { 200: { description: 'The source', schema: sourceInfo } }

export function sourceRoutes({ sessions, hub }: Context): Route[] {
  return [
    route({
      method: 'get',
      path: '/api/sources',
      summary: 'Live sources and replays',
      answers: { 200: { description: 'All of them', schema: z.object({ sources: z.array(sourceInfo) }) } },
      problems: [],
      handle: () => ({ body: { sources: sessions.list() }, headers: { 'Cache-Control': 'no-store' } }),
    }),
    route({
      method: 'post',
      path: '/api/sources',
      summary: 'Replay a run',
      body: replayRequest,
      answers: { 201: { description: 'The replay', schema: sourceInfo } },
      problems: [
        'run-not-found',
        'file-missing',
        'too-busy',
        'unpacked-too-large',
        'unsupported-media-type',
        'too-large',
      ],
      handle: async ({ body }) => {
        const session = await sessions.startReplay(body)
        return { status: 201, body: session.info(), headers: { Location: `/api/sources/${session.id}` } }
      },
    }),
    route({
      method: 'get',
      path: '/api/sources/:source',
      summary: 'One source',
      params,
      answers: one,
      problems: ['source-not-found'],
      handle: ({ params: { source } }) => ({ body: sessions.get(source).info() }),
    }),
    route({
      method: 'post',
      path: '/api/sources/:source/control',
      summary: 'Steer a replay',
      params,
      body: replayControl,
      answers: one,
      problems: ['source-not-found', 'not-a-replay', 'unsupported-media-type', 'too-large'],
      handle: async ({ params: { source }, body }) => {
        const session = sessions.get(source)
        await session.control(body)
        return { body: session.info() }
      },
    }),
    route({
      method: 'delete',
      path: '/api/sources/:source',
      summary: 'End a source; what it recorded stays',
      params,
      answers: { 204: { description: 'It has ended' } },
      problems: ['source-not-found'],
      handle: async ({ params: { source } }) => {
        hub.dropSession(sessions.get(source))
        await sessions.remove(source)
        return { status: 204 }
      },
    }),
  ]
}
