/**
 * Preferred source addresses: what a node most likely is when only its address is known. A node may
 * hold any address, so a claimed NAME says more than this (see `functions.ts`).
 */
import type { SourceLists } from './sources.js'

/** Lowest and highest address that nodes without a preferred one choose from. */
export const DYNAMIC_ADDRESSES: readonly [lowest: number, highest: number] = [128, 247]

/** Addresses that mean the same in every industry group. 95 to 127 are not listed. */
export const GLOBAL_ADDRESSES: Readonly<Record<number, string>> = {
  0: 'Engine 1',
  1: 'Engine 2',
  2: 'Turbocharger',
  3: 'Transmission 1',
  4: 'Transmission 2',
  5: 'Shift console, primary',
  6: 'Shift console, secondary',
  7: 'PTO, main or rear',
  8: 'Axle, steering',
  9: 'Axle, drive 1',
  10: 'Axle, drive 2',
  11: 'Brakes, system controller',
  12: 'Brakes, steer axle',
  13: 'Brakes, drive axle 1',
  14: 'Brakes, drive axle 2',
  15: 'Retarder, engine',
  16: 'Retarder, driveline',
  17: 'Cruise control',
  18: 'Fuel system',
  19: 'Steering controller',
  20: 'Suspension, steer axle',
  21: 'Suspension, drive axle 1',
  22: 'Suspension, drive axle 2',
  23: 'Instrument cluster 1',
  24: 'Trip recorder',
  25: 'Climate control 1',
  26: 'Alternator or charging system',
  27: 'Aerodynamic control',
  28: 'Vehicle navigation',
  29: 'Vehicle security',
  30: 'Electrical system',
  31: 'Starter system',
  32: 'Tractor-trailer bridge 1',
  33: 'Body controller',
  34: 'Auxiliary valve control or air system valve control',
  35: 'Hitch control',
  36: 'PTO, front or secondary',
  37: 'Off-vehicle gateway',
  38: 'Virtual terminal in cab',
  39: 'Management computer 1',
  40: 'Cab display 1',
  41: 'Retarder, exhaust, engine 1',
  42: 'Headway controller',
  43: 'On-board diagnostic unit',
  44: 'Retarder, exhaust, engine 2',
  45: 'Endurance braking system',
  46: 'Hydraulic pump controller',
  47: 'Suspension, system controller 1',
  48: 'Pneumatic system controller',
  49: 'Cab controller, primary',
  50: 'Cab controller, secondary',
  51: 'Tire pressure controller',
  52: 'Ignition control 1',
  53: 'Ignition control 2',
  54: 'Seat control 1',
  55: 'Lighting, operator controls',
  56: 'Rear axle steering controller 1',
  57: 'Water pump controller',
  58: 'Climate control 2',
  59: 'Transmission display, primary',
  60: 'Transmission display, secondary',
  61: 'Exhaust emission controller',
  62: 'Vehicle dynamic stability controller',
  63: 'Oil sensor',
  64: 'Suspension, system controller 2',
  65: 'Information system controller 1',
  66: 'Ramp control',
  67: 'Clutch or converter unit',
  68: 'Auxiliary heater 1',
  69: 'Auxiliary heater 2',
  70: 'Engine valve controller',
  71: 'Chassis controller 1',
  72: 'Chassis controller 2',
  73: 'Propulsion battery charger',
  74: 'Communications unit, cellular',
  75: 'Communications unit, satellite',
  76: 'Communications unit, radio',
  77: 'Steering column unit',
  78: 'Fan drive controller',
  79: 'Seat control 2',
  80: 'Parking brake controller',
  81: 'Aftertreatment 1, gas intake',
  82: 'Aftertreatment 1, gas outlet',
  83: 'Safety restraint system',
  84: 'Cab display 2',
  85: 'DPF controller',
  86: 'Aftertreatment 2, gas intake',
  87: 'Aftertreatment 2, gas outlet',
  88: 'Safety restraint system 2',
  89: 'Atmospheric sensor',
  90: 'Powertrain control module',
  91: 'Power systems manager',
  92: 'Engine injection control module',
  93: 'Fire protection system',
  94: 'Driver impairment device',
  248: 'File server or printer',
  249: 'Off-board diagnostic service tool 1',
  250: 'Off-board diagnostic service tool 2',
  251: 'On-board data logger',
  252: 'Reserved for experimental use',
  253: 'Reserved for OEM',
  254: 'Null address',
  255: 'Global',
}

/** What each of a trailer's eight addresses is for. */
const TRAILER_UNITS = [
  'bridge',
  'lighting and electrical system',
  'brakes',
  'refrigeration unit',
  'cargo',
  'chassis and suspension',
  'other device 1',
  'other device 2',
]

/** First address of each trailer, the one nearest to the towing vehicle first (as in ISO 11992). */
const TRAILER_ADDRESSES = [200, 192, 184, 176, 168]

const trailerNames = TRAILER_ADDRESSES.flatMap((first, trailer) =>
  TRAILER_UNITS.map((unit, offset): [number, string] => [first + offset, `Trailer ${trailer + 1} ${unit}`]),
)

/** Addresses 128 to 247 by industry group; the marine and the construction ones are not listed. */
export const GROUP_ADDRESSES: Readonly<Record<number, Readonly<Record<number, string>>>> = {
  1: { ...Object.fromEntries(trailerNames), 238: 'Tachograph' },
  2: { 240: 'Tractor ECU', 247: 'Task controller' },
  5: { 234: 'Generator set controller' },
}

/** Which global addresses which source names. All others are from memory. */
export const ADDRESS_SOURCES: SourceLists = {
  'claim-lab': [...Array.from({ length: 95 }, (_, address) => address), ...[248, 249, 250, 251, 254, 255]],
  truck: [0, 3, 11, 16, 23, 39, 47, 48],
  'top-level-standard': [249, 250],
  'io-manual': [251],
  'kernel-header': [254, 255],
}

/** Which addresses of industry group 1 which source names. */
export const HIGHWAY_ADDRESS_SOURCES: SourceLists = { truck: [238] }

/**
 * What a source address stands for.
 * @param sa 0 to 255.
 * @param industryGroup From the node's NAME; without it, addresses 128 to 247 only show as dynamic.
 * @returns undefined for addresses that are not assigned, or not known here.
 */
export function addressName(sa: number, industryGroup?: number): string | undefined {
  const [lowest, highest] = DYNAMIC_ADDRESSES
  if (sa < lowest || sa > highest) return GLOBAL_ADDRESSES[sa]
  const name = industryGroup === undefined ? undefined : GROUP_ADDRESSES[industryGroup]?.[sa]
  return name ?? 'Dynamic address'
}
