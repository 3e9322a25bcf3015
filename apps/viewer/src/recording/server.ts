/** The server these pages came from, where there is one: its library of runs and its feed. */
import { type FeedClient, FeedError, type RunsPage, type ServerInfo, type SourceInfo } from '@firstcrank/feed'
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
    .catch(() => null)
  return asked
}

/** Runs of the library that fit a text. */
export async function listRuns(text: string): Promise<RunsPage> {
  const query = new URLSearchParams({ limit: '200', ...(text === '' ? {} : { text }) })
  const response = await fetch(`api/runs?${query}`)
  if (!response.ok) throw new FeedError('internal', `${response.status}`)
  return response.json()
}

/** Puts a log into the library; gives the id of its run. */
export async function uploadLog(file: File): Promise<string> {
  const response = await fetch(`api/runs?name=${encodeURIComponent(file.name)}`, { method: 'PUT', body: file })
  const answer = await response.json()
  if (!response.ok) throw new FeedError(answer.code ?? 'internal', answer.detail ?? `${response.status}`)
  return answer.run.id
}

const sourceListeners = new Set<(sources: readonly SourceInfo[]) => void>()
const libraryListeners = new Set<(revision: number) => void>()
let sources: readonly SourceInfo[] = []
let client: Promise<FeedClient> | undefined

/** The connection to the server, made when it is first needed. */
export function feed(): Promise<FeedClient> {
  client ??= import('./connection.js').then(({ connect }) =>
    connect(
      (told) => {
        sources = told
        for (const listener of sourceListeners) listener(told)
      },
      (revision) => {
        for (const listener of libraryListeners) listener(revision)
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

/** Tells that the library has changed, whenever it has. Returns how to be told no more. */
export function watchLibrary(listener: (revision: number) => void): () => void {
  libraryListeners.add(listener)
  // A list that does not renew itself is still a list.
  feed().catch(() => undefined)
  return () => libraryListeners.delete(listener)
}

/** A run of the library. */
export async function serverSource(id: string): Promise<{ readonly source: Source; readonly name: string }> {
  const response = await fetch(`api/runs/${encodeURIComponent(id.slice(4))}`)
  if (!response.ok) throw new FeedError('run-not-found', '')
  const run: { title: string; file: { name: string } } = await response.json()
  return { source: (await feed()).source(id), name: run.title || run.file.name }
}
