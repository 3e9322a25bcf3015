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
 * @throws {LibraryError} `library-in-use`; `library-unusable` where the folder cannot be made or written to
 */
export function lockFolder(folder: string): FolderLock {
  const holder = join(folder, HOLDER_FILE)
  const database = openLock(folder)
  try {
    database.exec('pragma locking_mode = exclusive; begin exclusive')
  } catch (error) {
    database.close()
    if ((error as { code?: string }).code !== 'SQLITE_BUSY') throw unusable(folder, error)
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

function openLock(folder: string): Database.Database {
  try {
    mkdirSync(folder, { recursive: true })
    return new Database(join(folder, LOCK_FILE))
  } catch (error) {
    throw unusable(folder, error)
  }
}

function unusable(folder: string, error: unknown): LibraryError {
  const { code, message } = error as NodeJS.ErrnoException
  const why = code === 'EEXIST' || code === 'ENOTDIR' ? 'a file is in its place' : message
  return new LibraryError('library-unusable', `${folder} cannot be a library: ${why}`, { cause: error })
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
