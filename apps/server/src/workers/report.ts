/** The report on a recording, in the forms it can be sent. */
import {
  analyse,
  type Comparison,
  compareRuns,
  type Report,
  type Run,
  renderComparison,
  renderHtml,
  renderMarkdown,
  renderText,
  type UnitSystem,
} from '@firstcrank/analysis'
import type { Recording } from '@firstcrank/decoder'
import { FeedError, type RunVerdict } from '@firstcrank/feed'
import type { LogPlace } from './places.js'
import { checkProfile } from './profile.js'

const RENDERERS = { html: renderHtml, markdown: renderMarkdown, text: renderText } as const

/** Forms a report can be read in, beside its own data. */
export type ReportForm = keyof typeof RENDERERS

/** @param recording opened with a summary */
export function makeReport(recording: Recording, { name, profile }: LogPlace): Report {
  return analyse(recording, checkProfile(profile), { name })
}

/** @param units those of the profile, or else metric, where none are given */
export function renderReport(report: Report, { profile }: LogPlace, form: ReportForm, units?: UnitSystem): string {
  return RENDERERS[form](report, { units: units ?? checkProfile(profile).units ?? 'metric' })
}

/** A recording that is open, and where it came from. */
export interface HeldRun {
  readonly recording: Recording
  readonly place: LogPlace
}

/** What two runs say of a repair. @param sameVehicle whether a person vouches for it */
export function compare(before: HeldRun, after: HeldRun, sameVehicle: boolean): Comparison {
  const runOf = ({ recording, place }: HeldRun): Run => ({
    recording,
    report: makeReport(recording, place),
    title: place.name,
    profile: checkProfile(place.profile),
  })
  return compareRuns(runOf(before), runOf(after), { sameVehicle })
}

/** A comparison in a form to be read. */
export function renderCompared(comparison: Comparison, form: ReportForm, units: UnitSystem = 'metric'): string {
  return renderComparison(comparison, form === 'markdown' ? 'md' : form, { units })
}

/** What the analysis makes of a run, for the database. */
export interface Judged {
  readonly verdict: RunVerdict | null
  /** In JSON. */
  readonly report: string | null
  readonly problem: string | null
}

/**
 * What the analysis concludes. A run that cannot be analysed is in the library all the same: then
 * there is no verdict, and the code of what went wrong.
 */
export function judge(recording: Recording, place: LogPlace, version: string): Judged {
  try {
    const report = makeReport(recording, place)
    const { level, verdict, counts, faults } = report.conclusion
    const stop = report.findings.some(({ urgency }) => urgency === 'stop')
    const known = { level, verdict, stop, counts: { ...counts }, faults, analysis: version }
    return { verdict: known, report: JSON.stringify(report), problem: null }
  } catch (error) {
    return { verdict: null, report: null, problem: error instanceof FeedError ? error.code : 'internal' }
  }
}
