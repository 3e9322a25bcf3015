/** What is in a run's log: its bytes, its signals, its report, its values. */
import { createHash } from 'node:crypto'
import { pipeline } from 'node:stream/promises'
import { UNIT_SYSTEMS } from '@firstcrank/analysis'
import {
  type CheckedRequest,
  FeedError,
  messagesPage,
  messagesQuery,
  momentQuery,
  momentValue,
  recordingInfo,
  runId,
  windowQuery,
} from '@firstcrank/feed'
import type { Request, Response } from 'express'
import { z } from 'zod'
import { EXPORT_TYPES, type ExportFormat, exportQuery } from '../../exports/query.js'
import type { LogPlace } from '../../workers/places.js'
import type { ReportForm } from '../../workers/report.js'
import type { Thread } from '../../workers/thread.js'
import type { Context } from '../context.js'
import { type Reply, type Route, route } from '../route.js'

const params = z.object({ run: runId })
const compareQuery = z.strictObject({
  before: runId,
  after: runId,
  same_vehicle: z
    .enum(['true', 'false'])
    .default('false')
    .describe('Whether you vouch that both runs are of one vehicle, where the bus cannot say'),
  units: z.enum(UNIT_SYSTEMS).exactOptional(),
})
const anyObject = z.record(z.string(), z.unknown())
const missing = ['run-not-found', 'file-missing', 'recording-too-large', 'not-a-log', 'too-busy'] as const
/** A page that holds all it needs and runs nothing: the report as a file. */
const REPORT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'; sandbox"
const REPORT_TYPES = {
  html: 'text/html; charset=utf-8',
  markdown: 'text/markdown; charset=utf-8',
  text: 'text/plain; charset=utf-8',
} as const satisfies Record<ReportForm, string>
const SUFFIXES = { html: 'html', markdown: 'md', text: 'txt' } as const satisfies Record<ReportForm, string>

