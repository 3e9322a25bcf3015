/** Sessions that are being recorded: where to go on after a restart. */
import type { Database } from './database.js'

/** A session as it is written down. */
export interface StoredSession {
  readonly id: string
  readonly title: string
  /** File being written, relative to the library; null where none was begun. */
  readonly file: string | null
  readonly part: number
}

const micros = (): number => Date.now() * 1_000

/** Sessions in the database. */
export class SessionStore {
  readonly #database: Database

  constructor(database: Database) {
    this.#database = database
  }

  /** Sessions that were not ended, such as by a killed server. */
  open(): StoredSession[] {
    return this.#database
      .prepare('select id, title, file, part from session where ended is null order by started')
      .all() as StoredSession[]
  }

  begin(id: string, title: string): void {
    this.#database.prepare('insert into session (id, title, started) values (?, ?, ?)').run(id, title, micros())
  }

  setFile(id: string, file: string | null, part: number): void {
    this.#database.prepare('update session set file = ?, part = ? where id = ?').run(file, part, id)
  }

  end(id: string): void {
    this.#database.prepare('update session set ended = ?, file = null where id = ?').run(micros(), id)
  }
}
