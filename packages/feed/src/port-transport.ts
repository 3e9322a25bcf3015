/**
 * Requests and answers over a pair of ports: between a page and its worker, or a server and its
 * threads. Each side adapts its own kind of port to {@link Port}.
 */
import { describeProblem, FeedError, type ProblemDetails } from './problem.js'
import type { Progress, RecordingTransport } from './recording-source.js'
import { type Answers, type CheckedRequest, type RecordingRequest, recordingRequest } from './requests.js'

/** One end of a channel between two threads. */
export interface Port {
  post(message: unknown, transfer?: ArrayBuffer[]): void
  /** Called once; every later message goes to the listener. */
  receive(listener: (message: unknown) => void): void
  close(): void
}

interface Asked {
  readonly id: number
  readonly request: RecordingRequest
}

type Told =
  | { readonly id: number; readonly answer: unknown }
  | { readonly id: number; readonly problem: ProblemDetails }
  | { readonly progress: Progress }

/** Answers requests that come through a port. Returns how to tell the other side of progress. */
export function servePort(
  port: Port,
  answer: (request: CheckedRequest) => unknown,
): { progress(progress: Progress): void } {
  const reply = async ({ id, request }: Asked): Promise<void> => {
    try {
      const told = await answer(recordingRequest.parse(request))
      const transfer = told instanceof Uint8Array && told.buffer instanceof ArrayBuffer ? [told.buffer] : []
      port.post({ id, answer: told } satisfies Told, transfer)
    } catch (error) {
      const problem = error instanceof FeedError ? error.problem : describeProblem('internal', String(error))
      port.post({ id, problem } satisfies Told)
    }
  }
  port.receive((message) => {
    reply(message as Asked).catch(() => port.close())
  })
  return { progress: (progress) => port.post({ progress } satisfies Told) }
}

/** The asking side of a port. A recording in a worker does not go on growing: there is nothing to follow. */
export function portTransport(port: Port): RecordingTransport {
  const waiting = new Map<number, { resolve(answer: unknown): void; reject(error: FeedError): void }>()
  const listeners = new Set<(progress: Progress) => void>()
  let last = 0
  port.receive((message) => {
    const told = message as Told
    if ('progress' in told) {
      for (const listener of listeners) listener(told.progress)
      return
    }
    const asked = waiting.get(told.id)
    waiting.delete(told.id)
    if ('answer' in told) asked?.resolve(told.answer)
    else asked?.reject(new FeedError(told.problem.code, told.problem.detail))
  })
  return {
    ask: <Kind extends RecordingRequest['ask']>(request: Extract<RecordingRequest, { ask: Kind }>) =>
      new Promise<Answers[Kind]>((resolve, reject) => {
        const id = ++last
        waiting.set(id, { resolve: (answer) => resolve(answer as Answers[Kind]), reject })
        port.post({ id, request } satisfies Asked)
      }),
    follow: (_query, sink) => {
      sink.ended?.('this recording is not live')
      return { stop: () => undefined }
    },
    onProgress: (listener) => {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    close: () => {
      for (const { reject } of waiting.values()) reject(new FeedError('not-found', 'the recording was closed'))
      waiting.clear()
      port.close()
    },
  }
}
