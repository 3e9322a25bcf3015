/**
 * What the fields of a NAME mean: industry group, vehicle system, function. Manufacturer codes are
 * shown as their number. Functions and vehicle systems that are not listed are shown as theirs.
 */
import type { SourceLists } from './sources.js'

/** Codes and their meanings. */
type Codes = Readonly<Record<number, string>>

export const INDUSTRY_GROUPS: Codes = {
  0: 'Global',
  1: 'On-highway equipment',
  2: 'Agricultural and forestry equipment',
  3: 'Construction equipment',
  4: 'Marine equipment',
  5: 'Industrial, process control, stationary equipment',
  6: 'Reserved',
  7: 'Not available',
}

/** Which industry groups which source names. 6 and 7 are from memory. */
export const INDUSTRY_GROUP_SOURCES: SourceLists = {
  'claim-lab': [0, 1, 2, 3, 4, 5],
  'annex-contents': [0, 1, 2, 3, 4, 5],
  'display-manual': [0],
}

/** Vehicle systems by industry group. */
export const VEHICLE_SYSTEMS: Readonly<Record<number, Codes>> = {
  0: { 0: 'Non-specific system', 127: 'Not available' },
  1: { 0: 'Non-specific system', 1: 'Tractor', 2: 'Trailer', 127: 'Not available' },
  2: {
    0: 'Non-specific system',
    1: 'Tractor',
    2: 'Primary soil tillage',
    3: 'Secondary soil tillage',
    4: 'Planters and seeders',
    5: 'Fertilizers',
    6: 'Sprayers',
    7: 'Harvesters',
    8: 'Root harvesters',
    9: 'Forage harvesters',
    10: 'Irrigation',
    11: 'Transport and trailers',
    12: 'Farmyard operations',
    13: 'Powered auxiliary devices',
    14: 'Special crops',
    15: 'Municipal work',
    17: 'Sensor systems',
    19: 'Timber harvesters',
    20: 'Forwarders',
    127: 'Not available',
  },
  3: {
    0: 'Non-specific system',
    1: 'Skid steer loader',
    2: 'Articulated dump truck',
    3: 'Backhoe',
    4: 'Crawler',
    5: 'Excavator',
    6: 'Forklift',
    7: 'Four wheel drive loader',
    8: 'Grader',
    9: 'Milling machine',
    10: 'Recycler and soil stabilizer',
    11: 'Binding agent spreader',
    12: 'Paver',
    13: 'Feeder',
    14: 'Screening plant',
    15: 'Stacker',
    16: 'Roller',
    17: 'Crusher',
    127: 'Not available',
  },
  4: {
    10: 'System tools',
    20: 'Safety systems',
    25: 'Internetwork device',
    30: 'Electrical distribution',
    35: 'Electrical generation',
    40: 'Steering and control surfaces',
    50: 'Propulsion',
    60: 'Navigation',
    70: 'Communication',
    75: 'Sensor communication interface',
    80: 'Instrumentation and general systems',
    85: 'External environment',
    90: 'Internal environment',
    100: 'Deck, cargo and fishing equipment',
    120: 'Display',
    125: 'Entertainment',
    127: 'Not available',
  },
  5: { 0: 'Non-specific system', 127: 'Not available' },
}

/** Which vehicle systems which source names, by industry group. All others are from memory. */
export const VEHICLE_SYSTEM_SOURCES: Readonly<Record<number, SourceLists>> = {
  1: { 'claim-lab': [0, 1, 2] },
  2: { 'isobus-dictionary': [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 17] },
}

/** Functions that mean the same in every industry group: 0 to 127. 80 to 126 are not listed. */
export const GLOBAL_FUNCTIONS: Codes = {
  0: 'Engine',
  1: 'Auxiliary power unit',
  2: 'Electric propulsion control',
  3: 'Transmission',
  4: 'Battery pack monitor',
  5: 'Shift control or console',
  6: 'PTO, main or rear',
  7: 'Axle, steering',
  8: 'Axle, drive',
  9: 'Brakes, system controller',
  10: 'Brakes, steer axle',
  11: 'Brakes, drive axle',
  12: 'Retarder, engine',
  13: 'Retarder, driveline',
  14: 'Cruise control',
  15: 'Fuel system',
  16: 'Steering controller',
  17: 'Suspension, steer axle',
  18: 'Suspension, drive axle',
  19: 'Instrument cluster',
  20: 'Trip recorder',
  21: 'Cab climate control',
  22: 'Aerodynamic control',
  23: 'Vehicle navigation',
  24: 'Vehicle security',
  25: 'Network interconnect device',
  26: 'Body controller',
  27: 'PTO, secondary or front',
  28: 'Off-vehicle gateway',
  29: 'Virtual terminal',
  30: 'Management computer',
  31: 'Propulsion battery charger',
  32: 'Headway controller',
  33: 'System monitor',
  34: 'Hydraulic pump controller',
  35: 'Suspension, system controller',
  36: 'Pneumatic system controller',
  37: 'Cab controller',
  38: 'Tire pressure control',
  39: 'Ignition control module',
  40: 'Seat control',
  41: 'Lighting, operator controls',
  42: 'Water pump control',
  43: 'Transmission display',
  44: 'Exhaust emission control',
  45: 'Vehicle dynamic stability control',
  46: 'Oil sensor unit',
  47: 'Information system controller',
  48: 'Ramp control',
  49: 'Clutch or converter control',
  50: 'Auxiliary heater',
  51: 'Forward-looking collision warning system',
  52: 'Chassis controller',
  53: 'Alternator or charging system',
  54: 'Communications unit, cellular',
  55: 'Communications unit, satellite',
  56: 'Communications unit, radio',
  57: 'Steering column unit',
  58: 'Fan drive control',
  59: 'Starter',
  60: 'Cab display',
  61: 'File server or printer',
  62: 'On-board diagnostic unit',
  63: 'Engine valve controller',
  64: 'Endurance braking',
  65: 'Gas flow measurement',
  66: 'I/O controller',
  67: 'Electrical system controller',
  68: 'Aftertreatment system gas measurement',
  69: 'Engine emission aftertreatment system',
  70: 'Auxiliary regeneration device',
  71: 'Transfer case control',
  72: 'Coolant valve controller',
  73: 'Rollover detection control',
  74: 'Lubrication system',
  75: 'Supplemental fan',
  76: 'Temperature sensor',
  77: 'Fuel properties sensor',
  78: 'Fire suppression system',
  79: 'Power systems manager',
  127: 'Not available',
}

