/** The library of runs. */
import { FeedError, run, runChange, runId, runsPage, runsQuery, uploadResult } from '@firstcrank/feed'
import { z } from 'zod'
import { checkProfile } from '../../workers/profile.js'
import type { Context } from '../context.js'
import { type Route, route } from '../route.js'

const runParams = z.object({ run: runId })
const checkParams = z.object({ run: runId, check: z.string().regex(/^[a-z0-9-]{1,80}$/) })
const one = { 200: { description: 'The run', schema: run } }
/** Uploads at a time. Our own choice: a disk takes no more at once. */
const MAX_UPLOADS = 4

/** ETag of a run. */
const etagOf = ({ revision }: { revision: number }): string => `"${revision}"`

/** The revision that `If-Match` asks for; undefined where it asks for none. */
function expectedRevision(header: string | undefined): number | undefined {
  if (header === undefined || header === '*') return undefined
  return Number(/^"(\d+)"$/.exec(header)?.[1] ?? Number.NaN)
}

export function runRoutes({ library, sessions, threads }: Context): Route[] {
  let uploads = 0
  return [
    route({
      method: 'get',
      path: '/api/runs',
      summary: 'Runs of the library, the newest first',
      query: runsQuery,
      answers: {
        200: { description: 'A page of runs', schema: runsPage },
        304: { description: 'Nothing has changed' },
      },
      problems: [],
      handle: ({ query, request, response }) => {
        const etag = `"${library.instance}-${library.revision}"`
        response.set('ETag', etag)
        if (request.headers['if-none-match'] === etag) return { status: 304 }
        const { text, vehicle, ...rest } = query
        const filter = {
          ...rest,
          ...(text === undefined ? {} : { text }),
          ...(vehicle === undefined ? {} : { vehicle }),
        }
        const { revision } = library
        return { body: { ...library.runs.list(filter), vehicles: library.runs.vehicles(), revision } }
      },
    }),
    route({
      method: 'put',
      path: '/api/runs',
      summary: 'Put a log into the library: plain text or gzip, as it is',
      query: z.strictObject({ name: z.string().max(300).default('').describe('What you call it') }),
      body: 'bytes',
      answers: {
        201: { description: 'A new run', schema: uploadResult },
        200: { description: 'The library had this log already', schema: uploadResult },
      },
      problems: ['too-large', 'unpacked-too-large', 'not-a-log', 'disk-full', 'too-busy'],
      handle: async ({ query, request }) => {
        if (uploads >= MAX_UPLOADS) throw new FeedError('too-busy', `${MAX_UPLOADS} uploads are under way`)
        uploads++
        try {
          library.checkLength(request.headers['content-length'])
          const result = await library.receive(request, query.name)
          const headers = { Location: `/api/runs/${result.run.id}`, ETag: etagOf(result.run) }
          return { status: result.duplicate ? 200 : 201, body: result, headers }
        } finally {
          uploads--
        }
      },
    }),
    route({
      method: 'get',
      path: '/api/runs/:run',
      summary: 'One run',
      params: runParams,
      answers: { ...one, 304: { description: 'It has not changed' } },
      problems: ['run-not-found'],
      handle: ({ params, request, response }) => {
        const found = library.runs.get(params.run)
        response.set('ETag', etagOf(found))
        return request.headers['if-none-match'] === etagOf(found) ? { status: 304 } : { body: found }
      },
    }),
    route({
      method: 'patch',
      path: '/api/runs/:run',
      summary: 'Change what is written to a run; with If-Match only where nobody else has',
      params: runParams,
      body: runChange,
      answers: one,
      problems: ['run-not-found', 'changed', 'bad-profile', 'unsupported-media-type', 'too-large'],
      handle: ({ params, body, request }) => {
        if (body.profile != null) checkProfile(body.profile)
        const changed = library.runs.change(params.run, body, expectedRevision(request.headers['if-match']))
        if (body.profile !== undefined) library.reread()
        return { body: changed, headers: { ETag: etagOf(changed) } }
      },
    }),
    route({
      method: 'delete',
      path: '/api/runs/:run',
      summary: 'Move a run to the trash',
      params: runParams,
      query: z.strictObject({ confirm: z.string().max(100).default('').describe('The id of the run, once more') }),
      answers: one,
      problems: ['run-not-found', 'confirmation-needed', 'run-in-use'],
      handle: async ({ params, query }) => {
        const found = library.runs.get(params.run)
        if (query.confirm !== params.run) {
          const what = `${found.title}, ${found.file.name}, ${found.file.bytes} bytes`
          throw new FeedError('confirmation-needed', `to move to the trash: ${what}; repeat with confirm=${found.id}`)
        }
        if (sessions.isReplayed(params.run)) throw new FeedError('run-in-use', 'the run is being replayed')
        library.trash(params.run)
        await threads.forget(params.run)
        return { body: library.runs.get(params.run) }
      },
    }),
    route({
      method: 'post',
      path: '/api/runs/:run/restore',
      summary: 'Take a run out of the trash',
      params: runParams,
      answers: one,
      problems: ['run-not-found'],
      handle: ({ params }) => {
        library.restore(params.run)
        return { body: library.runs.get(params.run) }
      },
    }),
    route({
      method: 'put',
      path: '/api/runs/:run/checks/:check',
      summary: 'Tick a manual check',
      params: checkParams,
      body: z.strictObject({ note: z.string().max(2_000).default('') }),
      answers: one,
      problems: ['run-not-found', 'unsupported-media-type', 'too-large'],
      handle: ({ params, body }) => {
        library.runs.get(params.run)
        library.runs.tick(params.run, params.check, body.note)
        return { body: library.runs.get(params.run) }
      },
    }),
    route({
      method: 'delete',
      path: '/api/runs/:run/checks/:check',
      summary: 'Untick a manual check',
      params: checkParams,
      answers: one,
      problems: ['run-not-found'],
      handle: ({ params }) => {
        library.runs.get(params.run)
        library.runs.untick(params.run, params.check)
        return { body: library.runs.get(params.run) }
      },
    }),
  ]
}
