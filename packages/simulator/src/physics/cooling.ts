/** Heat of coolant, oil, fuel, charge air and the controller's own box. */
import { COOLING } from '../figures.js'
import type { Hardware } from '../hardware.js'
import { clamp, lagShare } from '../math.js'

export interface HeatInputs {
  /** W of burning fuel, and share of full load. */
  readonly fuelPower: number
  readonly load: number
  /** W rubbed into the oil. */
  readonly frictionPower: number
  /** km/h */
  readonly speed: number
  /** Fan speed, 0 to 1. */
  readonly fan: number
  /** °C */
  readonly ambient: number
  readonly running: boolean
}

/** J/K of the oil and the metal it washes; W/K from oil to coolant and to the air. */
const OIL_CAPACITY = 24e3
const OIL_TO_COOLANT = 190
const OIL_TO_AIR = 9
/** W/K of air per km/h of wind on the sump. */
const OIL_TO_WIND = 0.35

export class Cooling {
  coolant: number
  oil: number
  fuel: number
  controller: number
  /** Opening of the thermostat, 0 to 1. */
  thermostat = 0

  constructor(coolant: number, oil: number, ambient: number) {
    this.coolant = coolant
    this.oil = oil
    this.fuel = ambient + 0.25 * (coolant - ambient)
    this.controller = ambient + 0.15 * (coolant - ambient)
  }

  step(dt: number, inputs: HeatInputs, hardware: Hardware): void {
    const { ambient, speed, load } = inputs
    const share = COOLING.shareIdle + (COOLING.shareLoad - COOLING.shareIdle) * clamp(load * 2, 0, 1)
    const loss = speed > 5 ? COOLING.lossDriving : COOLING.lossStanding
    const wanted = clamp((this.coolant - COOLING.opens) / (COOLING.open - COOLING.opens), 0, 1)
    this.thermostat +=
      ((hardware.thermostatStuck < 0 ? wanted : hardware.thermostatStuck) - this.thermostat) * lagShare(dt, 15)
    const radiator =
      this.thermostat *
      hardware.radiator *
      (inputs.running
        ? COOLING.radiatorStanding + COOLING.radiatorPerSpeed * speed + COOLING.radiatorFan * inputs.fan
        : 20)
    const fromOil = OIL_TO_COOLANT * (this.oil - this.coolant)
    const intoCoolant = share * inputs.fuelPower + fromOil - (loss + radiator) * (this.coolant - ambient)
    this.coolant += (intoCoolant * dt) / COOLING.capacity
    this.oil +=
      ((inputs.frictionPower - fromOil - (OIL_TO_AIR + OIL_TO_WIND * speed) * (this.oil - ambient)) * dt) / OIL_CAPACITY
    this.fuel +=
      (ambient + (inputs.running ? 6 + 18 * load : 0) + 0.12 * (this.coolant - ambient) - this.fuel) * lagShare(dt, 400)
    this.controller += (ambient + 6 + 0.18 * (this.coolant - ambient) - this.controller) * lagShare(dt, 500)
  }
}
