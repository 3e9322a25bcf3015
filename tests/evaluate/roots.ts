/** What the right answer is: for each root cause the simulator builds in, the findings that name it. */
import type { Finding } from '@firstcrank/analysis'

/** Findings that are right; with `spn`, only where they explain a fault of that SPN. */
interface Root {
  readonly ids: readonly string[]
  readonly spn?: number
}

/** By the simulator's short name of the cause. */
export const ROOTS: Readonly<Record<string, Root>> = {
  'heater-open': { ids: ['heater-open'] },
  'heater-stuck-on': { ids: ['heater-stuck-on'] },
  'poor-ground': { ids: ['voltage-drop-in-crank'] },
  'battery-low': { ids: ['battery-weak'] },
  'fuel-air': { ids: ['fuel-air'] },
  'fuel-water': { ids: ['fuel-water'] },
  'weak-cylinder': { ids: ['cylinder-weak'] },
  'oil-filter-dry': { ids: ['oil-filter-dry'] },
  'oil-way-blocked': { ids: ['oil-pressure-missing'] },
  'oil-switch': { ids: ['oil-pressure-switch'] },
  'air-mass-unplugged': { ids: ['circuit-low', 'circuit-open'], spn: 132 },
  'air-mass-tube': { ids: ['air-mass-tube'] },
  'intake-temperature-open': { ids: ['circuit-open', 'circuit-high'], spn: 105 },
  'connectors-swapped': { ids: ['sensors-swapped'] },
  'boost-leak': { ids: ['boost-leak'] },
  'intake-pressure-drift': { ids: ['boost-sensor-offset'] },
  'egr-stuck': { ids: ['egr-stuck'] },
  'thermostat-open': { ids: ['thermostat-open'] },
  'radiator-blocked': { ids: ['overheating'] },
  'supply-1-short': { ids: ['sensor-supply-short'] },
  terminator: { ids: ['bus-wiring'] },
  'pedal-track': { ids: ['pedal-track'] },
  'alternator-dead': { ids: ['not-charging'] },
  'crank-sensor': { ids: ['crank-sensor'] },
  'ignition-feed': { ids: ['key-feed-lost'] },
  'address-conflict': { ids: ['address-conflict'] },
}

/** Whether a finding names the root cause of a scenario. */
export function namesRoot({ id, faults }: Pick<Finding, 'id' | 'faults'>, cause: string): boolean {
  const root = ROOTS[cause]
  if (root === undefined || !root.ids.includes(id)) return false
  return root.spn === undefined || faults.some(({ spn }) => spn === root.spn)
}
