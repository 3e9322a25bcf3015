/** The engine's controller: measures, governs, watches itself, and has an opinion on everything. */
import { ENGINE, expectedBoost } from '../figures.js'
import type { Hardware, SensorCondition, SensorName } from '../hardware.js'
import { clamp } from '../math.js'
import { speedDensity } from '../physics/atmosphere.js'
import type { Commands, DriverInputs, Plant } from '../physics/plant.js'
import { mostIndicatedTorque } from '../physics/plant.js'
import type { Random } from '../random.js'
import { FaultMemory } from './fault-memory.js'
import { freezeFrame } from './freeze-frame.js'
import { Governor } from './governor.js'
import { Inputs } from './inputs.js'
import { MonitorBank } from './monitor-bank.js'
import { ENGINE_MONITORS } from './monitors.js'
import { StartingAid } from './starting.js'

/** s the controller keeps itself awake after the key. */
const AFTER_RUN = 4
/** V of ignition feed above which the key counts as on. */
const KEY_ON = 5
/** Steps between two runs of the monitors. */
const MONITOR_EVERY = 2

/** SPN 3543. */
export type OperatingState = 0 | 1 | 2 | 3 | 4 | 6 | 7

export class Controller {
  readonly memory: FaultMemory = new FaultMemory()
  readonly inputs: Inputs
  readonly governor: Governor = new Governor()
  readonly starting: StartingAid = new StartingAid()
  readonly commands: Commands = { fuelTorque: 0, railPressure: 0, egr: 0, heater: false, liftPump: false, fan: 0 }
  /** s since it woke, since the engine runs, and of the last cranking. */
  awake = 0
  running = 0
  cranking = 0
  /** s the engine has stood still or has been without pedal. */
  standing = 0
  idling = 0
  /** s heater and high load have been on without a break; V before the heater came on. */
  heating = 0
  voltsBeforeHeating = 0
  loaded = 0
  /** s since a message of the gearbox's controller was last seen. */
  networkSilent = 0
  /** s since the ignition feed came back to a turning engine. */
  feedReturned = 1e6
  /** Lost pulses of the crankshaft sensor, fading within seconds. */
  pulseLosses = 0
  /** The probe in the filter bowl is wet. */
  waterInFuel = false
  /** Fuel used since it was built, L, and hours run. */
  fuelUsed: number
  hours: number
  /** Share of torque engine protection allows. */
  derate = 1
  plant: Plant
  driver: DriverInputs
  #afterRun = 0
  #steps = 0
  readonly #bank: MonitorBank<Controller>

  constructor(plant: Plant, driver: DriverInputs, random: Random, life: { hours: number; fuelUsed: number }) {
    this.plant = plant
    this.driver = driver
    this.hours = life.hours
    this.fuelUsed = life.fuelUsed
    this.inputs = new Inputs(this.memory, random)
    this.#bank = new MonitorBank(ENGINE_MONITORS, this.memory)
  }

  get keyOn(): boolean {
    return this.inputs.keyVolts > KEY_ON
  }

  /** Whether it sends: the key is on, or it has not yet gone to sleep. */
  get isAwake(): boolean {
    return this.keyOn || this.#afterRun > 0
  }

  get rpm(): number {
    return this.inputs.rpm
  }

  /** Starts anew after its supply broke down: memory stays, everything else is lost. */
  restart(): void {
    this.awake = 0
    this.running = 0
    this.starting.restart()
    this.#bank.restart()
    this.commands.fuelTorque = 0
    this.commands.heater = false
  }

  step(
    dt: number,
    time: number,
    hardware: Hardware,
    conditions: Readonly<Record<SensorName, SensorCondition>>,
    powered: boolean,
  ): void {
    const wasOn = this.keyOn
    this.inputs.step(dt, this.plant, this.driver, conditions, hardware)
    this.waterInFuel = hardware.fuelWater >= 1
    this.feedReturned = !wasOn && this.keyOn && this.awake > 1 && this.rpm > 100 ? 0 : this.feedReturned + dt
    this.pulseLosses += (this.inputs.pulsesLost ? dt * 20 : 0) - (this.pulseLosses * dt) / 3
    this.#afterRun = this.keyOn ? AFTER_RUN : Math.max(0, this.#afterRun - dt)
    if (!powered || !this.isAwake) {
      if (this.awake > 0) this.restart()
      this.#rest()
      return
    }
    this.#count(dt)
    this.starting.step({
      awake: this.awake,
      running: this.running,
      cranking: this.cranking > 0,
      coolant: this.inputs.value('coolant-temperature'),
      charge: this.inputs.value('intake-temperature'),
      volts: this.inputs.volts,
    })
    this.#govern(dt)
    this.#steps++
    if (this.#steps % MONITOR_EVERY === 0) {
      this.#bank.step(dt * MONITOR_EVERY, time, this, () => freezeFrame(this))
      this.derate = this.#protection()
    }
  }

  /** % of accelerator after the two tracks were compared; idle only while they cannot be trusted. */
  get pedal(): number {
    if (this.memory.isActive(91)) return 0
    return clamp(this.inputs.value('pedal-1'), 0, 100)
  }

