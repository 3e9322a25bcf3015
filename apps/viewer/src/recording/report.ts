/** The one place where the viewer calls the analysis. Runs in the worker. */
import { analyse, type Report } from '@firstcrank/analysis'
import type { Recording } from '@firstcrank/decoder'

/** What is found in a recording. */
export function makeReport(recording: Recording, name: string): Report {
  return analyse(recording, undefined, { name })
}
