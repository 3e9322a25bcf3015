/**
 * Every definition, and the two ways to look one up. A file of groups is added here, in `GROUPS`,
 * and nowhere else.
 */
import type { GroupDefinition, SignalDefinition } from './definition.js'
import { AFTERTREATMENT } from './groups/aftertreatment.js'
import { BODY } from './groups/body.js'
import { BRAKES } from './groups/brakes.js'
import { CRUISE_CONTROL } from './groups/cruise-control.js'
import { ELECTRICAL } from './groups/electrical.js'
import { ENGINE_AIR } from './groups/engine-air.js'
import { ENGINE_FUEL } from './groups/engine-fuel.js'
import { ENGINE_SPEED } from './groups/engine-speed.js'
import { ENGINE_START } from './groups/engine-start.js'
import { ENGINE_TEMPERATURE } from './groups/engine-temperature.js'
import { HOURS_DISTANCE } from './groups/hours-distance.js'
import { IDENTIFICATION } from './groups/identification.js'
import { MORE_AFTERTREATMENT } from './groups/more-aftertreatment.js'
import { MORE_ASSISTANCE } from './groups/more-assistance.js'
import { MORE_BODY } from './groups/more-body.js'
import { MORE_CYLINDERS } from './groups/more-cylinders.js'
import { MORE_DRIVELINE } from './groups/more-driveline.js'
import { MORE_ELECTRICAL } from './groups/more-electrical.js'
import { MORE_ENGINE } from './groups/more-engine.js'
import { MORE_GENSET } from './groups/more-genset.js'
import { MORE_NETWORK } from './groups/more-network.js'
import { MORE_TRIP } from './groups/more-trip.js'
import { RETARDER } from './groups/retarder.js'
import { TRANSMISSION } from './groups/transmission.js'
import { VEHICLE_MOTION } from './groups/vehicle-motion.js'

export type * from './definition.js'
export { startBit } from './definition.js'
export { SOURCES, type SourceId } from './sources.js'
export { UNITS, type Unit } from './units.js'

/** All parameter groups. */
export const GROUPS: readonly GroupDefinition[] = [
  ...ENGINE_SPEED,
  ...ENGINE_START,
  ...ENGINE_FUEL,
  ...ENGINE_AIR,
  ...ENGINE_TEMPERATURE,
  ...AFTERTREATMENT,
  ...ELECTRICAL,
  ...BRAKES,
  ...RETARDER,
  ...TRANSMISSION,
  ...CRUISE_CONTROL,
  ...VEHICLE_MOTION,
  ...HOURS_DISTANCE,
  ...BODY,
  ...IDENTIFICATION,
  ...MORE_AFTERTREATMENT,
  ...MORE_ASSISTANCE,
  ...MORE_BODY,
  ...MORE_CYLINDERS,
  ...MORE_DRIVELINE,
  ...MORE_ELECTRICAL,
  ...MORE_ENGINE,
  ...MORE_GENSET,
  ...MORE_NETWORK,
  ...MORE_TRIP,
]

/** A signal and the group that carries it. */
export interface SignalInGroup {
  readonly group: GroupDefinition
  readonly signal: SignalDefinition
}

const byPgn: ReadonlyMap<number, GroupDefinition> = new Map(GROUPS.map((group) => [group.pgn, group]))

/** The definition of a parameter group, if there is one. */
export function findGroup(pgn: number): GroupDefinition | undefined {
  return byPgn.get(pgn)
}

/** Every place where a suspect parameter is carried: some are in more than one group. */
export function findSignals(spn: number): SignalInGroup[] {
  const found: SignalInGroup[] = []
  for (const group of GROUPS) {
    for (const signal of signalsOf(group)) {
      if (signal.spn === spn) found.push({ group, signal })
    }
  }
  return found
}

/** All signals of a group, those of its repeated part last. */
export function signalsOf(group: GroupDefinition): readonly SignalDefinition[] {
  return group.repeat ? [...group.signals, ...group.repeat.signals] : group.signals
}
