/** Turns a scenario's failures on and off, and changes the hardware accordingly. */
import type { Hardware, HardwarePart, SensorCondition, SensorName } from './hardware.js'
import { bySensor, healthyHardware, healthySensor, SENSORS } from './hardware.js'
import type { DriverInputs, Plant } from './physics/plant.js'
import type { Random } from './random.js'
import type { Exposure, Failure, Pattern } from './scenario.js'

/** One appearance of a failure, s since key-on. */
export interface Appearance {
  readonly from: number
  /** Not there while it lasts, or to the end. */
  until: number | undefined
}

interface State {
  readonly failure: Failure
  readonly appearances: Appearance[]
  shows: boolean
  /** s at which the present state of an intermittent failure ends. */
  changes: number
}

export class Failures {
  readonly hardware: Hardware
  readonly sensors: Readonly<Record<SensorName, SensorCondition>>
  readonly #states: readonly State[]
  readonly #random: Random
  readonly #severity: number
  #lastPedal = 0
  #tipIn = 0

  /** @param severity multiplies how far numbers are from healthy; 1 as the scenario says */
  constructor(failures: readonly Failure[], severity: number, random: Random) {
    this.#states = failures.map((failure) => ({ failure, appearances: [], shows: false, changes: 0 }))
    this.#random = random
    this.#severity = severity
    this.hardware = healthyHardware()
    this.sensors = bySensor(healthySensor)
    // Failures there from the beginning shape the initial state of what is built on them.
    for (const state of this.#states) if (isSteady(state.failure.pattern)) this.#show(state, 0)
    this.#apply()
  }

  get appearances(): readonly { readonly failure: Failure; readonly appearances: readonly Appearance[] }[] {
    return this.#states
  }

  step(dt: number, time: number, plant: Plant, driver: DriverInputs): void {
    const pushed = driver.pedal - this.#lastPedal
    this.#lastPedal = driver.pedal
    this.#tipIn = pushed > 0.15 * dt && driver.pedal > 0.2 && driver.pedal < 0.5 ? 0.15 : Math.max(0, this.#tipIn - dt)
    let changed = false
    for (const state of this.#states) {
      const shows = this.#decide(state, time, plant, driver)
      if (shows === state.shows) continue
      changed = true
      if (shows) this.#show(state, time)
      else this.#hide(state, time)
    }
    if (changed) this.#apply()
  }

  #decide(state: State, time: number, plant: Plant, driver: DriverInputs): boolean {
    const pattern = state.failure.pattern ?? {}
    const { from = 0, until = Number.POSITIVE_INFINITY, during = 'always' } = pattern
    if (time < from || time >= until) return false
    if (!pattern.on) return this.#exposed(during, plant, driver)
    if (state.shows) return time < state.changes
    if (time < state.changes || !this.#exposed(during, plant, driver)) return false
    return pattern.times === undefined || state.appearances.length < pattern.times
  }

  #show(state: State, time: number): void {
    const { on } = state.failure.pattern ?? {}
    state.shows = true
    state.appearances.push({ from: time, until: undefined })
    if (on) state.changes = time + this.#random.between(on[0], on[1])
  }

  #hide(state: State, time: number): void {
    const { off = [0, 0] } = state.failure.pattern ?? {}
    state.shows = false
    const last = state.appearances[state.appearances.length - 1]
    if (last) last.until = time
    state.changes = time + this.#random.between(off[0], off[1])
  }

  #exposed(during: Exposure, plant: Plant, driver: DriverInputs): boolean {
    switch (during) {
      case 'always':
        return true
      case 'vibration':
        return plant.crank.rpm > 1800
      case 'cornering':
        return Math.abs(driver.cornering) > 1.4
      case 'tip-in':
        return this.#tipIn > 0
      case 'running':
        return plant.running
    }
  }

  /** Healthy numbers, then those of every failure that shows. */
  #apply(): void {
    const healthy = healthyHardware()
    Object.assign(this.hardware, healthy)
    for (const name of SENSORS) Object.assign(this.sensors[name], healthySensor())
    for (const { failure, shows } of this.#states) {
      if (!shows) continue
      for (const [part, value] of Object.entries(failure.hardware ?? {}) as [HardwarePart, number][]) {
        this.hardware[part] = SCALED.has(part) ? healthy[part] + (value - healthy[part]) * this.#severity : value
      }
      for (const [name, condition] of Object.entries(failure.sensors ?? {}) as [
        SensorName,
        Partial<SensorCondition>,
      ][]) {
        Object.assign(this.sensors[name], condition)
      }
    }
  }
}

/** Parts that can be somewhat wrong; the others are switches. */
const SCALED: ReadonlySet<HardwarePart> = new Set<HardwarePart>([
  'groundResistance',
  'batteryCharge',
  'batteryAge',
  'airTubeBore',
  'boostLeak',
  'oilToFill',
  'fuelAir',
])

function isSteady(pattern: Pattern | undefined): boolean {
  return !pattern || (!pattern.from && !pattern.during && !pattern.on)
}
