/** Engine, electrics and truck together: what really happens, before any sensor looks at it. */
import { FULL_LOAD_TORQUE, frictionTorque, STARTING } from '../figures.js'
import type { Hardware } from '../hardware.js'
import { clamp, interpolate } from '../math.js'
import type { Random } from '../random.js'
import { AirPath } from './air.js'
import { Cooling } from './cooling.js'
import { Crankshaft, RADIANS } from './crankshaft.js'
import { Electrical } from './electrical.js'
import { FuelSystem } from './fuel.js'
import { OilGallery } from './oil.js'
import { Vehicle } from './vehicle.js'

/** What the driver and the road do. */
export interface DriverInputs {
  key: 'off' | 'on' | 'crank'
  /** Foot on the accelerator and the brake, 0 to 1. */
  pedal: number
  brake: number
  /** Selector in drive, or in neutral with the parking brake set. */
  drive: boolean
  /** Rise of the road per 100. */
  grade: number
  /** Sideways acceleration, m/s². */
  cornering: number
}

/** What the controller tells the engine to do. */
export interface Commands {
  /** Indicated torque to inject for, N·m. */
  fuelTorque: number
  /** MPa */
  railPressure: number
  /** % */
  egr: number
  heater: boolean
  liftPump: boolean
  /** 0 to 1 */
  fan: number
}

/** Where the truck is and how it stood. */
export interface Surroundings {
  /** °C and kPa outside. */
  readonly ambient: number
  readonly pressure: number
  /** °C of coolant and oil at the start. */
  readonly coolant: number
  readonly oil: number
  /** Volts of the rested battery. */
  readonly restVolts: number
  /** Whether the engine stood for hours. */
  readonly rested: boolean
  readonly specimen: Specimen
}

/** How one engine differs from the drawing: factors near 1. */
export interface Specimen {
  readonly friction: number
  readonly breathing: number
  readonly oilPressure: number
}

/** Torque an injection could give at most, N·m: flywheel torque at full load and what friction takes. */
export function mostIndicatedTorque(rpm: number): number {
  return interpolate(FULL_LOAD_TORQUE, rpm) + frictionTorque(rpm)
}

/** A of controllers, lift pump, injectors and lamps. */
const LOAD_AWAKE = 5
const LOAD_PUMP = 5
const LOAD_INJECTION = 8

export class Plant {
  readonly crank: Crankshaft
  readonly electrical: Electrical
  readonly air: AirPath
  readonly cooling: Cooling
  readonly fuel: FuelSystem
  readonly oil: OilGallery
  readonly vehicle: Vehicle = new Vehicle()
  readonly surroundings: Surroundings
  /** s since the recording began. */
  time = 0
  /** Share of full load burned. */
  load = 0
  /** Heat the intake heater gave, against what it owes before a start. */
  heaterHeat = 0
  #beltTorque = 0

  constructor(surroundings: Surroundings, hardware: Hardware, random: Random) {
    this.surroundings = surroundings
    this.crank = new Crankshaft(random.fork('crankshaft'), surroundings.specimen.friction)
    this.electrical = new Electrical(surroundings.restVolts, hardware)
    this.cooling = new Cooling(surroundings.coolant, surroundings.oil, surroundings.ambient)
    const bay = surroundings.ambient + 0.5 * (surroundings.coolant - surroundings.ambient)
    this.air = new AirPath(surroundings.ambient, bay, surroundings.specimen.breathing)
    this.fuel = new FuelSystem(random.fork('fuel'))
    this.oil = new OilGallery(hardware, surroundings.rested, surroundings.specimen.oilPressure)
  }

  get running(): boolean {
    return this.crank.fired && this.crank.rpm > 400
  }

  step(dt: number, driver: DriverInputs, commands: Commands, hardware: Hardware, awake: boolean): void {
    const { crank, electrical, air, cooling, fuel, vehicle, surroundings } = this
    const { ambient, pressure } = surroundings
    const cranking = driver.key === 'crank'
    this.time += dt
    electrical.step(
      dt,
      {
        rpm: crank.rpm,
        starter: cranking,
        heater: commands.heater,
        load:
          (awake ? LOAD_AWAKE : 0.05) +
          (commands.liftPump ? LOAD_PUMP : 0) +
          (this.running ? LOAD_INJECTION : 0) +
          (driver.drive ? 6 : 0) +
          14 * commands.fan,
        temperature: ambient,
      },
      hardware,
    )
    const heaterPower = electrical.heaterAmps * electrical.volts
    const owed = Math.max(2, interpolate(STARTING.preheat, cooling.coolant)) * 900
    this.heaterHeat = clamp(this.heaterHeat + (heaterPower * dt) / owed - (this.heaterHeat * dt) / 120, 0, 1.15)

    const most = mostIndicatedTorque(crank.rpm)
    fuel.step(
      dt,
      {
        rpm: crank.rpm,
        fuelTorque: commands.fuelTorque,
        mostTorque: most,
        railCommand: commands.railPressure,
        pump: commands.liftPump,
        burning: crank.burning,
      },
      hardware,
    )
    const injected = fuel.injects ? commands.fuelTorque : 0
    this.load = crank.fired && most > 0 ? clamp(injected / most, 0, 1) : 0
    this.#turn(dt, driver, injected, cranking, hardware)
    this.oil.step(dt, crank.rpm, cooling.oil, hardware)
    air.step(
      dt,
      {
        rpm: crank.rpm,
        load: this.load,
        fuelPower: fuel.power,
        egrCommand: commands.egr,
        ambientPressure: pressure,
        ambient,
        coolant: cooling.coolant,
        heaterPower,
        speed: vehicle.kmh,
      },
      hardware,
    )
    cooling.step(
      dt,
      {
        fuelPower: fuel.power,
        load: this.load,
        // Little of what friction takes ends in the oil; the walls and the coolant have the rest.
        frictionPower: 0.25 * crank.drag(cooling.oil) * crank.rpm * RADIANS,
        speed: vehicle.kmh,
        fan: commands.fan,
        ambient,
        running: this.running,
      },
      hardware,
    )
  }

  /** Crankshaft and driveline, coupled by the converter or locked together. */
  #turn(dt: number, driver: DriverInputs, injected: number, cranking: boolean, hardware: Hardware): void {
    const { crank, vehicle, cooling, electrical } = this
    const belt = crank.rpm > 300 ? (electrical.alternatorAmps * electrical.volts) / 0.6 / (crank.rpm * RADIANS) : 0
    this.#beltTorque += (belt - this.#beltTorque) * (dt / 0.1)
    const free = crank.indicatedTorque - crank.drag(cooling.oil) - this.#beltTorque
    vehicle.step(dt, {
      engineRpm: crank.rpm,
      engineTorque: free,
      pedal: driver.pedal,
      brake: driver.brake,
      drive: driver.drive,
      grade: driver.grade,
      ambientPressure: this.surroundings.pressure,
      ambient: this.surroundings.ambient,
    })
    crank.step(dt, {
      starterAmps: cranking ? electrical.starterAmps : 0,
      fuelTorque: injected,
      loadTorque: this.#beltTorque + (vehicle.locked ? 0 : vehicle.converterTorque),
      oilTemperature: cooling.oil,
      chargeTemperature: this.air.charge,
      heaterHeat: Math.min(1, this.heaterHeat),
      weakCylinder: hardware.weakCylinder,
    })
    if (vehicle.locked) crank.follow(vehicle.inputRpm)
  }
}