  get boost(): number {
    return Math.max(0, this.inputs.value('intake-pressure') - this.inputs.value('barometric-pressure'))
  }

  /** Air the engine should draw by speed and density, kg/h, without exhaust gas fed back. */
  get estimatedAir(): number {
    return speedDensity(
      this.rpm,
      ENGINE.displacement,
      ENGINE.volumetricEfficiency,
      this.inputs.value('intake-pressure'),
      this.inputs.value('intake-temperature'),
    )
  }

  /** Torque injected now against the most at this speed, %. */
  get load(): number {
    const most = mostIndicatedTorque(this.rpm)
    return this.rpm > 300 && most > 0 ? clamp((this.commands.fuelTorque / most) * 100, 0, 125) : 0
  }

  get expectedBoost(): number {
    return expectedBoost(this.rpm, this.load / 100)
  }

  /** SPN 3543: 0 stopped, 1 pre-start, 2 starting, 3 warm-up, 4 running, 6 stopping, 7 post-run. */
  get operatingState(): OperatingState {
    if (!this.keyOn) return this.rpm > 50 ? 6 : 7
    if (this.running > 0) return this.inputs.value('coolant-temperature') < 60 ? 3 : 4
    if (this.cranking > 0) return 2
    return this.starting.lamp ? 1 : 0
  }

  /** SPN 1675: 0 not requested, 2 active, 3 finished, 4 engine runs, 5 preheating. */
  get starterMode(): number {
    if (this.cranking > 0) return 2
    if (this.running > 0) return this.running < 2 ? 3 : 4
    return this.starting.lamp ? 5 : 0
  }

  #count(dt: number): void {
    const { rpm } = this
    this.awake += dt
    this.cranking = this.driver.key === 'crank' ? this.cranking + dt : 0
    // A lost pulse or two does not mean that the engine has stopped.
    const runs = this.running > 0 ? rpm > 250 || this.inputs.pulsesLost : rpm > 450
    this.running = runs ? this.running + dt : 0
    this.standing = rpm < 5 ? this.standing + dt : 0
    this.idling = this.running > 0 && this.pedal < 2 && this.plant.vehicle.kmh < 1 ? this.idling + dt : 0
    this.loaded = this.load > 80 ? this.loaded + dt : 0
    if (this.commands.heater) this.heating += dt
    else {
      this.heating = 0
      this.voltsBeforeHeating = this.inputs.volts
    }
    if (this.running > 0) {
      this.hours += dt / 3600
      this.fuelUsed += (this.plant.fuel.rate * dt) / 3600
    }
  }

  #govern(dt: number): void {
    const { inputs, commands, governor } = this
    const coolant = inputs.value('coolant-temperature')
    governor.step(dt, {
      rpm: this.rpm,
      starting: this.running === 0,
      pedal: this.pedal / 100,
      coolant,
      air: inputs.failed('air-mass')
        ? 0.85 * this.estimatedAir
        : Math.min(inputs.value('air-mass'), 1.3 * this.estimatedAir),
      derate: this.derate,
      shifting: this.plant.vehicle.shifting,
      enabled: this.keyOn && !(inputs.pulsesLost && this.rpm < 5),
    })
    commands.fuelTorque = governor.torque
    commands.railPressure = governor.railPressure
    commands.heater = this.starting.heater
    commands.liftPump = this.keyOn && (this.awake < 8 || this.rpm > 30 || this.cranking > 0)
    commands.egr = this.#egr(coolant)
    const fan = clamp((coolant - 90) / 12, 0, 1)
    commands.fan = this.running > 0 ? (inputs.failed('coolant-temperature') ? 1 : fan) : 0
  }

  /** Exhaust gas is fed back warm, at part load, and not when idling for long. */
  #egr(coolant: number): number {
    const { rpm } = this
    const distrust =
      this.inputs.failed('air-mass') ||
      this.memory.isActive(132) ||
      this.memory.isActive(102) ||
      this.memory.isActive(27)
    if (distrust || coolant < 60 || this.running < 30 || this.idling > 60 || rpm > 2700 || rpm < 600) return 0
    const load = this.load / 100
    return load < 0.05 || load > 0.7 ? 0 : 38 * (1 - Math.abs(load - 0.35) / 0.35)
  }

  /** Engine protection: less torque, so that it drives home. */
  #protection(): number {
    const { memory } = this
    if (memory.isActive(110, 0) || memory.isActive(100, 1)) return 0.4
    if (memory.isActive(157, 18) || memory.isActive(110, 16) || memory.isActive(91)) return 0.6
    if (memory.isActive(132) || memory.isActive(102)) return 0.75
    return 1
  }

  #rest(): void {
    const { commands } = this
    commands.fuelTorque = 0
    commands.railPressure = 0
    commands.egr = 0
    commands.heater = false
    commands.liftPump = false
    commands.fan = 0
    this.awake = 0
    this.running = 0
    this.cranking = 0
  }
}
