/**
 * The truck as it was screwed together: everything that can be broken or wrong, as numbers.
 * A failure is a change of these numbers; nothing else in the models knows what a fault is.
 */

/** Every sensor wired to the engine's controller. */
export const SENSORS = [
  'coolant-temperature',
  'intake-temperature',
  'air-inlet-temperature',
  'fuel-temperature',
  'oil-temperature',
  'ambient-temperature',
  'oil-pressure',
  'intake-pressure',
  'fuel-delivery-pressure',
  'rail-pressure',
  'barometric-pressure',
  'air-mass',
  'pedal-1',
  'pedal-2',
  'egr-position',
] as const

export type SensorName = (typeof SENSORS)[number]

/** Something for every sensor. */
export function bySensor<T>(make: (name: SensorName) => T): Record<SensorName, T> {
  return Object.fromEntries(SENSORS.map((name) => [name, make(name)])) as Record<SensorName, T>
}

/** How a sensor's wires are. */
export type Circuit = 'whole' | 'open' | 'short-to-ground' | 'short-to-supply'

export interface SensorCondition {
  circuit: Circuit
  /** Added to what it measures, in its own unit. */
  offset: number
  /** Multiplies what it measures. */
  gain: number
  /** Another sensor whose plug sits on this one's socket. */
  pluggedInto: SensorName | undefined
}

/** Condition of everything that is not a sensor. Healthy values are in {@link healthyHardware}. */
export interface Hardware {
  /** Fusible link of the intake heater: 1 whole, 0 open. */
  heaterLink: number
  /** Contact of the heater's solenoid: 0 follows its coil, 1 welded. */
  heaterWelded: number
  /** Ω added to the ground between battery and engine. */
  groundResistance: number
  /** Share of full charge, at the start. */
  batteryCharge: number
  /** Multiplies the battery's inner resistance. */
  batteryAge: number
  /** Share of its current the alternator can give. */
  alternator: number
  /** mm: bore of the tube the air-mass sensor sits in. The calibration is for 70. */
  airTubeBore: number
  /** Share of the boost hose that has come off. */
  boostLeak: number
  /** Share of the oil's way that is shut. */
  oilBlocked: number
  /** Turns of the oil pump, rpm·s, that a dry filter swallows at the first start. */
  oilToFill: number
  /** Opening the thermostat is stuck at, 0 to 1; −1 where it works. */
  thermostatStuck: number
  /** Share of the radiator's cooling that is left. */
  radiator: number
  /** Air in the fuel supply, share of the pump's delivery. */
  fuelAir: number
  /** Water in the fuel filter's bowl: 1 reaches the probe. */
  fuelWater: number
  /** Opening the EGR valve is stuck at, %; −1 where it works. */
  egrStuck: number
  /** Share of time the crankshaft sensor's pulses are strong enough. */
  crankPickup: number
  /** Contribution of the weakest cylinder: 1 like the others. */
  weakCylinder: number
  /** Ignition feed of the engine's controller: 1 connected, 0 not. */
  keyFeed: number
  /** 5 V supplies of the sensors: 1 healthy, 0 shorted to ground. */
  sensorSupply1: number
  sensorSupply2: number
  /** Contact of a terminating resistor: 1 closed, 0 open. */
  terminator: number
  /** 1: a pressure switch sits where the oil pressure sender belongs. */
  oilSwitch: number
}

/** A number of {@link Hardware}. */
export type HardwarePart = keyof Hardware

export function healthyHardware(): Hardware {
  return {
    heaterLink: 1,
    heaterWelded: 0,
    groundResistance: 0,
    batteryCharge: 1,
    batteryAge: 1,
    alternator: 1,
    airTubeBore: 70,
    boostLeak: 0,
    oilBlocked: 0,
    oilToFill: 0,
    thermostatStuck: -1,
    radiator: 1,
    fuelAir: 0,
    fuelWater: 0,
    egrStuck: -1,
    crankPickup: 1,
    weakCylinder: 1,
    keyFeed: 1,
    sensorSupply1: 1,
    sensorSupply2: 1,
    terminator: 1,
    oilSwitch: 0,
  }
}

export function healthySensor(): SensorCondition {
  return { circuit: 'whole', offset: 0, gain: 1, pluggedInto: undefined }
}
