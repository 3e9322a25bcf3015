/**
 * One node: wakes with its supply, claims its address, sends its messages on time, answers requests,
 * tells its faults, and falls silent when its supply breaks down.
 */
import {
  encodeName,
  formatIdentifier,
  GLOBAL_ADDRESS,
  type GroupDefinition,
  type NameFields,
  NULL_ADDRESS,
  type SignalInput,
  type SignalWriter,
  signalWriter,
} from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import type { Bus, BusNode } from '../bus/bus.js'
import { sendLong } from '../bus/transport.js'
import type { FaultMemory } from '../controller/fault-memory.js'
import { clamp, lagShare } from '../math.js'
import type { Random } from '../random.js'
import { definitionOf } from './definition.js'
import { activeFaults, PGN } from './diagnostics.js'

/** A message sent again and again. */
export interface PeriodicMessage {
  readonly pgn: number
  /** ms */
  readonly period: number
  /** Signals with what they are worth now. */
  readonly signals?: readonly (readonly [spn: number, value: () => SignalInput])[]
  /** For a group with no definition: its bytes. */
  readonly bytes?: () => Uint8Array
  /** Sent only while this holds. */
  readonly when?: () => boolean
  /** Whom it is for; everybody where not given. */
  readonly to?: number
}

export interface NodeOptions {
  readonly address: number
  readonly name: NameFields
  /** s from power to the address claim. */
  readonly boot: number
  /** Its clock's error, and the standard deviation of its sending times in µs. */
  readonly clockError: number
  readonly jitter: number
  /** V below which it resets; undefined for one that outlives every crank. */
  readonly resetBelow?: number
  /** Keeps its address even when it has lost it. */
  readonly stubborn?: boolean
  readonly memory: FaultMemory
  readonly messages: readonly PeriodicMessage[]
  /** Payloads it can be asked for, by group. */
  readonly answers: ReadonlyMap<number, () => Uint8Array>
  /** A node that only listens and asks sends no DM1. */
  readonly quiet?: boolean
}

interface Row {
  readonly id: number
  readonly period: number
  readonly payload: Uint8Array
  readonly fill: (payload: Uint8Array) => Uint8Array
  readonly when: (() => boolean) | undefined
  readonly pgn: number
  /** µs: place in its own rhythm, and when it is really sent. */
  base: number
  due: number
}

/** s without data after the claim. Source: SAE J1939-81 asks for 250 ms. */
const CLAIM_WAIT = 250_000
const DM1_PERIOD = 1_000_000
/** s a reset takes, and how long the node then holds out at lower volts because it shed its loads. */
const RESET_TIME = 0.55
const RIDE_THROUGH = 10
const RIDE_THROUGH_VOLTS = 6
/** s its buffers hold. */
const HOLD_UP = 0.16
/** Greatest departure from the rhythm, share of the period: intervals stay within 10 %. */
const MOST_JITTER = 0.045

export class Node implements BusNode {
  alive = false
  /** Claims it sent, and resets it went through. */
  resets = 0
  lost = false
  readonly options: NodeOptions
  readonly bus: Bus
  readonly random: Random
  readonly #rows: readonly Row[]
  readonly #name: Uint8Array
  #supply = 12
  #wakesAt = Number.NaN
  #dataFrom = 0
  #longUntil = 0
  #rideThroughUntil = 0
  #dm1Due = 0
  #dm1Revision = 0

  constructor(options: NodeOptions, bus: Bus, random: Random) {
    this.options = options
    this.bus = bus
    this.random = random
    this.#name = encodeName(options.name)
    this.#rows = options.messages.map((message) => this.#row(message))
    bus.nodes.push(this)
  }

