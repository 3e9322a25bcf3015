/** Problems as the server tells them: RFC 9457 problem details with a stable code. */
import { z } from 'zod'

/** Every code, its HTTP status, and what it means. */
export const PROBLEMS_BY_CODE = {
  'bad-request': { status: 400, title: 'The request is not in the form the API asks for.' },
  'pairing-needed': { status: 401, title: 'This device has not been paired with the server.' },
  'wrong-code': { status: 403, title: 'The pairing code is wrong, used, or too old.' },
  'wrong-origin': { status: 403, title: 'The request comes from a page of another site.' },
  'not-found': { status: 404, title: 'There is nothing at this address.' },
  'run-not-found': { status: 404, title: 'There is no run with this id.' },
  'file-missing': { status: 404, title: 'The run is known, but its log is not where it was.' },
  'source-not-found': { status: 404, title: 'There is no live source or replay with this id.' },
  'signal-not-found': { status: 404, title: 'The recording does not have this signal.' },
  'method-not-allowed': { status: 405, title: 'This address does not take this method.' },
  'not-ready': { status: 409, title: 'The run is still being read.' },
  'not-a-replay': { status: 409, title: 'Only a replay can be played, paused or moved.' },
  'already-following': { status: 409, title: 'A follow with this id is open.' },
  'run-in-use': { status: 409, title: 'The run is being recorded or replayed.' },
  changed: { status: 412, title: 'Somebody else has changed this in the meantime.' },
  'too-large': { status: 413, title: 'The request is larger than the server takes.' },
  'unpacked-too-large': { status: 413, title: 'The log unpacks to more than the server takes.' },
  'recording-too-large': { status: 413, title: 'The recording does not fit the memory the server may use.' },
  'unsupported-media-type': { status: 415, title: 'The body is not of a type this address takes.' },
  'range-not-satisfiable': { status: 416, title: 'The file does not have the range asked for.' },
  'wrong-host': { status: 421, title: 'The request was meant for another host.' },
  'not-a-log': { status: 422, title: 'The file has no line that can be read as a CAN frame.' },
  'bad-profile': { status: 422, title: 'The engine profile cannot be used.' },
  'confirmation-needed': { status: 428, title: 'This moves something to the trash and has to be confirmed.' },
  'too-many-requests': { status: 429, title: 'Too many requests in a short time.' },
  'feed-version': { status: 426, title: 'Server and viewer do not speak the same version of the feed.' },
  internal: { status: 500, title: 'The server made a mistake; its log says more.' },
  'too-many-clients': { status: 503, title: 'As many clients are connected as the server takes.' },
  'too-busy': { status: 503, title: 'As much work is waiting as the server takes.' },
  stopping: { status: 503, title: 'The server is stopping.' },
  'disk-full': { status: 507, title: 'The disk is full.' },
} as const satisfies Record<string, { status: number; title: string }>

export type ProblemDetailsCode = keyof typeof PROBLEMS_BY_CODE

const codes = Object.keys(PROBLEMS_BY_CODE) as [ProblemDetailsCode, ...ProblemDetailsCode[]]

/** Path on a server where a code is explained; the `type` of a problem. */
export function problemType(code: ProblemDetailsCode): string {
  return `/problems/${code}`
}

export const problemDetails = z
  .object({
    type: z.string().describe('Address of the code’s explanation'),
    code: z.enum(codes),
    title: z.string(),
    status: z.int(),
    detail: z.string(),
    errors: z
      .array(z.object({ path: z.string(), message: z.string() }))
      .exactOptional()
      .describe('Of a request in the wrong form: each field that is wrong'),
  })
  .meta({ id: 'Problem', description: 'A problem (RFC 9457)' })

export type ProblemDetails = z.infer<typeof problemDetails>

/** A field of a request that is wrong. */
export type FieldError = NonNullable<ProblemDetails['errors']>[number]

/** Puts a problem together. */
export function describeProblem(
  code: ProblemDetailsCode,
  detail: string,
  errors?: readonly FieldError[],
): ProblemDetails {
  const { status, title } = PROBLEMS_BY_CODE[code]
  const known = { type: problemType(code), code, title, status, detail }
  return errors === undefined ? known : { ...known, errors: [...errors] }
}

/** What is refused, with its code; thrown on either end of the feed. */
export class FeedError extends Error {
  readonly code: ProblemDetailsCode
  readonly errors: readonly FieldError[] | undefined

  constructor(code: ProblemDetailsCode, detail: string, errors?: readonly FieldError[], options?: ErrorOptions) {
    super(detail, options)
    this.name = 'FeedError'
    this.code = code
    this.errors = errors
  }

  /** As it is told to others. */
  get problem(): ProblemDetails {
    return describeProblem(this.code, this.message, this.errors)
  }
}

/** A {@link FeedError} for what does not fit a schema. */
export function badRequest(error: z.ZodError): FeedError {
  const errors = error.issues.slice(0, 20).map((issue) => ({
    path: issue.path.map(String).join('.'),
    message: issue.message,
  }))
  const [first] = errors
  const detail = first === undefined ? 'not in the form asked for' : `${first.path || 'body'}: ${first.message}`
  return new FeedError('bad-request', detail, errors)
}
