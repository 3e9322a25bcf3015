/** Keeps the book of the phases a run really went through. */
import type { DriverInputs, Plant } from './physics/plant.js'
import type { PhaseName, TruePhase } from './truth.js'

/** s the engine must run until it has run up, and how near its idle speed. */
const SETTLED = 1.5

export class PhaseBook {
  readonly phases: TruePhase[] = []
  #phase: PhaseName | undefined
  #since = 0
  #running = 0
  /** It has run since it last fired: slower now means dying. */
  #ran = false

  step(dt: number, time: number, plant: Plant, driver: DriverInputs, preheating: boolean, engineAwake: boolean): void {
    this.#running = plant.running ? this.#running + dt : 0
    const phase = this.#now(plant, driver, preheating, engineAwake)
    if (phase === this.#phase) return
    this.close(time)
    this.#phase = phase
    this.#since = time
  }

  close(time: number): void {
    if (this.#phase && time > this.#since)
      this.phases.push({ phase: this.#phase, from: round(this.#since), to: round(time) })
  }

  #now(plant: Plant, driver: DriverInputs, preheating: boolean, engineAwake: boolean): PhaseName | undefined {
    const { rpm, fired } = plant.crank
    if (driver.key === 'off') return rpm > 5 ? 'shutdown' : engineAwake ? 'after-run' : undefined
    if (fired && rpm > 60) {
      const dying = this.#running === 0 && this.#ran
      if (dying) return 'shutdown'
      if (this.#running < SETTLED) return 'run-up'
      this.#ran = true
      return driver.pedal > 0.05 || plant.vehicle.kmh > 1 ? 'load' : 'idle'
    }
    this.#ran = false
    if (driver.key === 'crank') return 'cranking'
    if (rpm > 60) return this.#phase === 'cranking' ? 'cranking' : 'shutdown'
    return preheating ? 'preheat' : 'key-on'
  }
}

const round = (seconds: number): number => Math.round(seconds * 1000) / 1000
