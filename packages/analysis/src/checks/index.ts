/** All checks of an engine's run, and the engine that runs them. */
import type { Recording } from '@firstcrank/decoder'
import type { EngineView } from '../engine-view.js'
import type { CheckResult, Phase } from '../model.js'
import { NO_PROFILE, type Profile } from '../profile.js'
import { AIR_CHECKS } from './air.js'
import { CheckContext, signalName } from './context.js'
import { CONTROL_CHECKS } from './controls.js'
import { CRANKING_CHECKS } from './cranking.js'
import { type CheckDefinition, notJudged, type Outcome } from './definition.js'
import { ELECTRICAL_CHECKS } from './electrical.js'
import { IDLE_CHECKS } from './idle.js'
import { OIL_CHECKS } from './oil.js'
import { HOT_OIL_CHECKS } from './oil-hot.js'
import { TEMPERATURE_CHECKS } from './temperature.js'
import { circuitFaults } from './trust.js'

export type { CheckDefinition, Judged, NotJudged, Outcome } from './definition.js'

/** The table, in the order of a first start. What is asked of the bus itself is in `bus-findings.ts`. */
export const CHECKS: readonly CheckDefinition[] = [
  ...ELECTRICAL_CHECKS,
  ...CRANKING_CHECKS,
  ...OIL_CHECKS,
  ...HOT_OIL_CHECKS,
  ...IDLE_CHECKS,
  ...TEMPERATURE_CHECKS,
  ...AIR_CHECKS,
  ...CONTROL_CHECKS,
]

/** Names of what may not be fitted, for a sentence. */
const FITTED_NAMES = {
  pedal: 'an accelerator pedal',
  egr: 'exhaust gas recirculation',
  turbocharger: 'a turbocharger',
  airMassSensor: 'an air-mass meter',
  intakeHeater: 'an intake heater',
  alternator: 'an alternator',
} as const

/**
 * Judges one engine by every check of the table.
 *
 * @param phases of that engine, see `findPhases`
 */
export function runChecks(
  _recording: Recording,
  engine: EngineView,
  phases: readonly Phase[],
  profile: Profile = NO_PROFILE,
): CheckResult[] {
  const context = new CheckContext(engine, phases, profile)
  return CHECKS.map((check) => resultOf(check, outcomeOf(check, context), context))
}

function outcomeOf(check: CheckDefinition, context: CheckContext): Outcome {
  const { fitted, needs } = check
  if (fitted !== undefined && context.profile.fitted[fitted] === false) {
    return notJudged(`by the profile this engine has not ${FITTED_NAMES[fitted]}`)
  }
  const source = check.ofSensor ? context.raw : context.engine
  const missing = needs.find((spns) => !spns.some((spn) => source.has(spn)))
  return missing === undefined ? check.judge(context) : notJudged(missingWords(missing, context))
}

/** Not on the bus, sent without ever holding a value, and not to be trusted are three things. */
function missingWords(spns: readonly number[], { engine, raw }: CheckContext): string {
  const distrusted = spns.find((spn) => raw.has(spn))
  if (distrusted !== undefined) {
    const fmi = circuitFaults(raw, distrusted)[0]?.fmi
    return `the controller reports ${signalName(distrusted)} itself as faulty (FMI ${fmi}), so what it tells is no measurement`
  }
  const sent = spns.find((spn) => engine.signal(spn) !== undefined)
  if (sent !== undefined) return `${signalName(sent)} is sent but never holds a value`
  return `${spns.map(signalName).join(' or ')} is not on this bus`
}

function resultOf(check: CheckDefinition, outcome: Outcome, context: CheckContext): CheckResult {
  const { id, title, proves, otherwise, advice, cautions } = check
  const limits = check.limits.map((limit) => context.limits[limit])
  const common = { id, title, proves, limits, evidence: outcome.evidence ?? [] }
  if (outcome.verdict === 'not-judged') {
    return {
      ...common,
      verdict: 'not-judged',
      measured: outcome.measured ?? null,
      finding: `Not judged: ${outcome.reason}.`,
      advice: `Check with: ${otherwise}`,
      cautions: [],
    }
  }
  const { verdict, measured, finding } = outcome
  return {
    ...common,
    verdict,
    measured,
    finding,
    advice: outcome.advice ?? advice[verdict],
    cautions: verdict === 'pass' ? [] : [...new Set([...cautions, ...(outcome.cautions ?? [])])],
  }
}
