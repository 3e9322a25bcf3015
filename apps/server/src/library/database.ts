/** The library's database: what a log cannot hold. Opened, and brought to the newest form step by step. */
import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'libsql'

export type { Database } from 'libsql'

/** Why a library cannot be used. */
export type LibraryErrorCode =
  | 'library-too-new'
  | 'library-damaged'
  | 'library-in-use'
  | 'library-unusable'
  | 'library-not-empty'
  | 'not-a-backup'

/** A library folder that cannot be used. */
export class LibraryError extends Error {
  readonly code: LibraryErrorCode

  constructor(code: LibraryErrorCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.name = 'LibraryError'
    this.code = code
  }
}

/** File name of the database in its folder. */
export const DATABASE_FILE = 'library.db'

/**
 * Each brings the database one version further. Never changed once released; a new one is added at the
 * end. Times are microseconds since the epoch.
 */
const MIGRATIONS: readonly string[] = [
  `
  create table run (
    id text primary key,
    hash text not null unique,
    title text not null,
    vehicle text not null default '',
    notes text not null default '',
    fixed text not null default '',
    profile text,
    bytes integer not null,
    imported integer not null,
    session text,
    part integer,
    state text not null,
    problem text,
    summary text,
    verdict text,
    report text,
    trashed integer,
    revision integer not null default 1
  ) strict;
  create index run_imported on run (trashed, imported);
  create table file (
    path text primary key,
    run text not null references run (id) on delete cascade,
    bytes integer not null,
    modified integer not null,
    packed integer not null,
    kept text not null
  ) strict;
  create index file_run on file (run);
  create table tick (
    run text not null references run (id) on delete cascade,
    item text not null,
    ticked integer not null,
    note text not null default '',
    primary key (run, item)
  ) strict;
  create table session (
    id text primary key,
    title text not null,
    started integer not null,
    ended integer,
    file text,
    part integer not null default 1
  ) strict;
  create table device (
    token text primary key,
    name text not null,
    paired integer not null,
    expires integer not null
  ) strict;
  `,
  // Notes pinned to moments, in JSON: they are read and written with their run.
  `alter table run add column pins text not null default '[]';`,
]

/** Newest version this program knows. */
export const DATABASE_VERSION: number = MIGRATIONS.length

/**
 * Opens the database of a library folder, which is made where it is not there. An older one is copied
 * to `backups` before it is changed.
 *
 * @throws {LibraryError} `library-too-new`, `library-damaged`
 */
export function openDatabase(folder: string): Database.Database {
  mkdirSync(folder, { recursive: true })
  let database: Database.Database
  try {
    database = new Database(join(folder, DATABASE_FILE), { timeout: 5_000 })
    // Written without waiting for the disk at each change: a killed program loses nothing, a power cut
    // perhaps the last changes, and neither damages the file.
    database.exec('pragma journal_mode = wal; pragma synchronous = normal; pragma foreign_keys = on;')
  } catch (error) {
    throw damaged(folder, error)
  }
  try {
    migrate(database, folder)
  } catch (error) {
    database.close()
    throw error instanceof LibraryError ? error : damaged(folder, error)
  }
  return database
}

function damaged(folder: string, error: unknown): LibraryError {
  const detail = `${join(folder, DATABASE_FILE)} cannot be read: ${(error as Error).message}`
  return new LibraryError('library-damaged', detail, { cause: error })
}

/** Version of an open database. */
export function versionOf(database: Database.Database): number {
  const row = database.prepare('pragma user_version').get() as { user_version: number }
  return row.user_version
}

function migrate(database: Database.Database, folder: string): void {
  const version = versionOf(database)
  if (version > DATABASE_VERSION) {
    const detail = `the library is of version ${version}; this program knows ${DATABASE_VERSION} at most`
    throw new LibraryError('library-too-new', detail)
  }
  if (version > 0 && version < DATABASE_VERSION) copyDatabase(database, folder, `before-version-${DATABASE_VERSION}`)
  MIGRATIONS.slice(version).forEach((step, index) => {
    database.exec(`begin immediate; ${step} pragma user_version = ${version + index + 1}; commit;`)
  })
}

/** Copies an open database, whole and consistent. Returns the copy's path. */
export function copyDatabase(database: Database.Database, folder: string, name: string): string {
  const backups = join(folder, 'backups')
  mkdirSync(backups, { recursive: true })
  const path = join(backups, `${name}-${Date.now()}.db`)
  database.exec(`vacuum into '${path.replaceAll("'", "''")}'`)
  return path
}
