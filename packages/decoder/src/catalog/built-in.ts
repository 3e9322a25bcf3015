/**
 * Every definition there is, and the ways to look one up. A file of groups is added here, in `GROUPS`,
 * and nowhere else.
 */
import { type GroupDefinition, type SignalDefinition, signalsOf } from './definition.js'
import { AFTERTREATMENT } from './groups/aftertreatment.js'
import { AFTERTREATMENT_BANK_2 } from './groups/aftertreatment-bank-2.js'
import { AFTERTREATMENT_DOSING } from './groups/aftertreatment-dosing.js'
import { BODY } from './groups/body.js'
import { BRAKES } from './groups/brakes.js'
import { CRUISE_CONTROL } from './groups/cruise-control.js'
import { DIAGNOSTICS } from './groups/diagnostics.js'
import { DRIVER_ASSISTANCE } from './groups/driver-assistance.js'
import { ELECTRICAL } from './groups/electrical.js'
import { ENGINE_AIR } from './groups/engine-air.js'
import { ENGINE_CYLINDERS } from './groups/engine-cylinders.js'
import { ENGINE_FUEL } from './groups/engine-fuel.js'
import { ENGINE_SPEED } from './groups/engine-speed.js'
import { ENGINE_START } from './groups/engine-start.js'
import { ENGINE_TEMPERATURE } from './groups/engine-temperature.js'
import { GENERATOR } from './groups/generator.js'
import { HOURS_DISTANCE } from './groups/hours-distance.js'
import { IDENTIFICATION } from './groups/identification.js'
import { LIGHTS } from './groups/lights.js'
import { NETWORK } from './groups/network.js'
import { RETARDER } from './groups/retarder.js'
import { TRANSMISSION } from './groups/transmission.js'
import { TRIP } from './groups/trip.js'
import { VEHICLE_MOTION } from './groups/vehicle-motion.js'

/** All parameter groups, by theme. */
export const GROUPS: readonly GroupDefinition[] = [
  ...ENGINE_SPEED,
  ...ENGINE_START,
  ...ENGINE_FUEL,
  ...ENGINE_AIR,
  ...ENGINE_TEMPERATURE,
  ...ENGINE_CYLINDERS,
  ...AFTERTREATMENT,
  ...AFTERTREATMENT_DOSING,
  ...AFTERTREATMENT_BANK_2,
  ...ELECTRICAL,
  ...GENERATOR,
  ...BRAKES,
  ...RETARDER,
  ...TRANSMISSION,
  ...CRUISE_CONTROL,
  ...DRIVER_ASSISTANCE,
  ...VEHICLE_MOTION,
  ...HOURS_DISTANCE,
  ...TRIP,
  ...BODY,
  ...LIGHTS,
  ...IDENTIFICATION,
  ...DIAGNOSTICS,
  ...NETWORK,
]

/** A signal and the group that carries it. */
export interface SignalInGroup {
  readonly group: GroupDefinition
  readonly signal: SignalDefinition
}

const byPgn: ReadonlyMap<number, GroupDefinition> = new Map(GROUPS.map((group) => [group.pgn, group]))

let bySpn: ReadonlyMap<number, readonly SignalInGroup[]> | undefined

function placesBySpn(): ReadonlyMap<number, readonly SignalInGroup[]> {
  const places = new Map<number, SignalInGroup[]>()
  for (const group of GROUPS) {
    for (const signal of signalsOf(group)) {
      const known = places.get(signal.spn)
      if (known) known.push({ group, signal })
      else places.set(signal.spn, [{ group, signal }])
    }
  }
  return places
}

/** The definition of a parameter group, if there is one. */
export function findGroup(pgn: number): GroupDefinition | undefined {
  return byPgn.get(pgn)
}

/** Every place where a suspect parameter is carried: some are in more than one group. */
export function findSignals(spn: number): readonly SignalInGroup[] {
  bySpn ??= placesBySpn()
  return bySpn.get(spn) ?? []
}
