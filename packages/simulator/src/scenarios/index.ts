/** Every scenario by name. */
import { SimulationError } from '../error.js'
import type { Scenario } from '../scenario.js'
import { AIR_STORIES } from './air.js'
import { COOLING_STORIES } from './cooling.js'
import { ELECTRICAL_STORIES } from './electrical.js'
import { HEALTHY } from './healthy.js'
import { OIL_STORIES } from './oil.js'
import { STARTING } from './starting.js'

/** All scenarios, the healthy ones first. */
export const SCENARIOS: readonly Scenario[] = [
  ...HEALTHY,
  ...STARTING,
  ...OIL_STORIES,
  ...AIR_STORIES,
  ...COOLING_STORIES,
  ...ELECTRICAL_STORIES,
]

/**
 * A scenario by its name.
 *
 * @throws {SimulationError} `unknown-scenario`
 */
export function findScenario(name: string): Scenario {
  const scenario = SCENARIOS.find((candidate) => candidate.name === name)
  if (!scenario) throw new SimulationError('unknown-scenario', `no scenario is called "${name}"`)
  return scenario
}
