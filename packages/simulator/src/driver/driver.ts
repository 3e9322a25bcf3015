/** Follows a script: turns the key, waits for the lamp, lets go of the starter when it runs, drives. */
import { clamp, lagShare } from '../math.js'
import type { DriverInputs } from '../physics/plant.js'
import type { Random } from '../random.js'
import type { DriverScript, Step, Stretch } from './script.js'

/** What the driver sees and hears. */
export interface DriverView {
  /** s since the recording began. */
  readonly time: number
  readonly rpm: number
  /** It fires by itself: the ear knows. */
  readonly firing: boolean
  /** km/h */
  readonly speed: number
  readonly waitLamp: boolean
}

/** Attempts to start, and s of rest between them. */
const TRIES = 3
const REST = 30
const REST_KEY_OFF = 7
/** s after a stall until the key turns, s it is held at most, and how often in all. */
const BEFORE_RESTART = 4
const RESTART_CRANK = 12
const MOST_RESTARTS = 6
/** s a service tool stays plugged in. */
const TOOL_TIME = 9
/** s after key-on in which the lamp lights if it will. */
const LAMP_CHECK = 1.5
/** s from seeing to doing. */
const REACTION = 0.3
/** s of running until the hand lets go of the key. */
const LET_GO = 0.35

export class Driver {
  readonly inputs: DriverInputs = { key: 'off', pedal: 0, brake: 0, drive: false, grade: 0, cornering: 0 }
  /** The script is at its end. */
  done = false
  /** A service tool is plugged in: whether it shall clear what it reads; undefined where there is none. */
  tool: { readonly clear: boolean } | undefined
  readonly #script: DriverScript
  readonly #random: Random
  #index = -1
  #since = 0
  #attempt = 0
  #resting = false
  #caught = 0
  #dark = 0
  #integral = 0
  #stretch = 0
  #stretchSince = 0
  #round = 0
  #reaction: number
  #stalled = 0
  #restarts = 0

  constructor(script: DriverScript, random: Random) {
    this.#script = script
    this.#random = random
    this.#reaction = REACTION
  }

