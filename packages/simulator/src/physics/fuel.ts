/** Fuel: supply pressure, rail pressure, and what is burned. */
import { FUEL, INDICATED_EFFICIENCY, RAIL } from '../figures.js'
import type { Hardware } from '../hardware.js'
import { clamp, interpolate, lagShare, square } from '../math.js'
import type { Random } from '../random.js'
import { RADIANS } from './crankshaft.js'

export interface FuelInputs {
  readonly rpm: number
  /** Indicated torque injected, N·m, and the most the engine makes at this speed. */
  readonly fuelTorque: number
  readonly mostTorque: number
  /** MPa */
  readonly railCommand: number
  /** The lift pump runs. */
  readonly pump: boolean
  readonly burning: number
}

/** How unevenly air comes, of which a step of 10 ms sees this much before it is smoothed. */
const BUBBLES = 2.5

export class FuelSystem {
  /** kPa before the high-pressure pump. */
  delivery = 0
  /** MPa in the rail. */
  rail = 0
  /** L/h burned or thrown out unburned. */
  rate = 0
  /** W of the fuel that burns. */
  power = 0
  /** L since the start. */
  used = 0
  #bubble = 0.6
  readonly #random: Random

  constructor(random: Random) {
    this.#random = random
  }

  step(dt: number, inputs: FuelInputs, hardware: Hardware): void {
    const { rpm, fuelTorque } = inputs
    // Bubbles come in clouds of a second or two, as sucked-in air does.
    this.#bubble += (this.#random.normal() * BUBBLES + 0.6 - this.#bubble) * (dt / 0.8)
    const air = clamp(hardware.fuelAir * clamp(0.4 + this.#bubble, 0, 1.6), 0, 1)

    const wantedDelivery = inputs.pump ? 420 * (1 - 0.75 * air) - 1.2 * this.rate : 0
    this.delivery += (wantedDelivery - this.delivery) * lagShare(dt, inputs.pump ? 0.7 : 6)

    // The pump follows the crankshaft: it builds pressure while cranking, within about 0.6 s.
    const reach = clamp(rpm / 130, 0, 1) * RAIL.full * square(1 - 0.96 * air)
    const wanted = rpm > 30 ? Math.min(inputs.railCommand, reach) : 0.4
    this.rail += (wanted - this.rail) * lagShare(dt, rpm > 30 ? (rpm < 400 ? 0.3 : 0.09) : 1.8)

    const injected = this.rail >= RAIL.least ? fuelTorque : 0
    const load = inputs.mostTorque > 0 ? clamp(fuelTorque / inputs.mostTorque, 0, 1) : 0
    const watts = (injected * rpm * RADIANS) / interpolate(INDICATED_EFFICIENCY, load)
    this.rate = (watts / FUEL.heatingValue / FUEL.density) * 3600
    this.power = watts * Math.min(1, inputs.burning * 1.5)
    this.used += (this.rate * dt) / 3600
  }

  /** Whether the injectors open at all. */
  get injects(): boolean {
    return this.rail >= RAIL.least
  }
}
