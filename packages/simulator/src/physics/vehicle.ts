/** The truck on its road, with a torque converter and six gears. */
import { VEHICLE } from '../figures.js'
import { clamp, square } from '../math.js'
import { airDensity } from './atmosphere.js'
import { RADIANS } from './crankshaft.js'

/** m/s². Source: standard gravity. */
const GRAVITY = 9.80665
/** km/h per m/s. */
const KMH = 3.6

export interface RoadInputs {
  readonly engineRpm: number
  /** Torque the crankshaft has left for the driveline, N·m (for the locked converter). */
  readonly engineTorque: number
  /** 0 to 1 */
  readonly pedal: number
  readonly brake: number
  /** Selector: driving, or neutral with the parking brake on. */
  readonly drive: boolean
  /** Rise per 100. */
  readonly grade: number
  readonly ambientPressure: number
  readonly ambient: number
}

/** Turbine speed, rpm, at which the next higher or lower gear is taken: lifted foot, full pedal. */
const SHIFT_UP = [1500, 3000] as const
const SHIFT_DOWN = [950, 1700] as const
const SHIFT_TIME = 0.5

export class Vehicle {
  /** m/s */
  speed = 0
  /** m since the start. */
  distance = 0
  /** 0 neutral, 1 to 6. */
  gear = 0
  shifting = false
  /** The converter is bridged: engine and gearbox turn together. */
  locked = false
  /** Torque the converter takes from the engine, N·m. */
  converterTorque = 0
  #shiftLeft = 0
  #held = 0

  get kmh(): number {
    return this.speed * KMH
  }

  get wheelRpm(): number {
    return this.speed / VEHICLE.tyreRadius / RADIANS
  }

  get outputRpm(): number {
    return this.wheelRpm * VEHICLE.axleRatio
  }

  get ratio(): number {
    return this.gear === 0 ? 0 : (VEHICLE.gears[this.gear - 1] as number)
  }

  /** Speed of the converter's turbine: the gearbox's input shaft. */
  get inputRpm(): number {
    return this.outputRpm * this.ratio
  }

  step(dt: number, inputs: RoadInputs): void {
    this.#shift(dt, inputs)
    const intoGearbox = this.#coupling(inputs)
    const pull = (intoGearbox * this.ratio * VEHICLE.axleRatio * VEHICLE.efficiency) / VEHICLE.tyreRadius
    const rolling = this.speed > 0.01 ? VEHICLE.mass * GRAVITY * VEHICLE.rollingResistance : 0
    const air = 0.5 * airDensity(inputs.ambientPressure, inputs.ambient) * VEHICLE.dragArea * this.speed * this.speed
    const slope = VEHICLE.mass * GRAVITY * (inputs.grade / 100)
    const braking = inputs.brake * VEHICLE.mass * 6 + (inputs.drive ? 0 : VEHICLE.mass * 6)
    const free = this.speed + ((pull - slope - rolling - air) / (VEHICLE.mass * 1.05)) * dt
    this.speed = free > 0 ? Math.max(0, free - (braking / VEHICLE.mass) * dt) : 0
    this.distance += this.speed * dt
  }

  /** Torque at the gearbox's input shaft; sets what the converter takes from the engine. */
  #coupling(inputs: RoadInputs): number {
    this.locked = this.gear >= 2 && !this.shifting && this.inputRpm > 1050
    if (this.gear === 0 || this.shifting) {
      this.converterTorque = 0
      return 0
    }
    if (this.locked) {
      this.converterTorque = inputs.engineTorque
      return inputs.engineTorque
    }
    // Pump torque grows with the square of the speed and falls as the turbine catches up.
    const slip = inputs.engineRpm > 1 ? 1 - this.inputRpm / inputs.engineRpm : 0
    const capacity = 95 * square(inputs.engineRpm / 1000)
    this.converterTorque = capacity * clamp(slip * 2.5, -0.6, 1)
    return this.converterTorque * (1 + 0.9 * clamp(slip, 0, 1))
  }

  #shift(dt: number, inputs: RoadInputs): void {
    if (!inputs.drive) {
      this.gear = 0
      this.shifting = false
      return
    }
    if (this.gear === 0) this.gear = 1
    this.#held += dt
    this.#shiftLeft = Math.max(0, this.#shiftLeft - dt)
    this.shifting = this.#shiftLeft > 0
    if (this.shifting || this.#held < 1.2) return
    const foot = clamp(inputs.pedal, 0, 1)
    const up = SHIFT_UP[0] + (SHIFT_UP[1] - SHIFT_UP[0]) * foot
    const down = SHIFT_DOWN[0] + (SHIFT_DOWN[1] - SHIFT_DOWN[0]) * foot
    const change = this.inputRpm > up && this.gear < 6 ? 1 : this.inputRpm < down && this.gear > 1 ? -1 : 0
    if (change === 0) return
    this.gear += change
    this.#shiftLeft = SHIFT_TIME
    this.#held = 0
    this.shifting = true
  }
}
