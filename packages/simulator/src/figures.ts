/**
 * The invented engine and truck: a 3.0-litre four-cylinder common-rail diesel in a mountain-rescue
 * truck stationed at 1,600 m. No such engine exists; where a figure has no other source beside it,
 * it is this project's own invention, chosen to be plausible for the class.
 *
 * Units: SI with °C, kPa, rpm, L/h and kg/h where the name or the comment says so.
 */
import { exp, interpolate } from './math.js'

/** Points of a straight-line table, `[x, y]` in rising x. */
export type Table = readonly (readonly [number, number])[]

export const ENGINE = {
  cylinders: 4,
  /** m; 96 × 103.6 mm and four cylinders make 3.0 L. */
  bore: 0.096,
  stroke: 0.1036,
  /** m³ */
  displacement: 0.0029995,
  volumetricEfficiency: 0.9,
  /** kg·m², with flywheel. */
  inertia: 0.45,
  /** N·m: what 100 % in the torque messages means. */
  referenceTorque: 480,
  /** rpm at which the governor has taken all fuel away. */
  maximumSpeed: 3600,
} as const

/** Full-load torque at the flywheel, N·m by rpm: 280 at 1,200, 400 from 1,500 to 2,400, 110 kW at 3,200. */
export const FULL_LOAD_TORQUE: Table = [
  [0, 180],
  [800, 190],
  [1200, 280],
  [1500, 400],
  [2400, 400],
  [3200, 328],
  [3600, 0],
]

/** Idle speed wanted, rpm by coolant °C: 750 warm, 950 at −10 °C. */
export const IDLE_SPEED: Table = [
  [-10, 950],
  [20, 750],
]

/** Friction and pumping of the warm engine, N·m; fits the full-load fuel figures. */
export function frictionTorque(rpm: number): number {
  return 34 + 4e-6 * rpm * rpm
}

/** How much harder a cold engine turns: oil thickens. 1 at 90 °C. */
export function coldFriction(oilTemperature: number): number {
  return 1 + 0.9 * (exp(-0.018 * oilTemperature) - 0.1979)
}

/**
 * Share of fuel energy that becomes indicated work, by share of full load.
 * Full load: 9.5, 21.6 and 31 L/h at 1,200, 2,000 and 3,200 rpm; warm idle: 0.85 L/h.
 */
export const INDICATED_EFFICIENCY: Table = [
  [0, 0.41],
  [0.3, 0.425],
  [1, 0.43],
]

export const FUEL = {
  /** J/kg and kg/L of diesel fuel. Source: common handbook values. */
  heatingValue: 42.8e6,
  density: 0.836,
  /** Least air per fuel, by mass, the injection allows: a little above stoichiometric, which is about 14.5. */
  smokeLimit: 15.5,
} as const

/** Boost above ambient, kPa by rpm, at no, half and full load. */
const BOOST_NONE: Table = [
  [1000, 0],
  [1500, 2],
  [2000, 4],
  [2500, 7],
  [3200, 12],
]
const BOOST_HALF: Table = [
  [700, 2],
  [1000, 8],
  [1500, 30],
  [2000, 45],
  [2500, 55],
  [3200, 65],
]
const BOOST_FULL: Table = [
  [700, 6],
  [1000, 20],
  [1500, 70],
  [2000, 100],
  [2500, 110],
  [3200, 110],
]

/** Boost the map expects, kPa above ambient, by speed and share of full load (0 to 1). */
export function expectedBoost(rpm: number, load: number): number {
  const half = interpolate(BOOST_HALF, rpm)
  if (load > 0.5) return half + (interpolate(BOOST_FULL, rpm) - half) * Math.min(1, (load - 0.5) / 0.5)
  const none = interpolate(BOOST_NONE, rpm)
  return none + (half - none) * (load / 0.5)
}

