/** Puts everything together and lets time run. */
import { Bus } from './bus/bus.js'
import { Controller } from './controller/controller.js'
import type { FaultMemory } from './controller/fault-memory.js'
import { MonitorBank } from './controller/monitor-bank.js'
import { Driver } from './driver/driver.js'
import { SimulationError } from './error.js'
import { Failures } from './failures.js'
import { STATION_ALTITUDE } from './figures.js'
import { bodyNode, Gauge } from './nodes/cab.js'
import { brakesNode, transmissionNode } from './nodes/driveline.js'
import { engineNode } from './nodes/engine.js'
import { ADDRESS } from './nodes/identity.js'
import { type ListenerView, listenerMonitors } from './nodes/listener.js'
import type { Node } from './nodes/node.js'
import { ServiceTool } from './nodes/tool.js'
import { PhaseBook } from './phases.js'
import { standardPressure } from './physics/atmosphere.js'
import { Plant } from './physics/plant.js'
import { Random } from './random.js'
import type { Scenario } from './scenario.js'
import { findScenario } from './scenarios/index.js'
import { scenarioTruth, type TrueEpisode, type Truth } from './truth.js'

/** What can be varied without writing a scenario. */
export interface SimulationOptions {
  /** Decides every chance event; 1 where not given. */
  readonly seed?: number
  /** °C outside; a rested engine has it too, one that comes warm stays as warm as it is. */
  readonly ambient?: number
  /** m above sea level. */
  readonly altitude?: number
  /** How far what is wrong is from healthy: 1 as the scenario has it. */
  readonly severity?: number
  /** s since key-on after which the recording stops; to the script's end where not given. */
  readonly duration?: number
  /** Name of the interface; `can0` where not given. */
  readonly interface?: string
  /** Whether the recorder writes error frames. */
  readonly errorFrames?: boolean
}

/** A run that is made while it is read. */
export interface Simulation {
  readonly scenario: Scenario
  /** candump text in pieces of about 64 KiB that end at line ends; can be read once. */
  readonly chunks: Iterable<string>
  /**
   * What the recording holds.
   *
   * @throws {SimulationError} `not-finished` while the chunks have not been read to their end
   */
  truth(): Truth
}

/** s of one step. */
const STEP = 0.01
const STEP_MICROS = 10_000
const CHUNK = 65_536
/** bit/s of the truck's bus. Source: SAE J1939-11. */
const BIT_RATE = 250_000

/**
 * Starts a simulation. The same scenario, seed and options give the same text, byte for byte.
 *
 * @throws {SimulationError} `unknown-scenario`, `bad-option`
 */
export function simulate(name: string, options: SimulationOptions = {}): Simulation {
  const scenario = findScenario(name)
  const run = new Run(scenario, checked(options))
  return { scenario, chunks: run.chunks(), truth: () => run.truth() }
}

/** The whole recording as one string, and what it holds. For short scenarios. */
export function writeLog(name: string, options: SimulationOptions = {}): { text: string; truth: Truth } {
  const simulation = simulate(name, options)
  let text = ''
  for (const chunk of simulation.chunks) text += chunk
  return { text, truth: simulation.truth() }
}

function checked(options: SimulationOptions): SimulationOptions {
  const bounds: readonly (readonly [keyof SimulationOptions, number, number])[] = [
    ['seed', 0, 0xffffffff],
    ['ambient', -40, 50],
    ['altitude', -400, 5000],
    ['severity', 0, 2],
    ['duration', 0, 86_400],
  ]
  for (const [key, low, high] of bounds) {
    const value = options[key]
    if (value === undefined) continue
    if (typeof value !== 'number' || !(value >= low && value <= high) || (key === 'seed' && !Number.isInteger(value))) {
      throw new SimulationError('bad-option', `${key} is ${value}; it may be ${low} to ${high}`)
    }
  }
  if (options.interface !== undefined && !/^[a-z0-9_-]{1,15}$/i.test(options.interface)) {
    throw new SimulationError('bad-option', `interface "${options.interface}" is no name of an interface`)
  }
  return options
}

