/** Files a person gave: into the library where there is a server, else they stay in this browser. */
import { currentRoute, go } from '../state/location.js'
import { compareRoute, runRoute } from '../state/route.js'
import { keepFile } from './kept-files.js'
import { findServer, uploadLog } from './server.js'
import { failureOf } from './use-run.js'

/** A file that could not be taken, and why. */
export interface FileFailure {
  readonly name: string
  readonly code: string
  readonly detail: string
}

/** Takes a file; gives the id of its run, or why there is none. */
export async function takeFile(file: File): Promise<string | FileFailure> {
  try {
    await file.slice(0, 1).arrayBuffer()
  } catch (error) {
    // A folder that was dropped, or a file that has gone meanwhile.
    return { name: file.name, code: 'not-readable', detail: failureOf(error).detail }
  }
  try {
    const server = await findServer()
    return server === null ? `file:${await keepFile(file)}` : `run:${await uploadLog(file)}`
  } catch (error) {
    return { name: file.name, ...failureOf(error) }
  }
}

/**
 * Opens files: one fills a place of a comparison, or is opened by itself; two are compared, the older first;
 * more are listed.
 *
 * @returns what could not be taken; the others are opened all the same
 */
export async function openFiles(files: readonly File[]): Promise<readonly FileFailure[]> {
  const ids: string[] = []
  const failures: FileFailure[] = []
  for (const file of [...files].sort((a, b) => a.lastModified - b.lastModified)) {
    const taken = await takeFile(file)
    if (typeof taken === 'string') ids.push(taken)
    else failures.push(taken)
  }
  const [first, second] = ids
  if (ids.length > 2) go({ page: 'runs' })
  else if (first !== undefined && second !== undefined) go(compareRoute(first, second))
  else if (first !== undefined) openOne(first)
  return failures
}

function openOne(id: string): void {
  const route = currentRoute()
  if (route.page !== 'compare') return go(runRoute(id))
  const { before, after } = route.compare
  go(compareRoute(before ?? id, before === null ? after : id))
}
