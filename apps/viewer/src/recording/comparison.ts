/** The one place where the viewer compares two recordings. Runs in the worker, when it is first asked for. */
import { type Comparison, compareRuns } from '@firstcrank/analysis'
import type { ServedLog } from './serve-log.js'

/** What two runs that have been read say of a repair. */
export function makeComparison(before: ServedLog, after: ServedLog, vouched: boolean): Comparison {
  const runOf = ({ recording, name, report }: ServedLog) => ({ recording, title: name, report: report() })
  return compareRuns(runOf(before), runOf(after), { sameVehicle: vouched })
}
