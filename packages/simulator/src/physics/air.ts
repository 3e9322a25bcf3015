/** Air path: compressor with its lag, charge temperature, cylinders' breathing, exhaust gas fed back. */
import { ENGINE, expectedBoost } from '../figures.js'
import type { Hardware } from '../hardware.js'
import { clamp, lagShare } from '../math.js'
import { speedDensity } from './atmosphere.js'

export interface AirInputs {
  readonly rpm: number
  /** Share of full load actually burned, 0 to 1. */
  readonly load: number
  /** Fuel burned, W. */
  readonly fuelPower: number
  /** EGR valve opening wanted, %. */
  readonly egrCommand: number
  /** kPa */
  readonly ambientPressure: number
  /** °C */
  readonly ambient: number
  readonly coolant: number
  /** W of the intake heater, and km/h of wind on the intercooler. */
  readonly heaterPower: number
  readonly speed: number
}

/** Share of exhaust gas at a fully open valve. */
const MOST_EGR = 0.35
/** J/(kg·K) of air. Source: common handbook value. */
const AIR_HEAT = 1005
/** J/K of the intake manifold's metal near the sensor. */
const MANIFOLD_CAPACITY = 1800

export class AirPath {
  /** kPa above ambient. */
  boost = 0
  /** °C in the manifold, at the air filter, and in the exhaust before the turbine. */
  charge: number
  inlet: number
  exhaust: number
  /** kg/h through the air-mass sensor, into the cylinders, and of exhaust fed back. */
  flow = 0
  breathed = 0
  egrFlow = 0
  /** % */
  egrPosition = 0
  turboSpeed = 0

  readonly #efficiency: number

  /** @param breathing of this engine against the drawing's */
  constructor(ambient: number, engineBay: number, breathing = 1) {
    this.#efficiency = ENGINE.volumetricEfficiency * breathing
    this.charge = engineBay
    this.inlet = ambient
    this.exhaust = engineBay
  }

  step(dt: number, inputs: AirInputs, hardware: Hardware): void {
    const { rpm, load, ambientPressure } = inputs
    const wanted = rpm < 300 ? 0 : expectedBoost(rpm, load) * (1 - 0.61 * hardware.boostLeak)
    const lag = wanted > this.boost ? clamp(1.7 - rpm / 2000, 0.5, 1.4) : 0.45
    this.boost += (wanted - this.boost) * lagShare(dt, lag)

    const egrWanted = hardware.egrStuck < 0 ? inputs.egrCommand : hardware.egrStuck
    this.egrPosition += (egrWanted - this.egrPosition) * lagShare(dt, 0.12)

    const pressure = ambientPressure + this.boost
    const fill = speedDensity(rpm, ENGINE.displacement, this.#efficiency, pressure, this.charge)
    this.egrFlow = rpm < 300 ? 0 : fill * MOST_EGR * (this.egrPosition / 100)
    this.breathed = fill - this.egrFlow
    // What a loose hose loses has gone through the sensor all the same.
    const lost = hardware.boostLeak * this.breathed * (0.02 + 0.34 * clamp(expectedBoost(rpm, load) / 90, 0, 1))
    this.flow += (this.breathed + lost - this.flow) * lagShare(dt, 0.06)

    this.#temperatures(dt, inputs)
    this.turboSpeed += ((rpm < 300 ? 0 : 18e3 + 1150 * this.boost + 4 * rpm) - this.turboSpeed) * lagShare(dt, lag)
  }

  #temperatures(dt: number, inputs: AirInputs): void {
    const { ambient, coolant, speed } = inputs
    // Standing, the intake is warmed by the engine bay; moving air takes that away.
    const bay = ambient + (coolant - ambient) * clamp(0.22 - speed * 0.004 - this.flow * 0.0012, 0.02, 0.22)
    this.inlet += (bay - this.inlet) * lagShare(dt, 60)
    // Compression warms by about 1 K per kPa at this efficiency; the intercooler leaves a fifth to a half.
    const cooled = this.boost * clamp(0.5 - speed * 0.006, 0.18, 0.5)
    const massFlow = this.flow / 3600
    const heated = massFlow > 0.002 ? inputs.heaterPower / (massFlow * AIR_HEAT) : 0
    const returned = this.breathed > 1 ? (this.egrFlow / (this.breathed + this.egrFlow)) * 90 : 0
    const goal = this.inlet + cooled + Math.min(heated, 90) + returned + 0.06 * (coolant - ambient)
    const exchange = MANIFOLD_CAPACITY / (25 + massFlow * AIR_HEAT)
    this.charge += (goal - this.charge) * lagShare(dt, exchange)
    // A heater without wind warms the metal around it and, through it, the sensor.
    if (massFlow <= 0.002) this.charge += (0.05 * inputs.heaterPower * dt) / MANIFOLD_CAPACITY

    // About a third of the fuel's heat leaves with the exhaust.
    const gas = Math.max(massFlow, 0.004)
    const hot = this.charge + (0.34 * inputs.fuelPower) / (gas * 1100)
    this.exhaust += (clamp(hot, ambient, 850) - this.exhaust) * lagShare(dt, inputs.fuelPower > 0 ? 4 : 40)
  }
}
