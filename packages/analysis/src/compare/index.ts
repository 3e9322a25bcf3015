/** Before and after: what two runs of one vehicle say of a repair, and many of them in a row. */
export { compareRuns, GRADE_WORDS } from './compare.js'
export * from './comparison.js'
export { BIN_WIDTH } from './exposure.js'
export {
  type EntryFault,
  type EntryFigure,
  type FaultRow,
  type FigureRow,
  type FixNote,
  HISTORY_SCHEMA,
  HISTORY_VERSION,
  type History,
  type HistoryEntry,
  historyEntry,
  historyOf,
} from './history.js'
export { renderHistory } from './history-render.js'
export type { PageForm } from './page.js'
export { renderComparison } from './render.js'
