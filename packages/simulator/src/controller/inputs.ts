/** What the engine's controller measures: speed, volts, and its sensors with their substitutes. */
import type { SignalInput } from '@firstcrank/decoder'
import type { Hardware, SensorCondition, SensorName } from '../hardware.js'
import { bySensor, SENSORS } from '../hardware.js'
import { clamp, lagShare } from '../math.js'
import type { DriverInputs, Plant } from '../physics/plant.js'
import type { Random } from '../random.js'
import type { FaultMemory } from './fault-memory.js'
import { readTruth, SENSOR_DEFINITIONS, SensorPins } from './sensors.js'

const FAST: readonly SensorName[] = [
  'oil-pressure',
  'intake-pressure',
  'rail-pressure',
  'air-mass',
  'pedal-1',
  'pedal-2',
  'egr-position',
]
const SLOW: readonly SensorName[] = SENSORS.filter((name) => !FAST.includes(name))
/** Every how many steps the slow ones are read. */
const SLOW_EVERY = 10

/** s of turning until the controller knows where the crankshaft is. */
const SYNCHRONISE = 0.35

/** Values used in place of failed sensors, where the policy is a substitute. */
const SUBSTITUTES: Partial<Record<SensorName, number>> = {
  'barometric-pressure': 101.3,
  'pedal-1': 0,
}

/** V of a 5 V supply: a short to ground through a chafed wire leaves a little. */
const supplyVolts = (whole: number): number => (whole < 0.5 ? 0.2 : 5)

export class Inputs {
  /** rpm as measured: 0 until synchronised. */
  rpm = 0
  /** Battery and ignition feed, V. */
  volts = 0
  keyVolts = 0
  /** The sensors' two 5 V supplies. */
  sensorSupply1 = 5
  sensorSupply2 = 5
  /** The crankshaft's pulses were lost just now. */
  pulsesLost = false
  readonly #pins: SensorPins
  readonly #truth: Record<SensorName, number> = bySensor(() => 0)
  readonly #lastGood: Record<SensorName, number> = bySensor(() => 0)
  readonly #failed: Record<SensorName, boolean> = bySensor(() => false)
  readonly #memory: FaultMemory
  readonly #random: Random
  #turning = 0
  #steps = 0
  #lossLeft = 0
  #lossShare = 0

  constructor(memory: FaultMemory, random: Random) {
    this.#memory = memory
    this.#random = random.fork('inputs')
    this.#pins = new SensorPins(random.fork('sensors'))
  }

  step(
    dt: number,
    plant: Plant,
    driver: DriverInputs,
    conditions: Readonly<Record<SensorName, SensorCondition>>,
    hardware: Hardware,
  ): void {
    this.#measureSpeed(dt, plant, hardware)
    const share = lagShare(dt, 0.02)
    const feed = driver.key === 'off' ? 0 : plant.electrical.volts * hardware.keyFeed
    this.volts += (plant.electrical.volts + this.#random.normal() * 0.015 - this.volts) * share
    this.keyVolts += (feed * 0.997 - this.keyVolts) * share
    this.sensorSupply1 += (supplyVolts(hardware.sensorSupply1) - this.sensorSupply1) * share
    this.sensorSupply2 += (supplyVolts(hardware.sensorSupply2) - this.sensorSupply2) * share
    readTruth(this.#truth, plant, driver.pedal, hardware)
    this.#pins.read(dt, FAST, this.#truth, conditions, hardware)
    if (this.#steps % SLOW_EVERY === 0) {
      this.#pins.read(dt * SLOW_EVERY, SLOW, this.#truth, conditions, hardware)
      this.#judge()
    }
    this.#steps++
  }

  /** Share of a pin's range: below 0 or above 1 where a wire is broken. */
  level(name: SensorName): number {
    return this.#pins.pins[name].level
  }

  /** What the pin shows, believed or not. */
  reading(name: SensorName): number {
    return this.#pins.pins[name].reading
  }

  /** What the controller works with. */
  value(name: SensorName): number {
    if (!this.#failed[name]) return this.#pins.pins[name].reading
    const { policy } = SENSOR_DEFINITIONS[name]
    if (policy === 'last-good') return this.#lastGood[name]
    if (policy !== 'substitute') return this.#pins.pins[name].reading
    return SUBSTITUTES[name] ?? this.value('barometric-pressure')
  }

  /** What the controller tells the bus. */
  report(name: SensorName): SignalInput {
    return this.#failed[name] && SENSOR_DEFINITIONS[name].policy === 'error' ? 'error' : this.value(name)
  }

  failed(name: SensorName): boolean {
    return this.#failed[name]
  }

  /** Keeps good values and follows the fault memory. */
  #judge(): void {
    for (const name of SENSORS) {
      const { spn } = SENSOR_DEFINITIONS[name]
      const failed = this.#memory.isActive(spn, 3) || this.#memory.isActive(spn, 4)
      this.#failed[name] = failed
      const { level, reading } = this.#pins.pins[name]
      if (!failed && level > -0.05 && level < 1.05) this.#lastGood[name] = reading
    }
  }

  #measureSpeed(dt: number, plant: Plant, hardware: Hardware): void {
    const { rpm } = plant.crank
    this.#turning = rpm > 45 ? this.#turning + dt : 0
    // A weak pulse is lost for a few teeth; then speed reads half, or nothing at all.
    if (hardware.crankPickup < 1 && this.#lossLeft <= 0 && this.#random.unit() > hardware.crankPickup) {
      this.#lossLeft = this.#random.between(0.06, 0.2)
      this.#lossShare = this.#random.unit() < 0.6 ? 0.5 : 0
    }
    this.#lossLeft -= dt
    this.pulsesLost = this.#lossLeft > 0 && hardware.crankPickup < 1
    const seen = this.pulsesLost ? rpm * this.#lossShare : rpm
    const silent = this.#turning < SYNCHRONISE || seen === 0
    this.rpm = silent ? 0 : clamp(seen + this.#random.normal() * (0.3 + seen * 0.0004), 0, 8000)
  }
}
