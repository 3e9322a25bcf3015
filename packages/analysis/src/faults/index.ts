/** Fault causes: plain words, evidence, groups, ranked causes, steps. */
export { analyseFaults } from './analyse.js'
export { type StoredFault, storedFaults } from './finding.js'
export { HYPOTHESES, type Hypothesis } from './hypotheses/index.js'
export { COMPONENTS, type Component, FAILURE_MODES, findComponent, GENERIC_CAUSES, KINDS } from './knowledge/index.js'