  /** @param time µs at the start of the step, @param dt s */
  step(time: number, dt: number, powered: boolean, volts: number): void {
    this.#supply += (volts - this.#supply) * lagShare(dt, HOLD_UP)
    const limit = time < this.#rideThroughUntil ? RIDE_THROUGH_VOLTS : (this.options.resetBelow ?? 0)
    if (!powered) {
      this.alive = false
      this.#wakesAt = Number.NaN
      this.#supply = volts
      return
    }
    if (Number.isNaN(this.#wakesAt)) this.#wakesAt = time + this.#bootTime()
    if (this.alive && this.#supply < limit) {
      this.alive = false
      this.resets++
      this.#wakesAt = time + this.#micros(RESET_TIME) + this.#bootTime()
      this.#rideThroughUntil = time + this.#micros(RIDE_THROUGH)
      return
    }
    const until = time + this.#micros(dt)
    if (!this.alive) {
      if (until <= this.#wakesAt) return
      this.#wake(this.#wakesAt)
    }
    if (time < this.#dataFrom || this.lost) return
    this.#sendDue(until)
    this.#sendFaults(time, until)
  }

  receive(id: number, payload: Uint8Array, time: number): void {
    const format = (id >>> 16) & 0xff
    const da = (id >>> 8) & 0xff
    if (format === 0xea && (da === this.options.address || da === GLOBAL_ADDRESS)) this.#answer(id, payload, time)
    else if (format === 0xee && (id & 0xff) === this.options.address) this.#contest(payload, time)
  }

  /** A request for a group, to one address or to all. */
  request(pgn: number, da: number, at: number): void {
    const id = formatIdentifier({ priority: 6, pgn: PGN.request, sa: this.options.address, da })
    this.bus.send(at, id, Uint8Array.of(pgn & 0xff, (pgn >> 8) & 0xff, pgn >> 16), this)
  }

  /** A message of any length. Long ones to one node go by request and clearance to send. */
  sendMessage(pgn: number, payload: Uint8Array, at: number, da: number = GLOBAL_ADDRESS, priority = 6): void {
    const sa = this.options.address
    if (payload.length <= 8) {
      this.bus.send(at, formatIdentifier({ priority, pgn, sa, da }), payload, this)
      return
    }
    const receiver = this.bus.nodes.find((node) => node instanceof Node && node.options.address === da)
    const route = receiver ? { sa, sender: this, da, receiver } : { sa, sender: this, da }
    // One announced message at a time: the next waits for the last packet of the one before.
    const start = Math.max(at, this.#longUntil)
    this.#longUntil = sendLong(this.bus, route, pgn, payload, start, this.random) + 20_000
  }

  #wake(time: number): void {
    this.alive = true
    this.lost = false
    this.#claim(time)
    this.#dataFrom = time + CLAIM_WAIT
    this.#supply = Math.max(this.#supply, this.options.resetBelow ?? 0)
    this.#longUntil = 0
    this.#dm1Due = this.#dataFrom + Math.round(this.random.between(0, DM1_PERIOD))
    for (const row of this.#rows) {
      row.base = this.#dataFrom + Math.round(this.random.between(0, row.period))
      row.due = row.base
    }
  }

  #claim(at: number, sa: number = this.options.address): void {
    this.bus.send(
      at,
      formatIdentifier({ priority: 6, pgn: PGN.addressClaimed, sa, da: GLOBAL_ADDRESS }),
      this.#name,
      this,
    )
  }

  /** Somebody claims this node's address: the lower NAME keeps it. */
  #contest(other: Uint8Array, time: number): void {
    const soon = time + Math.round(this.random.between(2_000, 20_000))
    if (lower(this.#name, other)) this.#claim(soon)
    else if (!this.lost && !this.options.stubborn) {
      this.lost = true
      this.#claim(soon, NULL_ADDRESS)
    }
  }

  #answer(id: number, payload: Uint8Array, time: number): void {
    const pgn = (payload[0] as number) | ((payload[1] as number) << 8) | ((payload[2] as number) << 16)
    const asker = id & 0xff
    const toAll = ((id >>> 8) & 0xff) === GLOBAL_ADDRESS
    const soon = time + Math.round(this.random.between(4_000, 40_000))
    if (pgn === PGN.addressClaimed) {
      this.#claim(soon)
      return
    }
    if (this.lost) return
    const answer = this.options.answers.get(pgn)
    if (pgn === PGN.dm3 || pgn === PGN.dm11) {
      this.options.memory.clear(time)
      this.#acknowledge(0, pgn, asker, soon)
    } else if (answer) this.sendMessage(pgn, answer(), soon, toAll ? GLOBAL_ADDRESS : asker)
    else if (!toAll) this.#acknowledge(1, pgn, asker, soon)
  }

  /** Acknowledgement: control byte 0 done, 1 not supported; to all, as the standard asks. */
  #acknowledge(control: 0 | 1, pgn: number, asker: number, at: number): void {
    const payload = Uint8Array.of(control, 0xff, 0xff, 0xff, asker, pgn & 0xff, (pgn >> 8) & 0xff, pgn >> 16)
    this.sendMessage(PGN.acknowledgement, payload, at)
  }

  #sendDue(until: number): void {
    for (const row of this.#rows) {
      while (row.due < until) {
        if (!row.when || row.when()) {
          const payload = row.fill(row.payload)
          if (payload.length <= 8) this.bus.send(row.due, row.id, payload, this)
          else this.sendMessage(row.pgn, payload, row.due)
        }
        row.base += row.period
        const most = row.period * MOST_JITTER
        row.due = Math.round(row.base + clamp(this.random.normal() * this.options.jitter, -most, most))
      }
    }
  }

  /** DM1 every second, and at once when what is active has changed. */
  #sendFaults(time: number, until: number): void {
    const { memory } = this.options
    const changed = memory.revision !== this.#dm1Revision
    if (this.options.quiet || (!changed && this.#dm1Due >= until)) return
    if (this.#longUntil > until) return
    this.sendMessage(
      PGN.dm1,
      activeFaults(memory),
      changed ? time + Math.round(this.random.between(500, 9_500)) : Math.max(time, this.#dm1Due),
    )
    this.#dm1Revision = memory.revision
    if (this.#dm1Due < until) this.#dm1Due += Math.round(DM1_PERIOD * (1 + this.options.clockError))
  }

  #row(message: PeriodicMessage): Row {
    const { pgn, signals, bytes, to = GLOBAL_ADDRESS } = message
    const group = findGroup(pgn)
    const priority = group?.priority ?? 6
    const length = group && typeof group.length === 'number' ? group.length : 8
    return {
      pgn,
      id: formatIdentifier({ priority, pgn, sa: this.options.address, da: to }),
      period: message.period * 1000 * (1 + this.options.clockError),
      payload: new Uint8Array(length).fill(0xff),
      fill: bytes ?? filler(definitionOf(pgn), signals ?? []),
      when: message.when,
      base: 0,
      due: 0,
    }
  }

  /** µs from power to claim, a little different each time. */
  #bootTime(): number {
    return this.#micros(this.options.boot * this.random.between(0.93, 1.07))
  }

  #micros(seconds: number): number {
    return Math.round(seconds * 1e6)
  }
}

/** Writes a group's signals into its payload; bytes without a signal stay FF. */
function filler(
  group: GroupDefinition,
  signals: readonly (readonly [number, () => SignalInput])[],
): (payload: Uint8Array) => Uint8Array {
  const writers = signals.map(([spn, value]) => [signalWriter(group, spn), value] as const)
  return (payload) => {
    for (const [write, value] of writers as readonly (readonly [SignalWriter, () => SignalInput])[])
      write(payload, value())
    return payload
  }
}

/** Whether one NAME is the lower number: the last byte counts most. */
function lower(one: Uint8Array, other: Uint8Array): boolean {
  for (let i = 7; i >= 0; i--) {
    const difference = (one[i] as number) - (other[i] as number)
    if (difference !== 0) return difference < 0
  }
  return false
}
