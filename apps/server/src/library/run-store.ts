/** Runs in the database: found, added, changed. */
import type { Run, RunChange, RunSummary, RunVerdict } from '@firstcrank/feed'
import { FeedError } from '@firstcrank/feed'
import type { Database } from './database.js'
import { COLUMNS, type LogFile, type RunRow, runOf, type TickRow } from './run-row.js'

/** What is known of a run when it is added. */
export interface NewRun {
  readonly id: string
  readonly hash: string
  readonly title: string
  /** Unpacked. */
  readonly bytes: number
  readonly session?: { readonly id: string; readonly part: number }
}

/** Which runs are listed. */
export interface RunsFilter {
  readonly text?: string
  readonly vehicle?: string
  readonly trashed: 'no' | 'only'
  readonly limit: number
  readonly skip: number
}

interface FileRow extends Omit<LogFile, 'packed'> {
  readonly packed: number
}

const micros = (): number => Date.now() * 1_000
const TEXT_COLUMNS = ['title', 'vehicle', 'notes', 'fixed'] as const

/** All that is kept of runs. Every change is told through `onChange`. */
export class RunStore {
  readonly #database: Database
  readonly #onChange: () => void

  constructor(database: Database, onChange: () => void = () => undefined) {
    this.#database = database
    this.#onChange = onChange
  }

