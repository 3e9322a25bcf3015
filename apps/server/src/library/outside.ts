/** What lies where a person points, looked at before a server is started for it. */
import { stat } from 'node:fs/promises'
import { isLogFile } from '../workers/examine.js'
import { listLogs } from './folder.js'

/** A log; a file that is none; a folder with files that may be logs; one without; something else, such as a pipe. */
export type Outside = 'log' | 'no-log' | 'folder' | 'no-logs' | 'no-file'

/** @throws {Error} the system's own, where there is nothing or it cannot be read */
export async function whatIsAt(place: string): Promise<Outside> {
  const found = await stat(place)
  if (found.isDirectory()) return (await listLogs(place)).length > 0 ? 'folder' : 'no-logs'
  if (!found.isFile()) return 'no-file'
  return (await isLogFile(place)) ? 'log' : 'no-log'
}
