/** Names for numbers: source addresses, NAME fields, acknowledgements, and SPNs that appear in faults. */
import { findSignals } from '../built-in.js'
import { type FaultTable, faultNamesOf } from './fault-table.js'
import { AFTERTREATMENT_FAULTS } from './faults-aftertreatment.js'
import { AIR_FAULTS } from './faults-air.js'
import { BRAKE_FAULTS } from './faults-brakes.js'
import { DRIVELINE_FAULTS } from './faults-driveline.js'
import { ELECTRICAL_FAULTS } from './faults-electrical.js'
import { ENGINE_FAULTS } from './faults-engine.js'
import { FUEL_FAULTS } from './faults-fuel.js'
import { GENERATOR_FAULTS } from './faults-generator.js'
import { NETWORK_FAULTS } from './faults-network.js'
import { VEHICLE_FAULTS } from './faults-vehicle.js'

export * from './acknowledgements.js'
export * from './fault-sources.js'
export * from './fault-table.js'
export * from './functions.js'
export * from './node-role.js'
export * from './source-addresses.js'
export * from './sources.js'

/**
 * All fault name tables: what no parameter group carries. Each is a module of its own, for a program
 * that wants only some.
 */
export const FAULT_TABLES: readonly FaultTable[] = [
  ENGINE_FAULTS,
  FUEL_FAULTS,
  AIR_FAULTS,
  AFTERTREATMENT_FAULTS,
  ELECTRICAL_FAULTS,
  NETWORK_FAULTS,
  GENERATOR_FAULTS,
  DRIVELINE_FAULTS,
  BRAKE_FAULTS,
  VEHICLE_FAULTS,
]

let names: ReadonlyMap<number, string> | undefined

/**
 * What the SPN of a fault stands for: the name under which a parameter group carries it, else that of
 * the fault tables.
 * @param ownName The name a person's own definitions give the SPN, if they do: it wins.
 * @returns undefined where nobody knows the SPN.
 */
export function faultName(spn: number, ownName?: (spn: number) => string | undefined): string | undefined {
  names ??= faultNamesOf(FAULT_TABLES)
  return ownName?.(spn) ?? findSignals(spn)[0]?.signal.name ?? names.get(spn)
}
