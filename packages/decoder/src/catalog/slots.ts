/**
 * Scales that many signals share: width, resolution, offset and unit. The standard calls such a
 * combination a SLOT (scaling, limit, offset and transfer function) and gives it a number; here it
 * has a name made of its unit and step. A signal with a scale of its own writes it in its row.
 *
 * Which slot a signal has is part of the signal's definition and carries the signal's source.
 */
import type { Unit } from './units.js'

/** Width and scale of a number: value = raw × resolution + offset. */
export interface Slot {
  readonly bits: number
  readonly resolution: number
  readonly offset: number
  readonly unit: Unit
}

/** A slot in one line: bits, resolution, offset, unit. */
export function slot(bits: number, resolution: number, offset: number, unit: Unit): Slot {
  return { bits, resolution, offset, unit }
}

// Temperature
export const TEMP_8: Slot = slot(8, 1, -40, '°C')
export const TEMP_16: Slot = slot(16, 1 / 32, -273, '°C')

// Per cent
export const PERCENT: Slot = slot(8, 0.4, 0, '%')
export const PERCENT_16: Slot = slot(16, 0.0025, 0, '%')
/** 0 to 250 %. */
export const PERCENT_250: Slot = slot(8, 1, 0, '%')
/** Quarters of a per cent, of a solution. */
export const CONCENTRATION: Slot = slot(8, 0.25, 0, '%')
/** −125 to 125 %, of a reference torque. */
export const TORQUE_PCT: Slot = slot(8, 1, -125, '%')
/** Eighths of a per cent of torque, 0 to 0.875: only raw 0 to 7 are values. */
export const TORQUE_EIGHTHS: Slot = slot(4, 0.125, 0, '%')

// Rotational speed
export const RPM: Slot = slot(16, 0.125, 0, 'rpm')
export const RPM_0_5: Slot = slot(16, 0.5, 0, 'rpm')
export const RPM_4: Slot = slot(16, 4, 0, 'rpm')
export const RPM_10: Slot = slot(8, 10, 0, 'rpm')

// Pressure
export const KPA_0_05: Slot = slot(8, 0.05, 0, 'kPa')
export const KPA_0_5: Slot = slot(8, 0.5, 0, 'kPa')
export const KPA_2: Slot = slot(8, 2, 0, 'kPa')
export const KPA_4: Slot = slot(8, 4, 0, 'kPa')
export const KPA_5: Slot = slot(8, 5, 0, 'kPa')
export const KPA_8: Slot = slot(8, 8, 0, 'kPa')
export const KPA_16: Slot = slot(8, 16, 0, 'kPa')
export const KPA_0_1_16: Slot = slot(16, 0.1, 0, 'kPa')
export const KPA_0_125_16: Slot = slot(16, 0.125, 0, 'kPa')
export const KPA_0_5_16: Slot = slot(16, 0.5, 0, 'kPa')
/** −250 to about 252 kPa in 1/128 kPa. */
export const KPA_SIGNED: Slot = slot(16, 1 / 128, -250, 'kPa')
export const MPA: Slot = slot(16, 1 / 256, 0, 'MPa')

// Road speed, distance, acceleration
export const KMH_8: Slot = slot(8, 1, 0, 'km/h')
export const KMH_16: Slot = slot(16, 1 / 256, 0, 'km/h')
/** Difference of a wheel's speed from its axle's. */
export const KMH_RELATIVE: Slot = slot(8, 1 / 16, -7.8125, 'km/h')
export const KM: Slot = slot(32, 0.125, 0, 'km')
export const M_5: Slot = slot(32, 5, 0, 'm')
export const ACCELERATION: Slot = slot(16, 1 / 2048, -15.687, 'm/s²')
export const ACCELERATION_8: Slot = slot(8, 0.1, -12.5, 'm/s²')
/** Tilt, −64 to about 64.5 degrees, and how fast it changes. */
export const TILT: Slot = slot(16, 0.002, -64, 'deg')
export const TILT_RATE: Slot = slot(16, 0.002, -64, 'deg/s')
/** Crank angle before top dead centre, −200 to about 302 degrees. */
export const TIMING: Slot = slot(16, 1 / 128, -200, 'deg')

// Fuel and other volumes, mass flow, mass
export const LITRES: Slot = slot(32, 0.5, 0, 'L')
export const LITRES_0_001: Slot = slot(32, 0.001, 0, 'L')
export const LITRES_PER_HOUR: Slot = slot(16, 0.05, 0, 'L/h')
export const KM_PER_LITRE: Slot = slot(16, 1 / 512, 0, 'km/L')
export const KG_PER_HOUR: Slot = slot(16, 0.05, 0, 'kg/h')
export const KG_PER_HOUR_0_2: Slot = slot(16, 0.2, 0, 'kg/h')
export const KG_0_5: Slot = slot(16, 0.5, 0, 'kg')
/** Totals of gaseous fuel. */
export const KG_0_5_32: Slot = slot(32, 0.5, 0, 'kg')
export const KG_2: Slot = slot(16, 2, 0, 'kg')
export const KG_10: Slot = slot(16, 10, 0, 'kg')
/** Exhaust fluid dosed in an hour. */
export const DOSING: Slot = slot(16, 0.3, 0, 'g/h')

// Gas composition
export const PPM_NOX: Slot = slot(16, 0.05, -200, 'ppm')
export const PERCENT_O2: Slot = slot(16, 0.000514, -12, '%')

// Time
export const HOURS_0_05: Slot = slot(32, 0.05, 0, 'h')
export const SECONDS_16: Slot = slot(16, 1, 0, 's')
export const SECONDS_32: Slot = slot(32, 1, 0, 's')

// Electrical
export const VOLTS: Slot = slot(16, 0.05, 0, 'V')
export const VOLTS_AC: Slot = slot(16, 1, 0, 'V')
export const HERTZ: Slot = slot(16, 1 / 128, 0, 'Hz')
export const AMPERES_AC: Slot = slot(16, 1, 0, 'A')
/** Power as the standard counts it: 1 W steps from −2,000,000,000 W, here in kW. */
export const REAL_POWER: Slot = slot(32, 0.001, -2_000_000, 'kW')
export const APPARENT_POWER: Slot = slot(32, 0.001, -2_000_000, 'kVA')
export const REACTIVE_POWER: Slot = slot(32, 0.001, -2_000_000, 'kvar')
export const POWER_FACTOR: Slot = slot(16, 1 / 16384, -1, 'ratio')
export const ENERGY: Slot = slot(32, 1, 0, 'kWh')

// Torque, power
export const NEWTON_METRES: Slot = slot(16, 1, 0, 'N·m')
export const KILOWATTS: Slot = slot(16, 0.5, 0, 'kW')

// Counts and gears
export const COUNT_8: Slot = slot(8, 1, 0, 'count')
export const COUNT_16: Slot = slot(16, 1, 0, 'count')
export const COUNT_32: Slot = slot(32, 1, 0, 'count')
/** −125 to 125: negative is reverse, 0 neutral, 126 (raw 251) park. */
export const GEAR: Slot = slot(8, 1, -125, 'gear')
