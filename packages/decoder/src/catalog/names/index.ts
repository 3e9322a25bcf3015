/** Names for numbers: source addresses, NAME fields, acknowledgements, and SPNs that appear in faults. */
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
export * from './source-addresses.js'
export * from './sources.js'

/** All fault name tables. Each is a module of its own, for a program that wants only some. */
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

let names: Map<number, string> | undefined

/**
 * What the SPN of a fault stands for.
 * @param signalName The name under which a parameter group carries the SPN, if one does: it wins.
 * @returns undefined where neither knows the SPN.
 */
export function faultName(spn: number, signalName?: (spn: number) => string | undefined): string | undefined {
  names ??= faultNamesOf(FAULT_TABLES)
  return signalName?.(spn) ?? names.get(spn)
}
