/** What is looked for beside each fault, by the class of its failure mode. */
import type { FaultContext } from '../context.js'
import type { ActiveFault } from '../finding.js'
import type { FaultClass } from '../knowledge/index.js'
import { type Sight, sight, volts } from '../sight.js'
import { airRatioOff } from './air.js'
import { boostAtRest, boostWeakUnderLoad } from './boost.js'
import { circuitState } from './circuit.js'
import { deliveryStarved, railLow, waterReported } from './fuel.js'
import { heaterDrawsNothing } from './heater.js'
import { busSilent, neverHeard, nothingMissing, oneNodeSilent } from './network.js'
import { oilPressureAbsent } from './oil.js'
import { keyFeedLost, notCharging, stopsAndGoesOn, voltsAt } from './power.js'
import { speedDrops } from './speed.js'
import { SUPPLY_VOLTAGES, supplyVoltageWrong } from './together.js'
import { impossibleStep, limitCrossed, siblingsDiffer } from './value.js'
import { egrDoesNotFollow } from './valve.js'

/** A pattern beside a fault: for which classes and SPNs it is looked for, and what it means. */
export interface FaultPattern {
  /** Stable name. */
  readonly name: string
  readonly classes: readonly FaultClass[]
  /** Only for these; for all where not given. */
  readonly spns?: readonly number[]
  readonly look: (context: FaultContext, fault: ActiveFault) => Sight | null
  readonly seen: 'for' | 'against' | null
  readonly absent: 'for' | 'against' | null
}

const CIRCUIT: readonly FaultClass[] = ['volts-high', 'volts-low', 'open', 'overcurrent']
const VALUE: readonly FaultClass[] = ['high', 'low']
const WRONG: readonly FaultClass[] = ['implausible', 'calibration', 'pulses']
const NETWORK: readonly FaultClass[] = ['late', 'invalid']
const ALL: readonly FaultClass[] = [...CIRCUIT, ...VALUE, ...WRONG, ...NETWORK, 'no-response', 'unspecific']

/** Only one of the states of a circuit, under its own name. */
const circuit = (state: 'error' | 'pinned' | 'frozen' | 'lively') => (context: FaultContext, fault: ActiveFault) => {
  const found = circuitState(context, fault)
  return found?.state === state ? found.sight : null
}

/** As one fault alone. */
const alone =
  (look: (context: FaultContext, faults: readonly ActiveFault[]) => Sight | null) =>
  (context: FaultContext, fault: ActiveFault) =>
    look(context, [fault])

const row = (
  name: string,
  classes: readonly FaultClass[],
  look: FaultPattern['look'],
  means: Partial<Pick<FaultPattern, 'seen' | 'absent' | 'spns'>> = {},
): FaultPattern => ({ name, classes, look, seen: 'for', absent: null, ...means })

/** The table. */
export const FAULT_PATTERNS: readonly FaultPattern[] = [
  row('status-error', [...CIRCUIT, 'invalid', 'implausible', 'unspecific'], circuit('error')),
  row('value-pinned', [...CIRCUIT, 'implausible', 'no-response'], circuit('pinned')),
  row('value-frozen', [...CIRCUIT, 'implausible'], circuit('frozen')),
  row('value-lively', CIRCUIT, circuit('lively'), { seen: 'against' }),
  row('limit-crossed', VALUE, limitCrossed, { absent: 'against' }),
  row('siblings-differ', [...CIRCUIT, ...WRONG], siblingsDiffer),
  row('siblings-differ', VALUE, siblingsDiffer, { seen: 'against' }),
  row('impossible-step', [...WRONG, 'no-response'], impossibleStep),
  row('residual', [...WRONG, ...VALUE], (context) => airRatioOff(context), { spns: [132], absent: 'against' }),
  row('residual', [...WRONG, 'high'], (context) => boostAtRest(context), { spns: [102, 3563], absent: 'against' }),
  row('residual', ['low'], (context) => boostWeakUnderLoad(context), { spns: [102, 3563] }),
  row('residual', ['low'], (context) => railLow(context), { spns: [157], absent: 'against' }),
  row('residual', ['low'], (context) => deliveryStarved(context), { spns: [94], absent: 'against' }),
  row('residual', ['low'], (context) => oilPressureAbsent(context), { spns: [100], absent: 'against' }),
  row('residual', ['low'], (context) => notCharging(context), { spns: [167], absent: 'against' }),
  row('supply-voltage-wrong', [...CIRCUIT, ...VALUE, 'implausible', 'unspecific'], alone(supplyVoltageWrong), {
    spns: [...SUPPLY_VOLTAGES, 620, 1079, 1080],
  }),
  row('state-reported', [...VALUE, 'unspecific'], (context) => waterReported(context), {
    spns: [97],
    absent: 'against',
  }),
  row('no-effect', ['open', 'overcurrent', 'no-response'], (context) => heaterDrawsNothing(context), {
    spns: [729, 730],
    absent: 'against',
  }),
  row('no-effect', ['no-response', 'implausible'], (context) => egrDoesNotFollow(context), {
    spns: [27, 2791],
    absent: 'against',
  }),
  row('speed-drops', [...WRONG, 'low'], (context) => speedDrops(context), {
    spns: [190, 636, 637, 723],
    absent: 'against',
  }),
  row('feed-lost', ALL, (context) => keyFeedLost(context), { spns: [158] }),
  row('feed-flickers', ALL, (context) => stopsAndGoesOn(context), { spns: [158] }),
  row(
    'bus-silent',
    NETWORK,
    alone((context, faults) => seenOnly(busSilent(context, faults))),
  ),
  row(
    'message-gap',
    NETWORK,
    alone((context, faults) => seenOnly(oneNodeSilent(context, faults))),
  ),
  row(
    'never-heard',
    NETWORK,
    alone((context, faults) => seenOnly(neverHeard(context, faults))),
  ),
  row(
    'nothing-missing',
    NETWORK,
    alone((context, faults) => seenOnly(nothingMissing(context, faults))),
    { seen: 'against' },
  ),
  row('low-supply', ALL, lowSupply, { seen: 'against' }),
]

function seenOnly(found: Sight | null): Sight | null {
  return found?.seen ? found : null
}

/** SPNs that are about the supply themselves. */
const ABOUT_SUPPLY: ReadonlySet<number> = new Set([158, 167, 168, 444, 627, 152, 1485])
/** Below this, V, any controller may misjudge. Common practice. */
const TOO_LOW = 9.6

/** `low-supply`: the supply was so low that the fault may be its consequence. */
function lowSupply(context: FaultContext, fault: ActiveFault): Sight | null {
  if (ABOUT_SUPPLY.has(fault.spn)) return null
  const first = fault.episodes[0]
  const value = first === undefined ? null : voltsAt(context, first.firstSeen)
  if (value === null || value >= TOO_LOW * context.voltage) return null
  return sight(
    true,
    `The supply was only ${volts(value)} when it came: it may be no more than a consequence.`,
    { from: fault.from, to: fault.from },
    [context.voltsRef],
  )
}

/** Patterns that are looked for beside a fault. */
export function patternsFor({ class: faultClass, spn }: ActiveFault): FaultPattern[] {
  return FAULT_PATTERNS.filter(
    ({ classes, spns }) => classes.includes(faultClass) && (spns === undefined || spns.includes(spn)),
  )
}
