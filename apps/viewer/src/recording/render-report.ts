/** The report as one file. Loads the renderer: import it only when the report is looked at. */
import { type Report, renderHtml } from '@firstcrank/analysis'
import type { UnitChoice } from '../state/choices.js'

/** The whole document. */
export function renderReport(report: Report, units: UnitChoice): string {
  return renderHtml(report, { units })
}
