/** Speed of the crankshaft: starter, combustion, friction, and the compression it turns against. */
import { coldFriction, ELECTRICAL, ENGINE, frictionTorque, STARTING } from '../figures.js'
import { clamp, interpolate, sine } from '../math.js'
import type { Random } from '../random.js'

/** rad/s per rpm. */
export const RADIANS = 0.10471975511965977

/** Torque of the starter at the crankshaft per ampere: its volts per rad/s, as for any such motor. */
const STARTER_TORQUE = ELECTRICAL.starterVoltsPerRpm / RADIANS

export interface CrankInputs {
  readonly starterAmps: number
  /** Indicated torque the injection would give if it burned, N·m. */
  readonly fuelTorque: number
  /** Torque taken by the driveline and what hangs on the belt, N·m. */
  readonly loadTorque: number
  /** °C */
  readonly oilTemperature: number
  readonly chargeTemperature: number
  /** Share of the heat the intake heater should have given, 0 to 1. */
  readonly heaterHeat: number
  /** Torque of the weakest cylinder against the others, 0 to 1. */
  readonly weakCylinder: number
}

/** The crankshaft and whether fuel burns. */
export class Crankshaft {
  rpm = 0
  /** rad; one turn every 2π, two compressions a turn. */
  angle = 0
  /** How well the fuel burns: 0 not at all, 1 fully. */
  burning = 0
  /** Torque the burning gases give, N·m. */
  indicatedTorque = 0
  #ready = 0
  #roughness = 0
  #uneven = 0
  readonly #random: Random
  readonly #friction: number

  /** @param friction of this engine against the drawing's */
  constructor(random: Random, friction = 1) {
    this.#random = random
    this.#friction = friction
  }

  get fired(): boolean {
    return this.burning > 0
  }

  step(dt: number, inputs: CrankInputs): void {
    this.#burn(dt, inputs)
    this.indicatedTorque = inputs.fuelTorque * this.burning
    const torque =
      inputs.starterAmps * STARTER_TORQUE + this.indicatedTorque + this.#unevenness(dt, inputs) - inputs.loadTorque
    const free = this.rpm + ((torque + this.#compression()) / ENGINE.inertia) * (dt / RADIANS)
    // Friction can stop the crankshaft but not turn it backwards.
    this.rpm = Math.max(0, free - (this.drag(inputs.oilTemperature) / ENGINE.inertia) * (dt / RADIANS))
    this.angle += this.rpm * RADIANS * dt
  }

  /** Torque of friction, pumping and, at cranking speed, lost compression, N·m. */
  drag(oilTemperature: number): number {
    const running = this.#friction * frictionTorque(this.rpm) * coldFriction(oilTemperature)
    if (this.rpm > 500) return running
    const cranking = this.#friction * interpolate(ELECTRICAL.crankingCurrent, oilTemperature) * STARTER_TORQUE
    return running + (cranking - running) * clamp((500 - this.rpm) / 200, 0, 1)
  }

  /** The engine follows the wheels: a locked-up gearbox sets its speed. */
  follow(rpm: number): void {
    this.rpm = Math.max(0, rpm)
  }

  #burn(dt: number, inputs: CrankInputs): void {
    const fuelled = inputs.fuelTorque > 0
    if (this.burning === 0) {
      if (!fuelled || this.rpm < 45) {
        this.#ready = Math.max(0, this.#ready - dt / 2)
        return
      }
      const aided = interpolate(STARTING.fireAfter, inputs.chargeTemperature)
      const penalty = 1 + (interpolate(STARTING.unaided, inputs.chargeTemperature) - 1) * (1 - inputs.heaterHeat)
      this.#ready += dt / (aided * penalty)
      if (this.#ready < 1) return
      this.burning = 0.35
      // What the heater did not do shows as white smoke and uneven running for a while.
      this.#roughness = 5 + 9 * (penalty - 1)
    } else if (this.rpm < 60) {
      this.burning = 0
      this.#ready = 0
    } else {
      this.burning = Math.min(1, this.burning + dt / 2.5)
      this.#roughness += (1.8 - this.#roughness) * (dt / 12)
    }
  }

  /** Combustion never gives the same torque twice; a weak cylinder takes some away every second turn. */
  #unevenness(dt: number, inputs: CrankInputs): number {
    if (this.burning === 0 || inputs.fuelTorque <= 0) return 0
    this.#uneven += (this.#random.normal() * this.#roughness * 4 - this.#uneven) * (dt / 0.08)
    const weak = (1 - inputs.weakCylinder) * this.indicatedTorque
    return this.#uneven - weak * (0.25 + 0.5 * sine(this.angle / 2))
  }

  /** Compression slows and speeds a cranking engine; the flywheel hides it at speed. */
  #compression(): number {
    return this.rpm > 450 ? 0 : 28 * sine(2 * this.angle) * clamp((450 - this.rpm) / 150, 0, 1)
  }
}
