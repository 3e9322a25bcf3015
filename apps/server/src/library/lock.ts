/**
 * One server to a library folder. The lock is held by the system on an open file, so a killed server
 * leaves none behind.
 */
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'libsql'
import { LibraryError } from './database.js'

const LOCK_FILE = 'lock.db'
const HOLDER_FILE = 'server.json'

/** A folder taken. */
export interface FolderLock {
  /** Writes down where the holder can be reached, for who comes second. */
  tell(address: string): void
  release(): void
}

/**
 * Takes a folder.
 *
 * @throws {LibraryError} `library-in-use`
 */
export function lockFolder(folder: string): FolderLock {
  mkdirSync(folder, { recursive: true })
  const holder = join(folder, HOLDER_FILE)
  const database = new Database(join(folder, LOCK_FILE))
  try {
    database.exec('pragma locking_mode = exclusive; begin exclusive')
  } catch (error) {
    database.close()
    throw new LibraryError('library-in-use', `${folder} is in use by another server${describe(holder)}`, {
      cause: error,
    })
  }
  return {
    tell: (address) => writeFileSync(holder, `${JSON.stringify({ process: process.pid, address })}\n`),
    release: () => {
      rmSync(holder, { force: true })
      database.exec('rollback')
      database.close()
    },
  }
}

function describe(holder: string): string {
  try {
    const { process: id, address } = JSON.parse(readFileSync(holder, 'utf8')) as { process: number; address: string }
    return `: process ${id} at ${address}`
  } catch {
    // It has not written it yet.
    return ''
  }
}