export const STARTING = {
  /** Seconds of cranking until it fires, aided by the heater, by °C of the charge. */
  fireAfter: [
    [-30, 7],
    [-20, 5],
    [-10, 3.5],
    [0, 2],
    [20, 1.2],
    [60, 0.8],
  ] as Table,
  /** Without the heater it takes longer: factor 1 at 10 °C and above, 4 at −5 °C. */
  unaided: [
    [-30, 9],
    [-5, 4],
    [10, 1],
  ] as Table,
  /** Seconds the wait-to-start lamp burns, by °C of the coolant: 8 s at 5 °C, 12 s at −5 °C. */
  preheat: [
    [-25, 20],
    [-5, 12],
    [5, 8],
    [12.5, 5],
    [25, 0],
  ] as Table,
} as const

export const ELECTRICAL = {
  /** Battery, one of 12 V, 70 A·h, 800 A cold cranking. */
  restVolts: 12.65,
  capacity: 70,
  /** Ω inside, by °C. */
  batteryResistance: [
    [-20, 0.0068],
    [20, 0.0055],
  ] as Table,
  /** Ω of cable and grounds between battery and engine. */
  cableResistance: 0.0015,
  /** Ω that stands for the battery's reluctance to take charge. */
  chargingResistance: 0.05,
  /** Starter: Ω of armature and brushes, V per rpm of the engine. 700 A at a standstill. */
  starterResistance: 0.01107,
  starterVoltsPerRpm: 0.02875,
  /** Drag against the starter as the current it takes to turn against it: A by oil °C. */
  crankingCurrent: [
    [-30, 488],
    [-20, 467],
    [-10, 434],
    [0, 400],
    [20, 350],
    [90, 280],
  ] as Table,
  /** Grid heater: Ω cold and hot; 125 A when the battery alone feeds it. */
  heaterCold: 0.0936,
  heaterHot: 0.15,
  /** Alternator: regulated volts without load, droop in Ω, A at most, seconds to ramp up. */
  regulatedVolts: 14.42,
  droop: 0.0065,
  alternatorAmps: 120,
  alternatorRamp: 1,
} as const

/** Oil pressure, kPa: min(430, 0.60·e^(−0.0183(T − 20))·n). Hot idle 125 kPa at 90 °C. */
export function oilPressure(rpm: number, oilTemperature: number): number {
  return Math.min(430, 0.6 * exp(-0.0183 * (oilTemperature - 20)) * rpm)
}

export const OIL = {
  /** Turns of the pump, in rpm·s, until the galleries are full: 1.5 s after firing. */
  fill: 1500,
  /** More of them for a dry remote filter: 5 s. */
  dryFilter: 3700,
} as const

export const COOLING = {
  /** J/K of block and coolant. */
  capacity: 110e3,
  /** W/K lost by the block standing and driving. */
  lossStanding: 25,
  lossDriving: 50,
  /** Share of fuel power that heats the coolant at idle and at full load. */
  shareIdle: 0.3,
  shareLoad: 0.22,
  /** °C at which the thermostat opens and is fully open. */
  opens: 82,
  open: 94,
  /** W/K of the radiator, open, standing with the fan off, and per km/h of wind. */
  radiatorStanding: 110,
  radiatorPerSpeed: 13,
  /** W/K more at full fan speed. */
  radiatorFan: 520,
} as const

export const RAIL = {
  /** MPa at idle, at full load, and the least at which an injector opens. */
  idle: 30,
  full: 160,
  least: 18,
} as const

/** Indicated torque the gearbox leaves the engine while it shifts, N·m. */
export const SHIFT_TORQUE = 48

export const VEHICLE = {
  /** kg with crew and gear. */
  mass: 5200,
  rollingResistance: 0.012,
  /** m² of drag area: coefficient × frontal area. */
  dragArea: 3.6,
  tyreRadius: 0.4,
  axleRatio: 4.3,
  gears: [4.17, 2.34, 1.52, 1.14, 0.87, 0.69],
  efficiency: 0.9,
} as const

/** Height of the station, m. */
export const STATION_ALTITUDE = 1600