class Run {
  readonly #scenario: Scenario
  readonly #seed: number
  readonly #start: number
  readonly #altitude: number
  readonly #end: number
  readonly #bus: Bus
  readonly #plant: Plant
  readonly #failures: Failures
  readonly #driver: Driver
  readonly #controller: Controller
  readonly #engine: Node
  readonly #gauge: Gauge
  readonly #tool: ServiceTool
  readonly #others: readonly { readonly node: Node; readonly memory: FaultMemory }[]
  readonly #listeners: readonly {
    readonly node: Node
    readonly bank: MonitorBank<ListenerView>
    readonly view: ListenerView
  }[]
  readonly #book: PhaseBook = new PhaseBook()
  #time = 0
  #finished = false

  constructor(scenario: Scenario, options: SimulationOptions) {
    this.#scenario = scenario
    this.#seed = options.seed ?? 1
    this.#start = Date.parse(scenario.start) * 1000
    this.#altitude = options.altitude ?? scenario.altitude ?? STATION_ALTITUDE
    this.#end = options.duration ?? Number.POSITIVE_INFINITY
    const random = new Random(this.#seed)
    const chance = random.fork('surroundings')
    const ambient = (options.ambient ?? scenario.ambient) + chance.normal() * 0.3
    const engine = scenario.engine ?? ambient
    this.#failures = new Failures(scenario.failures, options.severity ?? 1, random.fork('failures'))
    this.#plant = new Plant(
      {
        ambient,
        pressure: standardPressure(this.#altitude) + chance.normal() * 0.25,
        coolant: engine + chance.normal() * 0.2,
        oil: engine + chance.normal() * 0.2,
        restVolts: 12.65 + chance.normal() * 0.03,
        rested: scenario.engine === undefined,
        specimen: {
          friction: 1 + 0.02 * chance.normal(),
          breathing: 1 + 0.008 * chance.normal(),
          oilPressure: 1 + 0.02 * chance.normal(),
        },
      },
      this.#failures.hardware,
      random.fork('plant'),
    )
    this.#bus = new Bus(
      {
        interface: options.interface ?? 'can0',
        bitRate: BIT_RATE,
        errorFrames: options.errorFrames ?? scenario.errorFrames ?? false,
        holes: (scenario.holes ?? []).map(([from, to]) => [this.#start + from * 1e6, this.#start + to * 1e6] as const),
      },
      random.fork('bus'),
    )
    this.#driver = new Driver(scenario.script, random.fork('driver'))
    const { inputs } = this.#driver
    const life = { hours: 3 + chance.between(0, 2), fuelUsed: 12 + chance.between(0, 8) }
    this.#controller = new Controller(this.#plant, inputs, random.fork('controller'), life)
    const odometer = { distance: 214_300 + Math.floor(chance.between(0, 400)), fuelLevel: chance.between(55, 95) }
    this.#engine = engineNode(this.#controller, this.#bus, random.fork('engine'))
    const wrongAddress = scenario.gaugeAddress !== undefined
    this.#gauge = new Gauge(
      this.#plant,
      this.#bus,
      random.fork('gauge'),
      scenario.gaugeAddress ?? ADDRESS.gauge,
      wrongAddress,
    )
    this.#tool = new ServiceTool(this.#bus, random.fork('tool'))
    for (const { spn, fmi, count } of scenario.stored ?? []) {
      const fault = this.#controller.memory.faults.find((known) => known.spn === spn && known.fmi === fmi)
      if (fault) fault.count = count
    }
    this.#others = [
      transmissionNode(this.#plant, inputs, this.#bus, random.fork('transmission')),
      brakesNode(this.#plant, inputs, this.#bus, random.fork('brakes')),
      bodyNode(this.#plant, inputs, odometer, this.#bus, random.fork('body')),
      this.#gauge,
    ]
    this.#listeners = this.#others.map(({ node, memory }) => ({
      node,
      bank: new MonitorBank(listenerMonitors(node.options.address), memory),
      view: { awake: 0, silent: 0 },
    }))
  }

  *chunks(): Generator<string> {
    while (!this.#driver.done && this.#time < this.#end) {
      this.#step()
      if (this.#bus.writer.length >= CHUNK) yield this.#bus.writer.take()
    }
    this.#book.close(this.#time)
    this.#finished = true
    const rest = this.#bus.writer.take()
    if (rest) yield rest
  }

  truth(): Truth {
    if (!this.#finished) throw new SimulationError('not-finished', 'read the chunks to their end first')
    const { surroundings } = this.#plant
    return {
      version: 1,
      ...scenarioTruth(this.#scenario),
      seed: this.#seed,
      duration: round(this.#time),
      frames: this.#bus.frames,
      surroundings: {
        ambient: round(surroundings.ambient),
        altitude: this.#altitude,
        pressure: round(surroundings.pressure),
        coolant: round(surroundings.coolant),
      },
      injected: this.#failures.appearances.map(({ failure, appearances }) => ({
        component: failure.component,
        kind: failure.kind,
        onset: appearances[0] ? round(appearances[0].from) : null,
        appearances: appearances.map(({ from, until }) => ({
          from: round(from),
          to: until === undefined ? null : round(until),
        })),
      })),
      phases: this.#book.phases,
      episodes: this.#episodes(),
      resets: this.#nodes().map(({ node }) => ({ sa: node.options.address, count: node.resets })),
    }
  }

  #nodes(): readonly { readonly node: Node; readonly memory: FaultMemory }[] {
    return [{ node: this.#engine, memory: this.#controller.memory }, ...this.#others]
  }

  #step(): void {
    const time = Math.round(this.#start + this.#time * 1e6)
    const plant = this.#plant
    const controller = this.#controller
    const { inputs } = this.#driver
    this.#driver.step(STEP, {
      time: this.#time,
      rpm: plant.crank.rpm,
      firing: plant.crank.fired,
      speed: plant.vehicle.kmh,
      waitLamp: controller.starting.lamp,
    })
    this.#failures.step(STEP, this.#time, plant, inputs)
    const { hardware, sensors } = this.#failures
    const key = inputs.key !== 'off'
    controller.networkSilent = this.#silence(time, ADDRESS.transmission)
    controller.step(STEP, time, hardware, sensors, this.#engine.alive)
    plant.step(STEP, inputs, controller.commands, hardware, key)
    this.#bus.sound = hardware.terminator >= 1
    const { volts } = plant.electrical
    const resets = this.#engine.resets
    this.#engine.step(time, STEP, key && hardware.keyFeed > 0 ? true : controller.isAwake && this.#engine.alive, volts)
    if (this.#engine.resets > resets) controller.restart()
    for (const { node } of this.#others) node.step(time, STEP, key, volts)
    this.#gauge.step(time)
    this.#tool.step(time, STEP, this.#driver.tool)
    this.#listen(time, key)
    this.#bus.advance(time + STEP_MICROS)
    this.#book.step(STEP, this.#time, plant, inputs, controller.starting.lamp, controller.isAwake)
    this.#time = Math.round((this.#time + STEP) * 100) / 100
  }

  /** s since an address was last heard; 0 while nobody has. */
  #silence(time: number, sa: number): number {
    const heard = this.#bus.lastHeard[sa] as number
    return heard === 0 ? 0 : Math.max(0, (time - heard) / 1e6)
  }

  /** Every other node misses the engine's messages when they stop. */
  #listen(time: number, key: boolean): void {
    for (const { node, bank, view } of this.#listeners) {
      view.awake = node.alive && key ? view.awake + STEP : 0
      view.silent = this.#silence(time, ADDRESS.engine)
      if (view.awake > 0) bank.step(STEP, time, view)
    }
  }

  #episodes(): TrueEpisode[] {
    const episodes: TrueEpisode[] = []
    for (const { node, memory } of this.#nodes()) {
      const open = new Map<string, number>()
      for (const { time, spn, fmi, active } of memory.events) {
        const key = `${spn}/${fmi}`
        const at = round((time - this.#start) / 1e6)
        if (active) {
          open.set(key, episodes.length)
          episodes.push({ sa: node.options.address, spn, fmi, from: at, to: null })
        } else {
          const index = open.get(key)
          if (index !== undefined) episodes[index] = { ...(episodes[index] as TrueEpisode), to: at }
        }
      }
    }
    return episodes.sort((one, other) => one.from - other.from)
  }
}

const round = (value: number): number => Math.round(value * 1000) / 1000
