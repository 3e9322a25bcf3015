/** Body controller and dash gauge: speed and switches for all, and the questions a display asks. */
import { encodeGroup, type GroupInput } from '@firstcrank/decoder'
import type { Bus } from '../bus/bus.js'
import { FaultMemory } from '../controller/fault-memory.js'
import type { DriverInputs, Plant } from '../physics/plant.js'
import type { Random } from '../random.js'
import { definitionOf, flag } from './definition.js'
import { diagnosticAnswers, PGN } from './diagnostics.js'
import { ADDRESS, FUNCTION, nodeName, TEXT } from './identity.js'
import { Node } from './node.js'

/** km and L at the start of a recording. */
export interface Odometer {
  readonly distance: number
  readonly fuelLevel: number
}

/** L the tank holds. */
const TANK = 90

export function bodyNode(
  plant: Plant,
  driver: DriverInputs,
  odometer: Odometer,
  bus: Bus,
  random: Random,
): { node: Node; memory: FaultMemory } {
  const memory = new FaultMemory()
  const { vehicle } = plant
  const km = (): number => vehicle.distance / 1000
  const level = (): number => odometer.fuelLevel - (plant.fuel.used / TANK) * 100
  const node = new Node(
    {
      address: ADDRESS.body,
      name: nodeName(FUNCTION.io, 640),
      boot: 0.3,
      clockError: 1.2e-3 + random.normal() * 1e-4,
      jitter: 2500,
      resetBelow: 6.8,
      memory,
      messages: [
        {
          pgn: 65265,
          period: 100,
          signals: [
            [70, () => flag(!driver.drive)],
            [84, () => vehicle.kmh],
            [595, () => 0],
            [597, () => flag(driver.brake > 0.02)],
          ],
        },
        { pgn: 65276, period: 1000, signals: [[96, level]] },
        {
          pgn: 65248,
          period: 1000,
          signals: [
            [244, km],
            [245, () => odometer.distance + km()],
          ],
        },
        {
          pgn: 65217,
          period: 1000,
          signals: [
            [917, () => (odometer.distance + km()) * 1000],
            [918, () => km() * 1000],
          ],
        },
      ],
      answers: new Map(diagnosticAnswers(memory)),
    },
    bus,
    random,
  )
  return { node, memory }
}

/** When the display asks for what, s after waking: once, or again and again. */
interface Question {
  readonly pgn: number
  readonly to: number
  readonly at: number
  readonly every?: number
}

const QUESTIONS: readonly Question[] = [
  { pgn: PGN.addressClaimed, to: 255, at: 0.35 },
  { pgn: PGN.component, to: ADDRESS.engine, at: 1.2 },
  { pgn: PGN.software, to: ADDRESS.engine, at: 1.6 },
  { pgn: PGN.vehicle, to: 255, at: 2.1 },
  { pgn: PGN.controller, to: ADDRESS.engine, at: 2.9 },
  { pgn: PGN.component, to: ADDRESS.transmission, at: 3.4 },
  { pgn: PGN.dm2, to: ADDRESS.engine, at: 4.2 },
  { pgn: PGN.dm5, to: ADDRESS.engine, at: 4.8 },
  // This engine has no tank for reductant: the answer is a refusal.
  { pgn: 65110, to: ADDRESS.engine, at: 5.5 },
  { pgn: 65253, to: ADDRESS.engine, at: 3.8, every: 10 },
  { pgn: 65257, to: ADDRESS.engine, at: 6.3, every: 20 },
]

export class Gauge {
  readonly node: Node
  readonly memory: FaultMemory
  /** Next time of each question, µs; infinite where it will not be asked again. */
  readonly #due: Float64Array = new Float64Array(QUESTIONS.length)
  #awakeSince = Number.NaN

  /** @param address 40 unless somebody set it wrongly */
  constructor(plant: Plant, bus: Bus, random: Random, address: number, stubborn: boolean) {
    this.memory = new FaultMemory()
    this.node = new Node(
      {
        address,
        name: nodeName(FUNCTION.display, 88),
        boot: 0.45,
        clockError: 1.5e-3,
        jitter: 3000,
        resetBelow: 5.5,
        stubborn,
        memory: this.memory,
        messages: [
          // The gauge carries a light sensor and a clock.
          { pgn: 65254, period: 10_000, bytes: clockBytes(plant) },
        ],
        answers: new Map([...diagnosticAnswers(this.memory), [PGN.component, () => TEXT.gauge]]),
      },
      bus,
      random,
    )
  }

  /** Asks what is due. */
  step(time: number): void {
    if (!this.node.alive) {
      this.#awakeSince = Number.NaN
      return
    }
    if (Number.isNaN(this.#awakeSince)) {
      this.#awakeSince = time
      for (let i = 0; i < QUESTIONS.length; i++) this.#due[i] = time + (QUESTIONS[i] as Question).at * 1e6
    }
    for (let i = 0; i < QUESTIONS.length; i++) {
      const due = this.#due[i] as number
      if (time < due) continue
      const { pgn, to, every } = QUESTIONS[i] as Question
      this.node.request(pgn, to, time + Math.round(this.node.random.between(0, 8_000)))
      this.#due[i] = every ? due + every * 1e6 : Number.POSITIVE_INFINITY
    }
  }
}

/** The display's clock was never set: it runs from its first hour. */
function clockBytes(plant: Plant): () => Uint8Array {
  return () => {
    const seconds = Math.floor(plant.time)
    const values: GroupInput = {
      959: seconds % 60,
      960: Math.floor(seconds / 60) % 60,
      961: Math.floor(seconds / 3600),
      963: 1,
      962: 1,
      964: 2000,
    }
    return encodeGroup(definitionOf(65254), values)
  }
}
