/** Pressure in the oil gallery: nothing until it is full, then what pump, relief valve and viscosity give. */
import { OIL, oilPressure } from '../figures.js'
import type { Hardware } from '../hardware.js'
import { lagShare } from '../math.js'

export class OilGallery {
  /** kPa above ambient. */
  pressure = 0
  #missing: number
  readonly #strength: number

  /**
   * @param rested whether the engine stood long enough for the galleries to drain
   * @param strength of this engine's pump against the drawing's
   */
  constructor(hardware: Hardware, rested: boolean, strength = 1) {
    this.#strength = strength
    this.#missing = (rested ? OIL.fill : OIL.fill / 3) + hardware.oilToFill
  }

  step(dt: number, rpm: number, oilTemperature: number, hardware: Hardware): void {
    const open = 1 - hardware.oilBlocked
    this.#missing = Math.max(0, this.#missing - rpm * dt * open)
    // Standing, a third of the gallery drains back within a few minutes.
    if (rpm < 30 && this.#missing < OIL.fill / 3) this.#missing += (OIL.fill / 3) * (dt / 180)
    const wanted = this.#missing > 0 ? 0 : oilPressure(rpm * this.#strength, oilTemperature) * open
    this.pressure += (wanted - this.pressure) * lagShare(dt, wanted > this.pressure ? 0.18 : 0.35)
  }
}
