/** Counts that both forms of a summary show. */
import { type LogSummary, TRANSPORT_EVENTS } from '@firstcrank/decoder'

/** Frames of every kind, and those that are counted and not decoded. */
export function frameCounts({ counts }: LogSummary): {
  readonly total: number
  readonly extended: number
  readonly standard: number
  readonly remote: number
  readonly error: number
  readonly fd: number
  readonly skipped: number
} {
  const { extended, standard, remote, error, fd } = counts
  const skipped = standard + remote + error + fd
  return { total: extended + skipped, extended, standard, remote, error, fd, skipped }
}

/** Messages announced that did not become whole. */
export function incompleteCount({ transport }: LogSummary): number {
  const codes = [...transport.byCode]
  return codes.reduce((sum, [code, count]) => (TRANSPORT_EVENTS[code].incomplete ? sum + count : sum), 0)
}
