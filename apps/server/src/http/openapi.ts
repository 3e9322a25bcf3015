/** The OpenAPI document, made of the routes. */
import { PROBLEMS_BY_CODE, type ProblemDetailsCode, problemDetails } from '@firstcrank/feed'
import { createDocument, type ZodOpenApiOperationObject, type ZodOpenApiPathsObject } from 'zod-openapi'
import { PROBLEM_TYPE } from './problems.js'
import type { Route } from './route.js'

/** Codes any route may answer with. */
const EVERYWHERE: readonly ProblemDetailsCode[] = [
  'bad-request',
  'pairing-needed',
  'wrong-origin',
  'wrong-host',
  'too-many-requests',
  'internal',
  'stopping',
]

/** Where the document is served. */
export const OPENAPI_PATH = '/openapi.json'

/** Describes the routes. */
export function openApiDocument(routes: readonly Route[], version: string): object {
  const paths: Record<string, Record<string, ZodOpenApiOperationObject>> = {}
  for (const route of routes) {
    const path = route.path.replaceAll(/:(\w+)/g, '{$1}')
    paths[path] = { ...paths[path], [route.method]: operationOf(route) }
  }
  return createDocument({
    openapi: '3.1.0',
    info: {
      title: 'firstcrank',
      version,
      description: 'Runs of diesel engines: the library, recordings, live sources. Times are microseconds.',
      license: { name: 'MIT', identifier: 'MIT' },
    },
    paths: paths as ZodOpenApiPathsObject,
    components: { securitySchemes: { device: { type: 'http', scheme: 'bearer' } } },
  })
}

function operationOf(route: Route): ZodOpenApiOperationObject {
  const { method, path, summary, params, query, body, answers, problems } = route
  const operation: ZodOpenApiOperationObject = {
    operationId: `${method}${path.replaceAll(/[/:.-]+(\w)/g, (_, letter: string) => letter.toUpperCase())}`,
    summary,
    responses: {
      ...Object.fromEntries(
        Object.entries(answers).map(([status, { description, schema, type }]) => [
          status,
          {
            description,
            ...(schema === undefined && type === undefined
              ? {}
              : { content: schema === undefined ? { [type as string]: {} } : { 'application/json': { schema } } }),
          },
        ]),
      ),
      ...problemResponses(problems),
    },
  }
  if (params !== undefined || query !== undefined) {
    operation.requestParams = {
      ...(params === undefined ? {} : { path: params }),
      ...(query === undefined ? {} : { query }),
    }
  }
  if (body === 'bytes') operation.requestBody = { required: true, content: { 'application/octet-stream': {} } }
  else if (body !== undefined)
    operation.requestBody = { required: true, content: { 'application/json': { schema: body } } }
  return operation
}

function problemResponses(own: readonly ProblemDetailsCode[]): ZodOpenApiOperationObject['responses'] {
  const byStatus = new Map<number, ProblemDetailsCode[]>()
  for (const code of [...EVERYWHERE, ...own]) {
    const { status } = PROBLEMS_BY_CODE[code]
    byStatus.set(status, [...(byStatus.get(status) ?? []), code])
  }
  return Object.fromEntries(
    [...byStatus].map(([status, codes]) => [
      `${status}`,
      { description: codes.join(', '), content: { [PROBLEM_TYPE]: { schema: problemDetails } } },
    ]),
  )
}
