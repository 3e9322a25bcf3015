/**
 * Sensors as the controller's input pins see them: a level between the ends of their range, noise,
 * a filter, and what an open or shorted wire does to the level. The ranges and noise figures are the
 * invented controller's own; that thermistors sit on a pull-up, so that an unplugged one reads its
 * coldest, is common practice.
 */
import type { Hardware, SensorCondition, SensorName } from '../hardware.js'
import { bySensor } from '../hardware.js'
import { clamp, lagShare, square } from '../math.js'
import type { Plant } from '../physics/plant.js'
import type { Random } from '../random.js'

/** What the controller tells others while a sensor's fault is active. */
export type FailurePolicy = 'as-read' | 'error' | 'last-good' | 'substitute'

export interface SensorDefinition {
  readonly spn: number
  /** What it would read at the two ends of its signal. */
  readonly low: number
  readonly high: number
  /** Thermistor: more volts mean less of what it measures. */
  readonly falling: boolean
  /** Where an unplugged pin goes: up to the supply or down to ground. */
  readonly pull: 'up' | 'down'
  /** 5 V supply it hangs on: 0 none of its own. */
  readonly supply: 0 | 1 | 2
  /** Standard deviation of its noise, in its unit, and s of its filter. */
  readonly noise: number
  readonly filter: number
  /** Standard deviation of what one specimen is off. */
  readonly spread: number
  readonly policy: FailurePolicy
}

const thermistor = (spn: number, policy: FailurePolicy, filter: number): SensorDefinition => ({
  spn,
  low: -40,
  high: 150,
  falling: true,
  pull: 'up',
  supply: 0,
  noise: 0.08,
  filter,
  spread: 0.5,
  policy,
})

const threeWire = (
  spn: number,
  supply: 0 | 1 | 2,
  range: readonly [number, number],
  noise: number,
  filter: number,
  policy: FailurePolicy,
  more: Partial<SensorDefinition> = {},
): SensorDefinition => ({
  spn,
  low: range[0],
  high: range[1],
  falling: false,
  pull: 'up',
  supply,
  noise,
  filter,
  spread: (range[1] - range[0]) * 0.001,
  policy,
  ...more,
})

/** Bounds are gauge kPa for oil and fuel, absolute kPa for the intake, MPa for the rail, % for positions. */
export const SENSOR_DEFINITIONS: Readonly<Record<SensorName, SensorDefinition>> = {
  'coolant-temperature': thermistor(110, 'last-good', 1.5),
  'intake-temperature': thermistor(105, 'as-read', 1),
  'air-inlet-temperature': thermistor(172, 'as-read', 2),
  'fuel-temperature': thermistor(174, 'error', 2),
  'oil-temperature': thermistor(175, 'error', 2),
  'ambient-temperature': thermistor(171, 'error', 5),
  'oil-pressure': threeWire(100, 1, [0, 1000], 3, 0.05, 'error'),
  'intake-pressure': threeWire(102, 1, [20, 320], 0.35, 0.02, 'substitute'),
  'fuel-delivery-pressure': threeWire(94, 2, [0, 1000], 5, 0.2, 'error'),
  'rail-pressure': threeWire(157, 2, [0, 200], 0.25, 0.02, 'last-good'),
  'barometric-pressure': threeWire(108, 2, [50, 120], 0.08, 0.5, 'substitute', { spread: 0.3 }),
  // Hot film behind a converter of its own; the level is its calibrated flow.
  'air-mass': threeWire(132, 0, [0, 700], 0.6, 0.03, 'error', { pull: 'down', spread: 0 }),
  'pedal-1': threeWire(91, 1, [0, 100], 0.06, 0.002, 'substitute', { spread: 0, pull: 'down' }),
  'pedal-2': threeWire(29, 2, [0, 100], 0.06, 0.002, 'error', { spread: 0, pull: 'down' }),
  'egr-position': threeWire(27, 2, [0, 100], 0.08, 0.02, 'error', { spread: 0.2 }),
}

/** Levels a whole sensor stays between, and those a broken wire brings. */
const WHOLE_LOW = -0.04
const WHOLE_HIGH = 1.04
const TIED_LOW = -0.12
const TIED_HIGH = 1.12

