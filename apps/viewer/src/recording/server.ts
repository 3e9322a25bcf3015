/** The server these pages came from, where there is one: its library of runs and its feed. */
import type { Comparison } from '@firstcrank/analysis'
import type { FeedClient, ReplayControl, Run, RunsPage, ServerInfo, SourceInfo } from '@firstcrank/feed'
import { answerOf } from './answer.js'
import { fetchPatiently, loadPart } from './contact.js'
import type { Source } from './open.js'

/** A server that has answered. */
export interface Server {
  readonly info: ServerInfo
}

let asked: Promise<Server | null> | undefined

/** The server these pages came from; null where they are only files. */
export function findServer(): Promise<Server | null> {
  asked ??= fetch('api/server', { headers: { accept: 'application/json' } })
    .then(async (response) => {
      if (!response.ok || !response.headers.get('content-type')?.includes('json')) return null
      const info: ServerInfo = await response.json()
      return info.name === 'firstcrank' ? { info } : null
    })
    .catch(() => {
      // Nobody answered: that may be another matter when it is asked for again.
      asked = undefined
      return null
    })
  return asked
}

/** Runs of the library that fit a text. */
export async function listRuns(text: string, left?: AbortSignal): Promise<RunsPage> {
  const query = new URLSearchParams({ limit: '200', ...(text === '' ? {} : { text }) })
  const response = await fetchPatiently(`api/runs?${query}`, left)
  return answerOf(response)
}

/** A run of the library. */
export async function findRun(id: string, left?: AbortSignal): Promise<Run> {
  const response = await fetchPatiently(`api/runs/${encodeURIComponent(id)}`, left)
  return answerOf(response)
}

/** Puts a log into the library; gives the id of its run. */
export async function uploadLog(file: File): Promise<string> {
  const response = await fetch(`api/runs?name=${encodeURIComponent(file.name)}`, { method: 'PUT', body: file })
  const { run } = await answerOf<{ readonly run: Run }>(response)
  return run.id
}

/** Replays a run as if it came in now; gives the id of the source. */
export async function startReplay(run: string): Promise<string> {
  const source: SourceInfo = await post('api/sources', { run })
  return source.id
}

/** Tells a replay what to do. */
export function controlReplay(source: string, control: ReplayControl): Promise<void> {
  return post(`api/sources/${source}/control`, control)
}

/** Ends a replay. */
export async function endReplay(source: string): Promise<void> {
  await fetch(`api/sources/${source}`, { method: 'DELETE' })
}

async function post<Answer>(path: string, body: unknown): Promise<Answer> {
  const response = await fetch(path, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  })
  return answerOf(response)
}

const sourceListeners = new Set<(sources: readonly SourceInfo[]) => void>()
const libraryListeners = new Set<(revision: number) => void>()
let sources: readonly SourceInfo[] = []
let client: Promise<FeedClient> | undefined
/** Counted here: another server counts its revisions anew. */
let news = 0

/** The connection to the server, made when it is first needed. */
export function feed(): Promise<FeedClient> {
  client ??= loadPart(() => import('./connection.js')).then(({ connect }) =>
    connect(
      (told) => {
        sources = told
        for (const listener of sourceListeners) listener(told)
      },
      () => {
        news++
        for (const listener of libraryListeners) listener(news)
      },
    ),
  )
  return client
}

/** Tells the live sources now and whenever they change. Returns how to be told no more. */
export function watchSources(listener: (sources: readonly SourceInfo[]) => void): () => void {
  sourceListeners.add(listener)
  listener(sources)
  return () => sourceListeners.delete(listener)
}

/**
 * Tells that the library has changed or may have, by a number that is another each time. Returns how to be
 * told no more.
 */
export function watchLibrary(listener: (news: number) => void): () => void {
  libraryListeners.add(listener)
  // A list that does not renew itself is still a list.
  feed().catch(() => undefined)
  return () => libraryListeners.delete(listener)
}

/** What two runs of the library say of a repair. */
export async function serverComparison(
  before: string,
  after: string,
  vouched: boolean,
  left: AbortSignal,
): Promise<Comparison> {
  const query = new URLSearchParams({
    before: before.slice(4),
    after: after.slice(4),
    ...(vouched ? { same_vehicle: 'true' } : {}),
  })
  const response = await fetchPatiently(`api/compare?${query}`, left)
  return answerOf(response)
}

/** A run of the library, to be asked. */
export async function serverSource(
  id: string,
  left: AbortSignal,
): Promise<{ readonly source: Source; readonly name: string }> {
  const { title, file } = await findRun(id.slice(4), left)
  return { source: (await feed()).source(id), name: title || file.name }
}
