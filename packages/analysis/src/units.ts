/**
 * Units as a person wants to read them: those of the bus, or those of a workshop in the United States.
 * Conversion happens where something is shown, never before: a report holds the units of the catalogue.
 *
 * Factors are exact by definition: pound 0.45359237 kg, inch 0.0254 m, mile 1,609.344 m, US gallon
 * 231 cubic inches, standard gravity 9.80665 m/s². Source: NIST Special Publication 811, appendix B.
 */
import type { Unit } from '@firstcrank/decoder/catalog'

/** Which units a person reads. `metric` is what the bus sends. */
export type UnitSystem = 'metric' | 'us'

/** Every choice of units. */
export const UNIT_SYSTEMS: readonly UnitSystem[] = ['metric', 'us']

/** How a unit of the catalogue is shown in the other system: shown = value × factor + offset. */
export interface Conversion {
  readonly unit: string
  readonly factor: number
  /** Of temperatures; a difference of two has none. */
  readonly offset: number
}

const POUND = 0.45359237
const INCH = 0.0254
const FOOT: number = 12 * INCH
const MILE = 1609.344
/** Litres in a US gallon. */
const GALLON: number = 231 * INCH ** 3 * 1000
const GRAVITY = 9.80665
/** Newtons in a pound-force, and pascals in a pound-force per square inch. */
const POUND_FORCE: number = POUND * GRAVITY
const PSI: number = POUND_FORCE / INCH ** 2
/** Watts in a mechanical horsepower: 550 foot-pounds a second. */
const HORSEPOWER: number = 550 * FOOT * POUND_FORCE

const times = (unit: string, factor: number): Conversion => ({ unit, factor, offset: 0 })

/** What is shown in other units in the United States; all else is shown as it is sent. */
export const US_UNITS: Readonly<Partial<Record<Unit, Conversion>>> = {
  '°C': { unit: '°F', factor: 9 / 5, offset: 32 },
  kPa: times('psi', 1000 / PSI),
  MPa: times('psi', 1e6 / PSI),
  'km/h': times('mph', 1000 / MILE),
  km: times('mi', 1000 / MILE),
  m: times('ft', 1 / FOOT),
  mm: times('in', 1 / (1000 * INCH)),
  L: times('gal', 1 / GALLON),
  'L/h': times('gal/h', 1 / GALLON),
  'km/L': times('mi/gal', (1000 / MILE) * GALLON),
  kg: times('lb', 1 / POUND),
  'kg/h': times('lb/h', 1 / POUND),
  kN: times('lbf', 1000 / POUND_FORCE),
  N·m: times('lb·ft', 1 / (POUND_FORCE * FOOT)),
  kW: times('hp', 1000 / HORSEPOWER),
}

/** What a unit is shown as. */
export function shownUnit(unit: Unit, system: UnitSystem): string {
  return conversionOf(unit, system)?.unit ?? unit
}

/** A value in the unit it is shown in. */
export function shownValue(value: number, unit: Unit, system: UnitSystem): number {
  const conversion = conversionOf(unit, system)
  return conversion === undefined ? value : value * conversion.factor + conversion.offset
}

/** A difference of two values, or an uncertainty, in the unit it is shown in. */
export function shownDifference(difference: number, unit: Unit, system: UnitSystem): number {
  return difference * (conversionOf(unit, system)?.factor ?? 1)
}

function conversionOf(unit: Unit, system: UnitSystem): Conversion | undefined {
  return system === 'us' ? US_UNITS[unit] : undefined
}
