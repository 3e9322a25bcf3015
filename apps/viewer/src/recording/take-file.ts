/** Files a person gave: into the library where there is a server, else they stay in this browser. */
import { currentRoute, go } from '../state/location.js'
import { compareRoute, runRoute } from '../state/route.js'
import { keepFile } from './kept-files.js'
import { findServer, uploadLog } from './server.js'

/** Takes a file; gives the id of its run. */
export async function takeFile(file: File): Promise<string> {
  const server = await findServer()
  return server === null ? `file:${await keepFile(file)}` : `run:${await uploadLog(file)}`
}

/** Opens files: two are compared, the older first; one fills a place of a comparison, or is opened by itself. */
export async function openFiles(files: readonly File[]): Promise<void> {
  const [file, second] = files.length > 1 ? [...files].sort((a, b) => a.lastModified - b.lastModified) : files
  if (file === undefined) return
  const id = await takeFile(file)
  if (second !== undefined) return go(compareRoute(id, await takeFile(second)))
  const route = currentRoute()
  if (route.page !== 'compare') return go(runRoute(id))
  const { before, after } = route.compare
  go(compareRoute(before ?? id, before === null ? after : id))
}
