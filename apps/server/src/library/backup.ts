/**
 * A library copied to another folder, and back. The copy is a folder of the same form, so that a
 * backup can also be served as it is.
 */
import { constants } from 'node:fs'
import { copyFile, lstat, mkdir, readdir, realpath, rename, rm } from 'node:fs/promises'
import { basename, join } from 'node:path'
import Database from 'libsql'
import { DATABASE_FILE, LibraryError, openDatabase, versionOf } from './database.js'
import { LibraryFolder } from './folder.js'
import { lockFolder } from './lock.js'

/** What was copied. */
export interface CopyReport {
  readonly runs: number
  readonly files: number
  readonly bytes: number
}

/**
 * Copies a library. The server may be running: the database is copied whole and consistent, logs never
 * change once they are complete. Logs outside the library are not copied.
 *
 * @param to a folder; logs that an earlier backup left there are not copied again
 * @throws {LibraryError} `not-a-backup` where there is no library; `library-unusable` where both are one
 *   folder; `library-in-use` where a server runs on the copy, or another backup is being made there
 */
export async function backUpLibrary(from: string, to: string): Promise<CopyReport> {
  if ((await lstat(join(from, DATABASE_FILE)).catch(() => undefined)) === undefined) {
    throw new LibraryError('not-a-backup', `${from} holds no library`)
  }
  await mkdir(to, { recursive: true })
  // The database would be taken away from under a server that writes to it.
  if ((await realpath(from)) === (await realpath(to))) {
    throw new LibraryError('library-unusable', `${to} is the library itself; a backup needs a folder of its own`)
  }
  const lock = lockFolder(to, 'backup')
  try {
    return await copyLibrary(from, to)
  } finally {
    lock.release()
  }
}

async function copyLibrary(from: string, to: string): Promise<CopyReport> {
  const copy = join(to, `${DATABASE_FILE}.new`)
  await rm(copy, { force: true })
  const database = new Database(join(from, DATABASE_FILE), { timeout: 5_000 })
  try {
    database.exec(`vacuum into '${copy.replaceAll("'", "''")}'`)
  } finally {
    database.close()
  }
  const report = await copyLogs(new LibraryFolder(from), new LibraryFolder(to))
  for (const old of [`${DATABASE_FILE}-wal`, `${DATABASE_FILE}-shm`]) await rm(join(to, old), { force: true })
  await rename(copy, join(to, DATABASE_FILE))
  return { runs: countRuns(to), ...report }
}

/**
 * Copies a backup into a library folder that has no runs.
 *
 * @throws {LibraryError} `not-a-backup`, `library-not-empty`, `library-in-use`, `library-too-new`
 */
export async function restoreLibrary(from: string, to: string): Promise<CopyReport> {
  if ((await lstat(join(from, DATABASE_FILE)).catch(() => undefined)) === undefined) {
    throw new LibraryError('not-a-backup', `${from} holds no library`)
  }
  const lock = lockFolder(to, 'backup')
  try {
    if (countRuns(to) > 0) throw new LibraryError('library-not-empty', `${to} has runs of its own`)
    for (const old of ['', '-wal', '-shm']) await rm(join(to, `${DATABASE_FILE}${old}`), { force: true })
    await copyFile(join(from, DATABASE_FILE), join(to, DATABASE_FILE))
    // Brings an older backup to the form of this program, and refuses a newer one.
    openDatabase(to).close()
    return { runs: countRuns(to), ...(await copyLogs(new LibraryFolder(from), new LibraryFolder(to))) }
  } finally {
    lock.release()
  }
}

async function copyLogs(from: LibraryFolder, to: LibraryFolder): Promise<{ files: number; bytes: number }> {
  await to.create()
  const logs = (await from.find()).filter(({ kept }) => kept === 'library').map(({ path }) => path)
  const trashed = (await readdir(from.trash).catch(() => [])).map((name) => `trash/${name}`)
  let bytes = 0
  for (const path of [...logs, ...trashed]) {
    const source = from.absolute(path)
    const target = to.absolute(path)
    const { size } = await lstat(source)
    const there = await lstat(target).catch(() => undefined)
    bytes += size
    if (there?.size === size) continue
    // Under another name until it is whole: an interrupted copy is never taken for a log.
    const part = join(target, '..', `.${basename(target)}.part`)
    await copyFile(source, part, constants.COPYFILE_FICLONE)
    await rename(part, target)
  }
  return { files: logs.length + trashed.length, bytes }
}

function countRuns(folder: string): number {
  const database = new Database(join(folder, DATABASE_FILE))
  try {
    if (versionOf(database) === 0) return 0
    return (database.prepare('select count(*) total from run').get() as { total: number }).total
  } finally {
    database.close()
  }
}