/** Which global functions which source names. All others are from memory. */
export const FUNCTION_SOURCES: SourceLists = {
  'claim-lab': [0, 28],
  'open-capture': [3, 12],
  'display-manual': [60],
  'io-manual': [66],
}

/** Functions 128 to 254, by industry group and vehicle system. */
export const GROUP_FUNCTIONS: Readonly<Record<number, Readonly<Record<number, Codes>>>> = {
  0: {
    0: {
      129: 'Off-board diagnostic service tool',
      130: 'On-board data logger',
      131: 'Keyboard',
      132: 'Safety restraint system',
      133: 'Turbocharger',
      134: 'Ground-based speed sensor',
      135: 'Keypad',
      136: 'Humidity sensor',
      137: 'Thermal management system controller',
      138: 'Brake stroke alert',
      139: 'On-board axle group scale',
      140: 'On-board axle group display',
      141: 'Battery charger',
      142: 'Turbocharger compressor bypass',
      143: 'Turbocharger wastegate',
      144: 'Throttle',
      145: 'Inertial sensor',
      146: 'Fuel actuator',
      147: 'Engine exhaust gas recirculation',
      148: 'Engine exhaust back pressure',
    },
  },
  1: {
    0: {
      128: 'Tachograph',
      129: 'Door controller',
      130: 'Articulation turntable control',
      131: 'Body-to-vehicle interface control',
      132: 'Slope sensor',
      134: 'Retarder display',
    },
    1: { 128: 'Forward road image processing', 129: 'Fifth wheel smart system' },
  },
  2: {
    0: {
      129: 'Operator controls, machine specific',
      130: 'Task controller',
      131: 'Position control',
      132: 'Machine control',
      134: 'Tractor ECU',
      135: 'Sequence control',
    },
    1: { 128: 'Auxiliary valve control', 129: 'Rear hitch control', 130: 'Front hitch control' },
  },
  3: {
    0: {
      128: 'Supplemental engine control sensing',
      129: 'Laser receiver',
      130: 'Land leveling system operator interface',
      131: 'Land leveling electric mast',
      132: 'Single land leveling system supervisor',
      133: 'Land leveling system display',
      134: 'Laser tracer',
      135: 'Loader control',
    },
  },
  4: {
    25: { 130: 'PC gateway' },
    35: { 140: 'Engine' },
    50: { 140: 'Engine' },
    60: { 145: 'Position receiver' },
    120: { 130: 'Display' },
  },
  5: {
    0: {
      128: 'Supplemental engine control sensing',
      129: 'Generator set controller',
      130: 'Generator voltage regulator',
    },
  },
}

/** Which functions of each industry group which source names. All others are from memory. */
export const GROUP_FUNCTION_SOURCES: Readonly<Record<number, SourceLists>> = {
  0: { 'claim-lab': [129], 'io-manual': [130] },
  3: { 'plc-manual': [133] },
}

/** Lowest function whose meaning depends on industry group and vehicle system. */
const FIRST_GROUP_FUNCTION = 128

/**
 * What the function field of a NAME says.
 * @returns undefined for functions that are not assigned, or not known here.
 */
export function functionName(code: number, industryGroup: number, vehicleSystem: number): string | undefined {
  if (code < FIRST_GROUP_FUNCTION) return GLOBAL_FUNCTIONS[code]
  return GROUP_FUNCTIONS[industryGroup]?.[vehicleSystem]?.[code]
}

/** What the vehicle system field of a NAME says. */
export function vehicleSystemName(code: number, industryGroup: number): string | undefined {
  return VEHICLE_SYSTEMS[industryGroup]?.[code]
}
