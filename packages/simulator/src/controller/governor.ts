/** How much to inject: idle governor, pedal, smoke limit, derate; and rail pressure to inject it with. */
import { ENGINE, FUEL, IDLE_SPEED, INDICATED_EFFICIENCY, RAIL, SHIFT_TORQUE } from '../figures.js'
import { clamp, interpolate, lagShare } from '../math.js'
import { RADIANS } from '../physics/crankshaft.js'
import { mostIndicatedTorque } from '../physics/plant.js'

export interface GovernorInputs {
  readonly rpm: number
  readonly starting: boolean
  /** 0 to 1, after every check of the two tracks. */
  readonly pedal: number
  /** °C */
  readonly coolant: number
  /** kg/h of air the controller believes in. */
  readonly air: number
  /** Share of torque allowed by engine protection. */
  readonly derate: number
  /** The gearbox shifts and wants little torque. */
  readonly shifting: boolean
  /** Injection is allowed at all. */
  readonly enabled: boolean
}

/** N·m per rpm and per rpm·s. */
const PROPORTIONAL = 0.34
const INTEGRAL = 0.3
const IDLE_TORQUE_LIMIT = 170

export class Governor {
  /** Indicated torque to inject for, N·m. */
  torque = 0
  /** MPa */
  railPressure = 0
  /** rpm wanted without pedal. */
  idleSpeed = 750
  /** N·m the driver asks for. */
  demand = 0
  limited = false
  #integral = 0

  step(dt: number, inputs: GovernorInputs): void {
    const { rpm } = inputs
    this.idleSpeed = interpolate(IDLE_SPEED, inputs.coolant)
    const most = mostIndicatedTorque(rpm)
    if (!inputs.enabled || rpm < 50) {
      this.torque = 0
      this.demand = 0
      this.#integral = 45
      this.railPressure = rpm < 50 ? 0 : RAIL.idle
      return
    }
    if (inputs.starting) {
      this.torque = 95 + clamp(20 - inputs.coolant, 0, 60) * 0.9
      this.#integral = 50
      this.railPressure = RAIL.idle
      return
    }
    const error = this.idleSpeed - rpm
    this.#integral = clamp(this.#integral + INTEGRAL * error * dt, 0, IDLE_TORQUE_LIMIT)
    const idle = clamp(this.#integral + PROPORTIONAL * error, 0, IDLE_TORQUE_LIMIT)
    // The foot asks for a share of the torque, up to a speed that rises with it.
    const ceiling = this.idleSpeed + 350 + (ENGINE.maximumSpeed - 850 - this.idleSpeed) * inputs.pedal
    this.demand = most * inputs.pedal * clamp((ceiling + 300 - rpm) / 300, 0, 1)
    const allowed = Math.min(most * inputs.derate, Math.max(70, this.#smokeLimit(rpm, inputs.air)))
    this.limited = this.demand > allowed && inputs.pedal > 0.05
    // Protection takes power away, never the idle.
    const driven = Math.max(idle, Math.min(this.demand, allowed))
    const wanted = inputs.shifting ? Math.min(driven, SHIFT_TORQUE) : driven
    this.torque += (wanted - this.torque) * lagShare(dt, 0.02)
    if (this.torque < 1) this.torque = 0
    const load = most > 0 ? clamp(this.torque / most, 0, 1) : 0
    const share = 0.55 * clamp((load - 0.2) / 0.8, 0, 1) + 0.45 * clamp((rpm - 800) / 2400, 0, 1)
    this.railPressure = RAIL.idle + (RAIL.full - RAIL.idle) * share
  }

  /** Torque that the air allows without smoke, N·m. */
  #smokeLimit(rpm: number, air: number): number {
    const watts = (air / 3600 / FUEL.smokeLimit) * FUEL.heatingValue
    return (watts * interpolate(INDICATED_EFFICIENCY, 1)) / (rpm * RADIANS)
  }
}
