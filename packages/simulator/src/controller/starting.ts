/** The cold-start aid: wait-to-start lamp, heater before the start, and heat in bursts after it. */
import { STARTING } from '../figures.js'
import { interpolate } from '../math.js'

export interface StartingInputs {
  /** s since the controller woke. */
  readonly awake: number
  /** s since the engine runs; 0 while it does not. */
  readonly running: number
  readonly cranking: boolean
  /** °C: of the coolant for the length of the lamp, of the charge for the heat afterwards. */
  readonly coolant: number
  readonly charge: number
  readonly volts: number
}

/** s after waking until the lamp lights. */
const LAMP_DELAY = 1
/** Heat after the start: below this charge temperature, for so long, on and off. */
const AFTERHEAT_BELOW = 0
const AFTERHEAT_FOR = 60
const AFTERHEAT_ON = 4
const AFTERHEAT_OFF = 8

export class StartingAid {
  /** Wait to start. */
  lamp = false
  /** The heater's relay is energised. */
  heater = false
  /** s of lamp decided at waking; not known before. */
  #length = Number.NaN
  #warmEnough = false

  restart(): void {
    this.#length = Number.NaN
    this.lamp = false
    this.heater = false
    this.#warmEnough = false
  }

  step(inputs: StartingInputs): void {
    if (Number.isNaN(this.#length) && inputs.awake > 0.5) {
      const length = interpolate(STARTING.preheat, inputs.coolant)
      this.#length = length >= 1 ? length : 0
    }
    const sinceLamp = inputs.awake - LAMP_DELAY
    this.lamp = inputs.running === 0 && !inputs.cranking && sinceLamp >= 0 && sinceLamp < this.#length
    this.heater = this.lamp || this.#afterheat(inputs)
  }

  #afterheat(inputs: StartingInputs): boolean {
    if (inputs.running < 3 || inputs.running > AFTERHEAT_FOR || inputs.volts < 12.5) return false
    const phase = (inputs.running - 3) % (AFTERHEAT_ON + AFTERHEAT_OFF)
    // Decided at the beginning of each burst, so that the heat itself does not end it.
    if (phase < 0.02) this.#warmEnough = inputs.charge > AFTERHEAT_BELOW
    return !this.#warmEnough && phase < AFTERHEAT_ON
  }
}
