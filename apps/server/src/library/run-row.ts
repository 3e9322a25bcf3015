/** Rows of the database → runs as they are told. */
import { basename } from 'node:path'
import type { Run } from '@firstcrank/feed'

/** Where a run's log lies. */
export interface LogFile {
  /** In the library relative to it, else absolute. */
  readonly path: string
  readonly run: string
  readonly bytes: number
  /** Milliseconds since the epoch. */
  readonly modified: number
  readonly packed: boolean
  readonly kept: 'library' | 'outside'
}

/** A run as the database has it. */
export interface RunRow {
  readonly id: string
  readonly title: string
  readonly vehicle: string
  readonly notes: string
  readonly fixed: string
  readonly pins: string
  readonly profile: string | null
  readonly imported: number
  readonly session: string | null
  readonly part: number | null
  readonly state: Run['state']
  readonly problem: string | null
  readonly summary: string | null
  readonly verdict: string | null
  readonly trashed: number | null
  readonly revision: number
}

/** A ticked check as the database has it. */
export interface TickRow {
  readonly item: string
  readonly ticked: number
  readonly note: string
}

/** Columns of a {@link RunRow}: all but the report, which is long. */
export const COLUMNS =
  'id, title, vehicle, notes, fixed, pins, profile, imported, session, part, state, problem, summary, verdict, trashed, revision'

/** @param file where its log lies; undefined where it is missing */
export function runOf(row: RunRow, file: LogFile | undefined, ticks: readonly TickRow[]): Run {
  return {
    id: row.id,
    title: row.title,
    vehicle: row.vehicle,
    notes: row.notes,
    fixed: row.fixed,
    pins: JSON.parse(row.pins),
    profile: row.profile === null ? null : JSON.parse(row.profile),
    file: {
      name: basename(file?.path ?? ''),
      bytes: file?.bytes ?? 0,
      packed: file?.packed ?? false,
      kept: file?.kept ?? 'library',
    },
    imported: row.imported,
    session: row.session === null ? null : { id: row.session, part: row.part ?? 1 },
    state: row.state,
    problem: row.problem,
    summary: row.summary === null ? null : JSON.parse(row.summary),
    verdict: row.verdict === null ? null : JSON.parse(row.verdict),
    checks: ticks.map(({ item, ticked, note }) => ({ check: item, ticked, note })),
    trashed: row.trashed,
    revision: row.revision,
  }
}