export function recordingRoutes(context: Context): Route[] {
  const { library, threads } = context
  const ask = (run: string, request: CheckedRequest): Promise<unknown> =>
    threads.ask(library.place(run), 'answer', { request })

  /** Answers of a log that never changes: asked again, they are the same. */
  const unchanged = async (request: Request, response: Response, key: string, make: () => Promise<Reply>) => {
    const etag = `"${key}"`
    response.set({ ETag: etag, 'Cache-Control': 'private, no-cache' })
    return request.headers['if-none-match'] === etag ? { status: 304 } : make()
  }
  const same = { 304: { description: 'It has not changed' } }

  return [
    route({
      method: 'get',
      path: '/api/runs/:run/log',
      summary: 'The log as it was recorded; takes ranges',
      params,
      answers: {
        200: { description: 'The log', type: 'text/plain' },
        206: { description: 'Part of it', type: 'text/plain' },
        ...same,
      },
      problems: ['run-not-found', 'file-missing', 'range-not-satisfiable'],
      handle: async ({ params: { run }, response }) => {
        const { path, name } = library.place(run)
        const packed = library.runs.fileOf(run)?.packed ?? false
        response.set({ ETag: `"${run}"`, 'Content-Type': packed ? 'application/gzip' : 'text/plain; charset=utf-8' })
        response.attachment(`${name}.log${packed ? '.gz' : ''}`)
        response.set('Content-Type', packed ? 'application/gzip' : 'text/plain; charset=utf-8')
        await sendFile(response, path)
        return undefined
      },
    }),
    route({
      method: 'get',
      path: '/api/runs/:run/recording',
      summary: 'What the log holds, without its values',
      params,
      answers: { 200: { description: 'The recording', schema: recordingInfo }, ...same },
      problems: missing,
      handle: ({ params: { run }, request, response }) =>
        unchanged(request, response, run, async () => ({ body: await ask(run, { ask: 'info' }) })),
    }),
    route({
      method: 'post',
      path: '/api/runs/:run/window',
      summary: 'Signals over a stretch of time, as a picture needs them: a binary column frame',
      params,
      body: windowQuery,
      answers: { 200: { description: 'A column frame, see docs/server.md', type: 'application/octet-stream' } },
      problems: [...missing, 'signal-not-found', 'unsupported-media-type', 'too-large'],
      handle: async ({ params: { run }, body, response }) => {
        const frame = (await ask(run, { ask: 'window', query: body })) as Uint8Array
        response.type('application/octet-stream').end(frame)
        return undefined
      },
    }),
    route({
      method: 'post',
      path: '/api/runs/:run/moment',
      summary: 'Signals at one moment',
      params,
      body: momentQuery,
      answers: { 200: { description: 'One value for each signal', schema: z.array(momentValue.nullable()) } },
      problems: [...missing, 'signal-not-found', 'unsupported-media-type', 'too-large'],
      handle: async ({ params: { run }, body }) => ({ body: await ask(run, { ask: 'moment', query: body }) }),
    }),
    route({
      method: 'post',
      path: '/api/runs/:run/messages',
      summary: 'A page of raw messages',
      params,
      body: messagesQuery,
      answers: { 200: { description: 'Messages', schema: messagesPage } },
      problems: [...missing, 'unsupported-media-type', 'too-large'],
      handle: async ({ params: { run }, body }) => ({ body: await ask(run, { ask: 'messages', query: body }) }),
    }),
    route({
      method: 'get',
      path: '/api/runs/:run/report',
      summary: 'The report: what was found, and what to do next',
      params,
      answers: { 200: { description: 'See docs/formats.md', schema: anyObject }, ...same },
      problems: missing,
      handle: ({ params: { run }, request, response }) =>
        unchanged(request, response, reportKey(library.place(run)), async () => ({
          body: JSON.parse(await context.report(run)),
        })),
    }),
    ...(Object.keys(REPORT_TYPES) as ReportForm[]).map((form) =>
      route({
        method: 'get',
        path: `/api/runs/:run/report.${SUFFIXES[form]}`,
        summary: `The report as ${form}`,
        params,
        answers: { 200: { description: 'The report', type: REPORT_TYPES[form].split(';')[0] as string } },
        problems: missing,
        query: z.strictObject({ units: z.enum(UNIT_SYSTEMS).exactOptional() }),
        handle: async ({ params: { run }, query, response }) => {
          const place = library.place(run)
          const report = await context.report(run)
          const text = (await threads.jobs.call('render', { report, place, form, ...query })) as string
          response.set({ 'Content-Type': REPORT_TYPES[form], 'Content-Security-Policy': REPORT_POLICY })
          response.end(text)
          return undefined
        },
      }),
    ),
    ...[undefined, ...(Object.keys(REPORT_TYPES) as ReportForm[])].map((form) =>
      route({
        method: 'get',
        path: `/api/compare${form === undefined ? '' : `.${SUFFIXES[form]}`}`,
        summary: `What two runs say of a repair${form === undefined ? '' : `, as ${form}`}`,
        query: compareQuery,
        answers: {
          200: {
            description: 'The comparison; see docs/formats.md',
            ...(form === undefined ? { schema: anyObject } : { type: REPORT_TYPES[form].split(';')[0] as string }),
          },
        },
        problems: missing,
        handle: async ({ query: { before, after, same_vehicle, ...query }, response }) => {
          const request = {
            before: library.place(before),
            after: library.place(after),
            sameVehicle: same_vehicle === 'true',
            ...query,
          }
          if (form === undefined) return { body: await threads.holder(before).call('compare', request) }
          const text = (await threads.holder(before).call('compare', { ...request, form })) as string
          response.set({ 'Content-Type': REPORT_TYPES[form], 'Content-Security-Policy': REPORT_POLICY })
          response.end(text)
          return undefined
        },
      }),
    ),
    ...(Object.keys(EXPORT_TYPES) as ExportFormat[]).map((format) =>
      route({
        method: 'get',
        path: `/api/runs/:run/values.${format}`,
        summary: `Decoded values as ${format}, streamed`,
        params,
        query: exportQuery,
        answers: { 200: { description: 'The values', type: EXPORT_TYPES[format].split(';')[0] as string } },
        problems: missing,
        handle: async ({ params: { run }, query, request, response }) => {
          const place = library.place(run)
          const headers = () => response.attachment(`${place.name}.${format}`).set('Content-Type', EXPORT_TYPES[format])
          // Who asks for the head alone is not waited for with all that would follow.
          if (request.method === 'HEAD') {
            headers().end()
            return undefined
          }
          const thread = threads.holder(run)
          const id = (await thread.call('exportBegin', { place, format, query })) as number
          headers()
          await sendChunks(response, thread, id)
          return undefined
        },
      }),
    ),
  ]
}

/** Changes with the profile, and so with the report. */
function reportKey({ run, profile }: LogPlace): string {
  return `${run}-${createHash('sha256')
    .update(JSON.stringify(profile ?? null))
    .digest('base64url')}`
}

/** Sends an export chunk by chunk, each made when the last one has left. */
async function sendChunks(response: Response, thread: Thread, id: number): Promise<void> {
  const next = () => thread.call('exportNext', { id }) as Promise<Uint8Array | null>
  async function* chunks(): AsyncGenerator<Uint8Array> {
    for (let chunk = await next(); chunk !== null; chunk = await next()) yield chunk
  }
  try {
    await pipeline(chunks(), response)
  } catch (error) {
    // The client has gone: nobody is left to be told.
    if ((error as NodeJS.ErrnoException).code !== 'ERR_STREAM_PREMATURE_CLOSE') throw error
  } finally {
    await thread.call('exportEnd', { id })
  }
}

function sendFile(response: Response, path: string): Promise<void> {
  return new Promise((resolve, reject) => {
    response.sendFile(path, { dotfiles: 'allow', cacheControl: false }, (error?: NodeJS.ErrnoException) => {
      // The client has gone: nobody is left to be told.
      if (error === undefined || error.code === 'ECONNABORTED' || error.code === 'EPIPE') resolve()
      else if (error.code === 'ENOENT') reject(new FeedError('file-missing', 'the log is not where it was'))
      else reject(error)
    })
  })
}
