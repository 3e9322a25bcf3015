/** A service tool that reads the engine's memory and, if told so, clears it and reads again. */
import type { Bus } from '../bus/bus.js'
import { FaultMemory } from '../controller/fault-memory.js'
import type { Random } from '../random.js'
import { PGN } from './diagnostics.js'
import { ADDRESS, FUNCTION, nodeName } from './identity.js'
import { Node } from './node.js'

/** What it asks for, s after it was plugged in. */
const READING: readonly (readonly [at: number, pgn: number])[] = [
  [1, PGN.dm1],
  [1.6, PGN.dm2],
  [2.2, PGN.dm4],
  [2.8, PGN.dm5],
  [3.4, PGN.dm6],
  [4, PGN.dm12],
]
const CLEARING: readonly (readonly [at: number, pgn: number])[] = [
  [5, PGN.dm3],
  [5.6, PGN.dm11],
  [6.8, PGN.dm2],
  [7.6, PGN.dm5],
]

export class ServiceTool {
  readonly node: Node
  #since = Number.NaN
  #asked = 0

  constructor(bus: Bus, random: Random) {
    this.node = new Node(
      {
        address: ADDRESS.tool,
        name: nodeName(FUNCTION.tool, 77),
        boot: 0.1,
        clockError: 0,
        jitter: 0,
        memory: new FaultMemory(),
        messages: [],
        answers: new Map(),
        quiet: true,
      },
      bus,
      random,
    )
  }

  /** @param plugged what it shall do; undefined where it is not there */
  step(time: number, dt: number, plugged: { readonly clear: boolean } | undefined): void {
    this.node.step(time, dt, plugged !== undefined, 12)
    if (!plugged) {
      this.#since = Number.NaN
      return
    }
    if (Number.isNaN(this.#since)) {
      this.#since = time
      this.#asked = 0
    }
    const questions = plugged.clear ? [...READING, ...CLEARING] : READING
    const next = questions[this.#asked]
    if (!next || time < this.#since + next[0] * 1e6) return
    this.#asked++
    this.node.request(next[1], ADDRESS.engine, time + Math.round(this.node.random.between(0, 9_000)))
  }
}
