/**
 * What a recorded run means. `analyse` puts everything into one report; the parts it is made of are
 * there for those who want only one.
 */
export { AnalysisError, type AnalysisErrorCode, type AnalysisOptions, analyse } from './analyse.js'
export { BUS_CHECKS, findBus } from './bus-findings.js'
export { CAUTIONS, type Caution, type CautionId, findCaution } from './cautions.js'
export { CHECKS, type CheckDefinition, runChecks } from './checks/index.js'
export * from './compare/index.js'
export {
  DERIVED_SIGNALS,
  type Derived,
  type DerivedContext,
  type DerivedDefinition,
  deriveSignal,
  deriveSignals,
} from './derived/index.js'
export { type EngineView, findEngines } from './engine-view.js'
export {
  analyseFaults,
  COMPONENTS,
  type Component,
  FAILURE_MODES,
  HYPOTHESES,
  type Hypothesis,
  KINDS,
  type StoredFault,
  storedFaults,
} from './faults/index.js'
export { type GaugeView, gaugeView, gaugeViews } from './gauge.js'
export { LIMIT_IDS, LIMITS, type LimitId, type Limits, limitsFor } from './limits.js'
export { MANUAL_CHECKS, MANUAL_STAGES, type ManualCheckDefinition } from './manual-checks.js'
export * from './model.js'
export { findPhases } from './phases.js'
export {
  NO_PROFILE,
  type Profile,
  ProfileError,
  type ProfileErrorCode,
  parseProfile,
  profileJsonSchema,
} from './profile.js'
export { profileTemplate } from './profile-template.js'
export { renderHtml } from './render/html.js'
export { renderMarkdown } from './render/markdown.js'
export { renderText } from './render/text.js'
export { type RenderOptions, sentenceIn } from './render/values.js'
export * from './report.js'
export { shownUnit, shownValue, UNIT_SYSTEMS, type UnitSystem, US_UNITS } from './units.js'
