/**
 * A route of the API as data: what it takes and gives, in schemas. They are checked at each request,
 * they are its types, and the OpenAPI document is made of them.
 */
import { badRequest, FeedError, type ProblemDetailsCode } from '@firstcrank/feed'
import type { Request, RequestHandler, Response } from 'express'
import express from 'express'
import type { z } from 'zod'

/** What a handler answers; undefined where it has sent something itself. */
export interface Reply {
  readonly status?: number
  readonly body?: unknown
  readonly headers?: Readonly<Record<string, string>>
}

/** One kind of answer. */
export interface AnswerForm {
  readonly description: string
  /** Of JSON. */
  readonly schema?: z.ZodType
  /** Media type of what is not JSON. */
  readonly type?: string
}

/** What a request of a route holds, checked. */
export interface RouteInput<Params, Query, Body> {
  readonly params: Params
  readonly query: Query
  readonly body: Body
  readonly request: Request
  readonly response: Response
}

/** One method at one address. */
export interface Route {
  readonly method: 'get' | 'put' | 'post' | 'patch' | 'delete'
  /** As Express has it: `/api/runs/:run`. */
  readonly path: string
  readonly summary: string
  readonly params?: z.ZodObject
  readonly query?: z.ZodObject
  /** JSON; or `bytes`, which the handler reads from the request. */
  readonly body?: z.ZodType | 'bytes'
  readonly answers: Readonly<Record<number, AnswerForm>>
  /** Codes it may answer with, beside those any route may. */
  readonly problems: readonly ProblemDetailsCode[]
  readonly handle: (input: RouteInput<unknown, unknown, unknown>) => Promise<Reply | undefined>
}

/** Output of an optional schema. */
type Out<Schema> = Schema extends z.ZodType ? z.output<Schema> : undefined

/** Writes a route down, its handler typed by its schemas. */
export function route<
  Params extends z.ZodObject | undefined = undefined,
  Query extends z.ZodObject | undefined = undefined,
  Body extends z.ZodType | 'bytes' | undefined = undefined,
>(
  definition: Omit<Route, 'params' | 'query' | 'body' | 'handle'> & {
    readonly params?: Params
    readonly query?: Query
    readonly body?: Body
    readonly handle: (
      input: RouteInput<Out<Params>, Out<Query>, Out<Body>>,
    ) => Promise<Reply | undefined> | Reply | undefined
  },
): Route {
  const { params, query, body, handle, ...rest } = definition
  return {
    ...rest,
    ...(params === undefined ? {} : { params }),
    ...(query === undefined ? {} : { query }),
    ...(body === undefined ? {} : { body }),
    // The types say the same as the schemas by which the input was checked.
    handle: async (input) => handle(input as RouteInput<Out<Params>, Out<Query>, Out<Body>>),
  }
}

/** Bytes of a request in JSON. Our own choice: notes of a few pages, and a profile. */
const MAX_JSON = 262_144

const json = express.json({ limit: MAX_JSON, strict: true, inflate: false, type: 'application/json' })

/** Handlers of a route, in order. */
export function handlersOf(definition: Route): RequestHandler[] {
  const takesJson = definition.body !== undefined && definition.body !== 'bytes'
  const run: RequestHandler = async (request, response) => {
    if (takesJson && !request.is('application/json')) {
      throw new FeedError('unsupported-media-type', 'the body has to be application/json')
    }
    const reply = await definition.handle({
      params: check(definition.params, request.params),
      query: check(definition.query, request.query),
      body: takesJson ? check(definition.body as z.ZodType, request.body) : undefined,
      request,
      response,
    })
    if (reply === undefined) return
    const { status = 200, body, headers = {} } = reply
    response.status(status).set(headers)
    if (body === undefined) response.end()
    else if (typeof body === 'string') response.send(body)
    else if (body instanceof Uint8Array) response.send(Buffer.from(body.buffer, body.byteOffset, body.byteLength))
    else response.json(body)
  }
  return takesJson ? [json, run] : [run]
}

function check(schema: z.ZodType | undefined, value: unknown): unknown {
  if (schema === undefined) return undefined
  const result = schema.safeParse(value)
  if (!result.success) throw badRequest(result.error)
  return result.data
}
