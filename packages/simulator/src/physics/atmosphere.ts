/** Air outside: pressure by height, and density. */
import { power } from '../math.js'

/** J/(kg·K) of dry air. Source: common handbook value. */
export const AIR_GAS_CONSTANT = 287
/** K at 0 °C. */
export const ICE_POINT = 273.15

/**
 * Pressure of the standard atmosphere, kPa, by metres above sea level (0 to 11,000):
 * 101.325 · (1 − 2.25577e−5·h)^5.2559. Source: ISO 2533 standard atmosphere, troposphere.
 */
export function standardPressure(altitude: number): number {
  return 101.325 * power(1 - 2.25577e-5 * altitude, 5.2559)
}

/** Density of air, kg/m³, by the ideal gas law, from kPa and °C. */
export function airDensity(pressure: number, temperature: number): number {
  return (pressure * 1000) / (AIR_GAS_CONSTANT * (temperature + ICE_POINT))
}

/**
 * Air a four-stroke engine draws, kg/h, by speed and density: 3600·VE·V·(n/120)·p/(R·T).
 * Source: the speed-density relation of any handbook of engines.
 *
 * @param displacement m³
 * @param pressure absolute, kPa
 * @param temperature °C
 */
export function speedDensity(
  rpm: number,
  displacement: number,
  efficiency: number,
  pressure: number,
  temperature: number,
): number {
  return 3600 * efficiency * displacement * (rpm / 120) * airDensity(pressure, temperature)
}
