/** Battery, cable, starter, heater and alternator on one 12 V bus. */
import { ELECTRICAL } from '../figures.js'
import type { Hardware } from '../hardware.js'
import { clamp, interpolate, lagShare } from '../math.js'

/** What draws or gives current in one step. */
export interface ElectricalInputs {
  /** Engine speed. */
  readonly rpm: number
  readonly starter: boolean
  /** The heater's solenoid is energised. */
  readonly heater: boolean
  /** A of everything else. */
  readonly load: number
  /** °C of battery and cold parts. */
  readonly temperature: number
}

/** The electrical system. Volts are what the controllers see: behind the cable and the grounds. */
export class Electrical {
  volts: number
  /** A out of the battery; negative while it charges. */
  batteryAmps = 0
  starterAmps = 0
  heaterAmps = 0
  alternatorAmps = 0
  /** Heat of the heater's grid: 0 cold, 1 hot. */
  gridHeat = 0
  #charge: number
  /** How full the battery's plates already are of charge it just took: raises what it resists. */
  #absorbed = 0
  #excitation = 0
  readonly #rest: number

  /** @param rest volts of the rested battery */
  constructor(rest: number, hardware: Hardware) {
    this.#rest = rest
    this.#charge = hardware.batteryCharge
    this.volts = this.#restVolts()
  }

  step(dt: number, inputs: ElectricalInputs, hardware: Hardware): void {
    const { rpm } = inputs
    const turning = rpm > 550 ? hardware.alternator : 0
    this.#excitation = clamp(this.#excitation + (turning > 0 ? dt : -dt * 5) / ELECTRICAL.alternatorRamp, 0, 1)
    const heating = inputs.heater || hardware.heaterWelded > 0
    const heaterOhms = ELECTRICAL.heaterCold + (ELECTRICAL.heaterHot - ELECTRICAL.heaterCold) * this.gridHeat
    const bus: Bus = {
      battery: this.#restVolts(),
      discharge:
        interpolate(ELECTRICAL.batteryResistance, inputs.temperature) * hardware.batteryAge +
        ELECTRICAL.cableResistance +
        hardware.groundResistance,
      charge: ELECTRICAL.chargingResistance * (1 + 3 * this.#absorbed),
      starterVolts: inputs.starter ? ELECTRICAL.starterVoltsPerRpm * rpm : Number.POSITIVE_INFINITY,
      heaterConductance: heating ? hardware.heaterLink / heaterOhms : 0,
      load: inputs.load,
      alternator: this.#excitation * turning * ELECTRICAL.alternatorAmps,
    }
    const volts = solve(bus, this.volts)
    this.volts = volts
    this.batteryAmps = batteryCurrent(bus, volts)
    this.starterAmps = starterCurrent(bus, volts)
    this.heaterAmps = volts * bus.heaterConductance
    this.alternatorAmps = alternatorCurrent(bus, volts)
    this.gridHeat += ((this.heaterAmps > 0 ? 1 : 0) - this.gridHeat) * lagShare(dt, this.heaterAmps > 0 ? 12 : 20)
    this.#charge = clamp(this.#charge - (this.batteryAmps * dt) / 3600 / ELECTRICAL.capacity, 0, 1)
    this.#absorbed += ((this.batteryAmps < -0.5 ? 1 : 0) - this.#absorbed) * lagShare(dt, 240)
  }

  /** Volts of the battery without current: falls by 0.9 V from full to half a charge. */
  #restVolts(): number {
    return this.#rest - 0.9 * (1 - this.#charge)
  }
}

interface Bus {
  readonly battery: number
  readonly discharge: number
  readonly charge: number
  readonly starterVolts: number
  readonly heaterConductance: number
  readonly load: number
  readonly alternator: number
}

const batteryCurrent = (bus: Bus, volts: number): number =>
  (bus.battery - volts) / (volts < bus.battery ? bus.discharge : bus.charge)

const starterCurrent = (bus: Bus, volts: number): number =>
  Math.max(0, (volts - bus.starterVolts) / ELECTRICAL.starterResistance)

const alternatorCurrent = (bus: Bus, volts: number): number =>
  clamp((ELECTRICAL.regulatedVolts - volts) / ELECTRICAL.droop, 0, bus.alternator)

/**
 * Volts at which the currents balance. Their sum falls with the volts, in straight pieces: Newton's
 * step lands on the answer, or is replaced by halving where it would leave what is known to hold it.
 */
function solve(bus: Bus, guess: number): number {
  let volts = guess
  let low = 0
  let high = 20
  for (let i = 0; i < 40; i++) {
    const alternator = alternatorCurrent(bus, volts)
    const starter = starterCurrent(bus, volts)
    const excess = batteryCurrent(bus, volts) + alternator - starter - volts * bus.heaterConductance - bus.load
    if (Math.abs(excess) < 1e-6) break
    if (excess > 0) low = volts
    else high = volts
    const slope =
      1 / (volts < bus.battery ? bus.discharge : bus.charge) +
      (alternator > 0 && alternator < bus.alternator ? 1 / ELECTRICAL.droop : 0) +
      (starter > 0 ? 1 / ELECTRICAL.starterResistance : 0) +
      bus.heaterConductance
    const next = volts + excess / slope
    volts = next > low && next < high ? next : (low + high) / 2
  }
  return volts
}
