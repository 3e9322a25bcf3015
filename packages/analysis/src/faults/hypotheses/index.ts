/** Every cause that is more than one part’s own. */
import type { Hypothesis } from './hypothesis.js'
import { NETWORK_CAUSES } from './network.js'
import { POWER } from './power.js'
import { RUNNING_CAUSES } from './running.js'
import { STARTING_CAUSES } from './starting.js'
import { WIRING } from './wiring.js'

export * from './hypothesis.js'

export const HYPOTHESES: readonly Hypothesis[] = [
  ...WIRING,
  ...POWER,
  ...NETWORK_CAUSES,
  ...STARTING_CAUSES,
  ...RUNNING_CAUSES,
]
