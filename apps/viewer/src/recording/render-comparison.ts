/** The comparison as one file. Loads the renderer: import it only when it is asked for. */
import { type Comparison, renderComparison } from '@firstcrank/analysis'
import type { UnitChoice } from '../state/choices.js'

/** The whole document. */
export function comparisonDocument(comparison: Comparison, units: UnitChoice): string {
  return renderComparison(comparison, 'html', { units })
}
