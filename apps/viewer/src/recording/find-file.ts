/** Where the bytes of a run are. */
import { FeedError } from '@firstcrank/feed'
import { refusalOf } from './answer.js'
import { fetchPatiently } from './contact.js'
import { findKept } from './kept-files.js'

/** A log and what a person calls it. */
export interface FoundFile {
  readonly file: Blob
  readonly name: string
}

/**
 * The log of a run: `sample:FILE`, `file:ID` that this browser keeps, or `run:ID` of a server.
 *
 * @throws {FeedError} `run-not-found`, `file-missing`, or why the server refuses
 */
export async function findFile(id: string, left: AbortSignal): Promise<FoundFile> {
  const [kind, name] = [id.slice(0, id.indexOf(':')), id.slice(id.indexOf(':') + 1)]
  if (kind === 'file') {
    const kept = await findKept(name)
    if (kept === undefined) throw new FeedError('file-missing', '')
    return kept
  }
  if (kind === 'sample') return { file: await fetchFile(`samples/${encodeURIComponent(name)}`, left), name }
  if (kind === 'run') return { file: await fetchFile(`api/runs/${encodeURIComponent(name)}/log`, left), name }
  throw new FeedError('run-not-found', '')
}

async function fetchFile(address: string, left: AbortSignal): Promise<Blob> {
  const response = await fetchPatiently(address, left)
  if (!response.ok) throw await refusalOf(response)
  return response.blob()
}