  step(dt: number, view: DriverView): void {
    if (this.#index < 0) this.#next(view.time)
    if (this.#restart(dt, view)) return
    while (!this.done) {
      const step = this.#script[this.#index] as Step
      if (!this.#perform(step, dt, view)) return
      this.#next(view.time)
    }
  }

  #next(time: number): void {
    this.#index++
    this.#since = time
    this.#attempt = 0
    this.#resting = false
    this.#caught = 0
    this.#dark = 0
    this.#stretch = 0
    this.#stretchSince = time
    this.#round = 0
    this.#integral = 0
    this.#reaction = REACTION * this.#random.between(0.7, 1.4)
    this.done = this.#index >= this.#script.length
    if (this.done) this.inputs.pedal = 0
  }

  /**
   * The engine died under a step that wants it to run: waits a moment, then turns the key again.
   *
   * @returns whether the driver is busy with that; the script's clock stands still meanwhile
   */
  #restart(dt: number, view: DriverView): boolean {
    const { inputs } = this
    const step = this.#script[this.#index]
    const wanted = step?.do === 'idle' || step?.do === 'rev' || step?.do === 'drive'
    const dead = !view.firing && view.rpm < 30
    if (!wanted || (this.#stalled === 0 && !dead) || this.#restarts >= MOST_RESTARTS) return false
    this.#stalled += dt
    this.#since += dt
    this.#stretchSince += dt
    inputs.pedal = 0
    inputs.brake = 0.3
    const cranking = this.#stalled - BEFORE_RESTART
    this.#caught = view.firing && view.rpm > 420 ? this.#caught + dt : 0
    const caught = this.#caught > LET_GO
    inputs.key = cranking > 0 && cranking < RESTART_CRANK && !caught ? 'crank' : 'on'
    if (caught || cranking > RESTART_CRANK + BEFORE_RESTART) {
      this.#stalled = 0
      this.#restarts++
      inputs.brake = 0
    }
    return true
  }

  /** @returns whether the step is finished */
  #perform(step: Step, dt: number, view: DriverView): boolean {
    const { inputs } = this
    const elapsed = view.time - this.#since
    switch (step.do) {
      case 'key-on':
        inputs.key = 'on'
        return true
      case 'wait':
        return elapsed >= step.for
      case 'wait-for-lamp':
        this.#dark = view.waitLamp ? 0 : this.#dark + dt
        return elapsed >= LAMP_CHECK && this.#dark >= step.pause
      case 'crank':
        return this.#crank(step, dt, view)
      case 'idle':
        inputs.pedal = 0
        return elapsed >= step.for
      case 'pedal-sweep':
        inputs.pedal = elapsed >= step.for ? 0 : clamp(1.12 * (1 - Math.abs((2 * elapsed) / step.for - 1)), 0, 1)
        return elapsed >= step.for
      case 'rev':
        inputs.pedal = elapsed >= step.for ? 0 : this.#hold(dt, (step.rpm - view.rpm) / 900, 0.6, 0.25)
        return elapsed >= step.for
      case 'drive':
        return this.#drive(step.road, step.repeat ?? 1, dt, view)
      case 'park':
        return this.#park(view)
      case 'tool':
        this.tool = elapsed < TOOL_TIME ? step : undefined
        return elapsed >= TOOL_TIME
      case 'key-off':
        inputs.key = 'off'
        inputs.pedal = 0
        return elapsed >= step.wait
    }
  }

  #crank(step: Extract<Step, { do: 'crank' }>, dt: number, view: DriverView): boolean {
    const { inputs } = this
    const elapsed = view.time - this.#since
    if (this.#resting) {
      // Off and on again, so that it heats once more.
      inputs.key = elapsed < REST_KEY_OFF ? 'off' : 'on'
      if (elapsed < (step.rest ?? REST) || view.waitLamp) return false
      this.#resting = false
      this.#since = view.time
      return false
    }
    inputs.key = 'crank'
    this.#caught = view.firing && view.rpm > 420 ? this.#caught + dt : 0
    if (this.#caught > LET_GO + this.#reaction * 0.3) {
      inputs.key = 'on'
      return true
    }
    if (elapsed < step.atMost) return false
    inputs.key = 'on'
    this.#attempt++
    if (this.#attempt >= (step.tries ?? TRIES)) return true
    this.#resting = true
    this.#since = view.time
    return false
  }

  #drive(road: readonly Stretch[], repeat: number, dt: number, view: DriverView): boolean {
    const { inputs } = this
    const stretch = road[this.#stretch] as Stretch
    inputs.drive = true
    inputs.grade += ((stretch.grade ?? 0) - inputs.grade) * lagShare(dt, 3)
    const bend = (stretch.bends ?? 0) * (Math.floor((view.time - this.#stretchSince) / 4) % 2 === 0 ? 1 : -1)
    inputs.cornering += ((view.speed > 10 ? bend : 0) - inputs.cornering) * lagShare(dt, 0.7)
    this.#steer(dt, stretch.speed - view.speed, stretch.speed)
    if (view.time - this.#stretchSince < stretch.for) return false
    this.#stretch++
    this.#stretchSince = view.time
    if (this.#stretch < road.length) return false
    this.#stretch = 0
    this.#round++
    return this.#round >= repeat
  }

  /** Foot for a speed: the accelerator with patience, the brake when clearly too fast. */
  #steer(dt: number, tooSlow: number, goal: number): void {
    const { inputs } = this
    const braking = tooSlow < -6 || (goal === 0 && tooSlow < -0.5)
    const wantedBrake = braking ? clamp((-tooSlow - 3) / 25, 0.08, 0.6) : goal === 0 ? 0.15 : 0
    inputs.brake += (wantedBrake - inputs.brake) * lagShare(dt, 0.3)
    const pedal = braking || goal === 0 ? 0 : this.#hold(dt, tooSlow / 22, 1, 0.1)
    // Feet do not jump.
    inputs.pedal += clamp(pedal - inputs.pedal, -3 * dt, 1.6 * dt)
    if (inputs.pedal < 0.004) inputs.pedal = 0
    if (inputs.brake < 0.01) inputs.brake = 0
  }

  /** A proportional and integral foot, 0 to 1. */
  #hold(dt: number, error: number, proportional: number, integral: number): number {
    // Far from the goal the foot does not learn: it would overshoot.
    if (Math.abs(error) < 0.4) this.#integral = clamp(this.#integral + integral * error * dt, -0.1, 1)
    return clamp(this.#integral + proportional * error, 0, 1)
  }

  #park(view: DriverView): boolean {
    const { inputs } = this
    inputs.pedal = 0
    inputs.cornering = 0
    if (view.speed > 0.5) {
      inputs.brake = 0.3
      return false
    }
    inputs.brake = 0
    inputs.drive = false
    inputs.grade = 0
    return true
  }
}