  /** Runs that fit, the newest first, and how many there are. */
  list({ text, vehicle, trashed, limit, skip }: RunsFilter): { runs: Run[]; total: number } {
    const where = [trashed === 'only' ? 'trashed is not null' : 'trashed is null']
    const values: (string | number)[] = []
    if (vehicle !== undefined) {
      where.push('vehicle = ?')
      values.push(vehicle)
    }
    if (text !== undefined && text !== '') {
      const pinned = "(select group_concat(json_extract(value, '$.text')) from json_each(pins))"
      const columns = [...TEXT_COLUMNS, `coalesce(${pinned}, '')`, "coalesce(json_extract(summary, '$.identity'), '')"]
      const files = '(select group_concat(path) from file where file.run = run.id)'
      where.push(`(${[...columns, `coalesce(${files}, '')`].join(` || ' ' || `)}) like ? escape '\\'`)
      values.push(`%${text.replaceAll(/[\\%_]/g, '\\$&')}%`)
    }
    const condition = where.join(' and ')
    const { total } = this.#get<{ total: number }>(`select count(*) total from run where ${condition}`, values) ?? {
      total: 0,
    }
    const rows = this.#all<RunRow>(
      `select ${COLUMNS} from run where ${condition}
       order by coalesce(json_extract(summary, '$.from'), imported) desc, id limit ? offset ?`,
      [...values, limit, skip],
    )
    return { runs: rows.map((row) => this.#toRun(row)), total }
  }

  /** Every vehicle that a run in the list has. */
  vehicles(): string[] {
    const rows = this.#all<{ vehicle: string }>(
      `select distinct vehicle from run where vehicle <> '' and trashed is null order by vehicle`,
    )
    return rows.map(({ vehicle }) => vehicle)
  }

  find(id: string): Run | undefined {
    const row = this.#get<RunRow>(`select ${COLUMNS} from run where id = ?`, [id])
    return row && this.#toRun(row)
  }

  /** @throws {FeedError} `run-not-found` */
  get(id: string): Run {
    const found = this.find(id)
    if (found === undefined) throw new FeedError('run-not-found', `no run ${id}`)
    return found
  }

  /** Ids of runs whose summary or verdict is not there. */
  unread(): string[] {
    const rows = this.#all<{ id: string }>(
      `select id from run where trashed is null and state = 'reading' order by imported`,
    )
    return rows.map(({ id }) => id)
  }

  /** Runs whose summary or verdict is lost, or that another version of the analysis has judged, are to be read again. */
  forgetVerdicts(version: string): void {
    this.#run(
      `update run set state = 'reading'
       where state = 'ready' and (summary is null
         or (problem is null and coalesce(json_extract(verdict, '$.analysis'), '') <> ?))`,
      [version],
    )
  }

  add({ id, hash, title, bytes, session }: NewRun): void {
    this.#run(
      `insert into run (id, hash, title, bytes, imported, session, part, state) values (?, ?, ?, ?, ?, ?, ?, 'reading')`,
      [id, hash, title, bytes, micros(), session?.id ?? null, session?.part ?? null],
    )
  }

  /** @throws {FeedError} `run-not-found`; `changed` where it is not of the revision expected */
  change(id: string, change: RunChange, expected?: number): Run {
    const before = this.get(id)
    if (expected !== undefined && before.revision !== expected) {
      throw new FeedError('changed', `the run is at revision ${before.revision}, not ${expected}`)
    }
    for (const column of TEXT_COLUMNS) {
      const value = change[column]
      // The report names the run.
      if (value !== undefined) this.#touch(id, `${column} = ?${column === 'title' ? ', report = null' : ''}`, [value])
    }
    if (change.pins !== undefined) {
      this.#touch(id, 'pins = ?', [JSON.stringify([...change.pins].sort((a, b) => a.time - b.time))])
    }
    if (change.profile !== undefined) {
      const profile = change.profile === null ? null : JSON.stringify(change.profile)
      // Other limits, another verdict.
      this.#touch(id, `profile = ?, verdict = null, report = null, state = 'reading'`, [profile])
    }
    return this.get(id)
  }

  /** @param report in JSON */
  setRead(id: string, summary: RunSummary, verdict: RunVerdict | null, report: string | null): void {
    const values = [JSON.stringify(summary), verdict && JSON.stringify(verdict), report]
    this.#touch(id, `summary = ?, verdict = ?, report = ?, state = 'ready', problem = null`, values)
  }

  /** The report in JSON, where it has been made. */
  report(id: string): string | undefined {
    return this.#get<{ report: string | null }>('select report from run where id = ?', [id])?.report ?? undefined
  }

  setState(id: string, state: Run['state'], problem: string | null = null): void {
    this.#touch(id, 'state = ?, problem = ?', [state, problem])
  }

  setTrashed(id: string, trashed: boolean): void {
    this.#touch(id, 'trashed = ?', [trashed ? micros() : null])
  }

  tick(id: string, item: string, note: string): void {
    this.#run('insert or replace into tick (run, item, ticked, note) values (?, ?, ?, ?)', [id, item, micros(), note])
    this.#touch(id, 'state = state', [])
  }

  untick(id: string, item: string): void {
    this.#run('delete from tick where run = ? and item = ?', [id, item])
    this.#touch(id, 'state = state', [])
  }

  /** Where a run's log lies: in the library rather than outside. */
  fileOf(run: string): LogFile | undefined {
    return this.filesOf(run)[0]
  }

  /** Every place where a run's log lies, those in the library first. */
  filesOf(run: string): LogFile[] {
    const rows = this.#all<FileRow>(`select * from file where run = ? order by kept = 'outside', path`, [run])
    return rows.map((row) => ({ ...row, packed: row.packed !== 0 }))
  }

  /** What is known of a file. */
  file(path: string): LogFile | undefined {
    const row = this.#get<FileRow>('select * from file where path = ?', [path])
    return row && { ...row, packed: row.packed !== 0 }
  }

  files(): LogFile[] {
    return this.#all<FileRow>('select * from file').map((row) => ({ ...row, packed: row.packed !== 0 }))
  }

  addFile({ path, run, bytes, modified, packed, kept }: LogFile): void {
    this.#run('insert or replace into file (path, run, bytes, modified, packed, kept) values (?, ?, ?, ?, ?, ?)', [
      path,
      run,
      bytes,
      Math.round(modified),
      packed ? 1 : 0,
      kept,
    ])
    this.#onChange()
  }

  forgetFile(path: string): void {
    this.#run('delete from file where path = ?', [path])
    this.#onChange()
  }

  #touch(id: string, set: string, values: readonly (string | number | null)[]): void {
    this.#run(`update run set ${set}, revision = revision + 1 where id = ?`, [...values, id])
    this.#onChange()
  }

  #toRun(row: RunRow): Run {
    const file = this.fileOf(row.id)
    const ticks = this.#all<TickRow>('select item, ticked, note from tick where run = ? order by item', [row.id])
    return runOf(row, file, ticks)
  }

  #get<Row>(sql: string, values: readonly (string | number | null)[]): Row | undefined {
    return this.#database.prepare(sql).get(...values) as Row | undefined
  }

  #all<Row>(sql: string, values: readonly (string | number | null)[] = []): Row[] {
    return this.#database.prepare(sql).all(...values) as Row[]
  }

  #run(sql: string, values: readonly (string | number | null)[]): void {
    this.#database.prepare(sql).run(...values)
  }
}
