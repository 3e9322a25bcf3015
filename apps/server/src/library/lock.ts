/**
 * One server to a library folder, or one backup being made. The lock is held by the system on an open
 * file, so a killed server leaves none behind.
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

/** Who takes a folder: a server, or who copies a library. */
export type Holder = 'server' | 'backup'

/** What a holder writes down of itself, for who comes second. */
type Held = { readonly process: number } & ({ readonly address: string } | { readonly backup: true })

/**
 * Takes a folder.
 *
 * @throws {LibraryError} `library-in-use`; `library-unusable` where the folder cannot be made or written to
 */
export function lockFolder(folder: string, as: Holder = 'server'): FolderLock {
  const holder = join(folder, HOLDER_FILE)
  const tell = (held: Held): void => writeFileSync(holder, `${JSON.stringify(held)}\n`)
  const database = openLock(folder)
  try {
    database.exec('pragma locking_mode = exclusive; begin exclusive')
    // What a killed holder left is not true any more.
    rmSync(holder, { force: true })
    if (as === 'backup') tell({ process: process.pid, backup: true })
  } catch (error) {
    database.close()
    if ((error as { code?: string }).code !== 'SQLITE_BUSY') throw unusable(folder, error)
    throw new LibraryError('library-in-use', `${folder} is in use${describe(holder)}`, { cause: error })
  }
  return {
    tell: (address) => tell({ process: process.pid, address }),
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
    const held = JSON.parse(readFileSync(holder, 'utf8')) as Held
    return 'backup' in held
      ? `: process ${held.process} is copying a library into it`
      : ` by another server: process ${held.process} at ${held.address}`
  } catch {
    // It has not written it yet.
    return ' by a server or a backup that has just begun'
  }
}
