/** Air: the standard atmosphere, density, and what an engine draws of it. */

/** Specific gas constant of dry air, J/(kg·K). Source: common handbook value. */
export const AIR_GAS_CONSTANT = 287
/** 0 °C in kelvin. */
export const ICE_POINT = 273.15

/**
 * Pressure of the standard atmosphere, kPa absolute, by metres above sea level (−450 to 11,000):
 * p = 101.325 · (1 − 2.2558·10⁻⁵ · h)^5.256. Source: ISO 2533 standard atmosphere, constants rounded as
 * handbooks do.
 */
export function standardPressure(altitude: number): number {
  return 101.325 * (1 - 2.2558e-5 * altitude) ** 5.256
}

/** Density of air, kg/m³, from kPa absolute and °C. Source: ideal gas law. */
export function airDensity(pressure: number, temperature: number): number {
  return (pressure * 1000) / (AIR_GAS_CONSTANT * (temperature + ICE_POINT))
}

/** What the breathing of an engine depends on. */
export interface Breathing {
  /** rpm */
  readonly speed: number
  /** Litres. */
  readonly displacement: number
  /** How well the cylinders fill, 0 to about 1. */
  readonly efficiency: number
  /** Intake manifold, kPa absolute. */
  readonly pressure: number
  /** Intake manifold, °C. */
  readonly temperature: number
}

/**
 * Gas a four-stroke engine draws from its manifold, kg/h: 3600 · VE · V · (n/120) · p/(R·T). Source:
 * the speed-density relation, as in a published compression-ignition air model.
 */
export function speedDensity({ speed, displacement, efficiency, pressure, temperature }: Breathing): number {
  return 3600 * efficiency * (displacement / 1000) * (speed / 120) * airDensity(pressure, temperature)
}