/** What the controller reads from one pin. */
export interface Pin {
  /** Share of the range after the filter; outside 0 to 1 where a wire is broken. */
  level: number
  /** In the sensor's unit, held inside its range. */
  reading: number
}

/** All pins. */
export class SensorPins {
  readonly pins: Readonly<Record<SensorName, Pin>>
  readonly #offsets: Readonly<Record<SensorName, number>>
  readonly #random: Random

  constructor(random: Random) {
    this.#random = random
    this.#offsets = bySensor((name) => random.normal() * SENSOR_DEFINITIONS[name].spread)
    this.pins = bySensor(() => ({ level: Number.NaN, reading: 0 }))
  }

  /** Reads the pins in turn: `names` are those due now. */
  read(
    dt: number,
    names: readonly SensorName[],
    truth: Readonly<Record<SensorName, number>>,
    conditions: Readonly<Record<SensorName, SensorCondition>>,
    hardware: Hardware,
  ): void {
    for (const name of names) {
      const definition = SENSOR_DEFINITIONS[name]
      const pin = this.pins[name]
      const level = this.#level(name, truth, conditions[name], hardware)
      pin.level = Number.isNaN(pin.level) ? level : pin.level + (level - pin.level) * lagShare(dt, definition.filter)
      const share = clamp(pin.level, 0, 1)
      pin.reading = definition.low + (definition.high - definition.low) * (definition.falling ? 1 - share : share)
    }
  }

  #level(
    name: SensorName,
    truth: Readonly<Record<SensorName, number>>,
    condition: SensorCondition,
    hardware: Hardware,
  ): number {
    const definition = SENSOR_DEFINITIONS[name]
    if (condition.circuit === 'short-to-ground') return TIED_LOW
    if (condition.circuit === 'short-to-supply') return TIED_HIGH
    if (condition.circuit === 'open') return definition.pull === 'up' ? TIED_HIGH : TIED_LOW
    // The plug decides which sensor hangs on the pin; the pin's own supply feeds it.
    const sensor = condition.pluggedInto ?? name
    const plugged = SENSOR_DEFINITIONS[sensor]
    if (definition.supply === 1 && hardware.sensorSupply1 < 0.5) return TIED_LOW
    if (definition.supply === 2 && hardware.sensorSupply2 < 0.5) return TIED_LOW
    const value =
      (truth[sensor] + this.#offsets[sensor]) * condition.gain +
      condition.offset +
      this.#random.normal() * plugged.noise
    const share = (value - plugged.low) / (plugged.high - plugged.low)
    const level = clamp(share, WHOLE_LOW, WHOLE_HIGH)
    return plugged.falling ? 1 - level : level
  }
}

/** kg/h an air-mass sensor indicates whose calibration is for a 70 mm tube: flow falls as the area grows. */
export function indicatedAirMass(flow: number, bore: number): number {
  return flow * square(70 / bore)
}

/** Writes down what each sensor would read if it and its wires were perfect. */
export function readTruth(truth: Record<SensorName, number>, plant: Plant, pedal: number, hardware: Hardware): void {
  const { air, cooling, fuel, oil, surroundings } = plant
  truth['coolant-temperature'] = cooling.coolant
  truth['intake-temperature'] = air.charge
  truth['air-inlet-temperature'] = air.inlet
  truth['fuel-temperature'] = cooling.fuel
  truth['oil-temperature'] = cooling.oil
  truth['ambient-temperature'] = surroundings.ambient
  // A switch knows two pressures only; this controller shows them as 0 and 276 kPa.
  truth['oil-pressure'] = hardware.oilSwitch > 0 ? (oil.pressure > 50 ? 276 : 0) : oil.pressure
  truth['intake-pressure'] = surroundings.pressure + air.boost
  truth['fuel-delivery-pressure'] = fuel.delivery
  truth['rail-pressure'] = fuel.rail
  truth['barometric-pressure'] = surroundings.pressure
  truth['air-mass'] = indicatedAirMass(air.flow, hardware.airTubeBore)
  truth['pedal-1'] = pedal * 100
  truth['pedal-2'] = pedal * 100
  truth['egr-position'] = air.egrPosition
}
