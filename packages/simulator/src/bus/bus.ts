/**
 * The wire: who may send when several want to, how long a frame takes, who hears it, and what the
 * recorder writes down.
 */
import { FIRST_PDU2_FORMAT, priorityOf } from '@firstcrank/decoder'
import type { Random } from '../random.js'
import { busError, type ErrorFrame, errorState, LineWriter } from './candump.js'

/** What takes part in the traffic. */
export interface BusNode {
  /** Whether it sends and hears now. */
  readonly alive: boolean
  /** A frame somebody else sent was heard. The payload is good until this returns. */
  receive(id: number, payload: Uint8Array, time: number): void
}

/** A frame on its way. The objects are used again. */
interface QueuedFrame {
  /** µs since the epoch at which its sender is ready. */
  ready: number
  id: number
  readonly payload: Uint8Array
  length: number
  sender: BusNode
}

export interface BusOptions {
  /** Interface name in the recording. */
  readonly interface: string
  /** bit/s */
  readonly bitRate: number
  /** The recorder was started so that it writes error frames. */
  readonly errorFrames: boolean
  /** Stretches the recorder missed, µs since the epoch. */
  readonly holes: readonly (readonly [from: number, to: number])[]
}

/** Bits of a frame with a 29-bit identifier and its pause, without stuffing: 67 + 8 per byte. ISO 11898-1. */
const FRAME_BITS = 67
/** Stuff bits as a share of the stuffed part: open captures of trucks have 11 to 12 in frames of 8 bytes. */
const STUFFING = 0.1
/** Error frames until the recorder's controller warns and goes passive, and after which senders back off. */
const UNTIL_WARNING = 12
const UNTIL_PASSIVE = 17
const UNTIL_BACK_OFF = 20

export class Bus {
  readonly nodes: BusNode[] = []
  /** When each source address was last heard, µs. */
  readonly lastHeard: Float64Array = new Float64Array(256)
  frames = 0
  /** The wire works: both terminators, no short. */
  sound = true
  readonly writer: LineWriter
  #free = 0
  /** Sorted by time, latest first; of the same time, the later arrival first. */
  readonly #queue: QueuedFrame[] = []
  readonly #waiting: QueuedFrame[] = []
  readonly #spare: QueuedFrame[] = []
  readonly #options: BusOptions
  readonly #random: Random
  #errors = 0
  #nextError = 0

  constructor(options: BusOptions, random: Random) {
    this.#options = options
    this.#random = random
    this.writer = new LineWriter(options.interface)
  }

  /** @param ready µs since the epoch at which the sender wants to send */
  send(ready: number, id: number, payload: Uint8Array, sender: BusNode): void {
    const frame = this.#spare.pop() ?? { ready, id, payload: new Uint8Array(8), length: 0, sender }
    frame.ready = ready
    frame.id = id
    frame.payload.set(payload)
    frame.length = payload.length
    frame.sender = sender
    const queue = this.#queue
    let at = queue.length
    queue.push(frame)
    for (; at > 0 && (queue[at - 1] as QueuedFrame).ready <= ready; at--) queue[at] = queue[at - 1] as QueuedFrame
    queue[at] = frame
  }

  /** Sends everything whose turn comes before `until`. */
  advance(until: number): void {
    const queue = this.#queue
    const waiting = this.#waiting
    for (;;) {
      if (waiting.length === 0) {
        const next = queue[queue.length - 1]
        if (!next || next.ready >= until) break
        waiting.push(queue.pop() as QueuedFrame)
      }
      const start = Math.max(this.#free, (waiting[0] as QueuedFrame).ready)
      if (start >= until) break
      for (let next = queue[queue.length - 1]; next && next.ready <= start; next = queue[queue.length - 1]) {
        waiting.push(queue.pop() as QueuedFrame)
      }
      const frame = takeFirst(waiting)
      if (frame.sender.alive) this.#transmit(frame, start)
      this.#spare.push(frame)
    }
    if (!this.sound) this.#complain(until)
    else if (this.#errors > 0) this.#recover(until)
  }

  #transmit(frame: QueuedFrame, start: number): void {
    const { id, payload, length } = frame
    const bits = FRAME_BITS + 8 * length + Math.round(STUFFING * (54 + 8 * length))
    this.#free = Math.round(start + bits * (1e6 / this.#options.bitRate))
    if (!this.sound) return
    this.frames++
    this.lastHeard[id & 0xff] = this.#free
    if (this.#recording(this.#free)) this.writer.write(this.#free, id, payload, length)
    if (!concernsNodes(id)) return
    for (const node of this.nodes) {
      if (node !== frame.sender && node.alive) node.receive(id, payload.subarray(0, length), this.#free)
    }
  }

  #recording(time: number): boolean {
    for (const [from, to] of this.#options.holes) if (time >= from && time < to) return false
    return true
  }

  #record(time: number, error: ErrorFrame): void {
    if (this.#recording(time)) this.writer.write(time, error.id, error.payload, error.payload.length)
  }

  /** Reflections break every frame: bus errors, then the recorder's own controller goes passive. */
  #complain(until: number): void {
    if (!this.#options.errorFrames) return
    if (this.#errors === 0) this.#nextError = until
    while (this.#nextError <= until) {
      const time = Math.max(this.#nextError, this.#free)
      this.#errors++
      this.#record(time, busError(this.#random.unit() < 0.3))
      if (this.#errors === UNTIL_WARNING) this.#record(time + 40, errorState('warning', 96))
      if (this.#errors === UNTIL_PASSIVE) this.#record(time + 40, errorState('passive', 135))
      // Trying again at once at first, then as the senders back off.
      const pause = this.#errors < UNTIL_BACK_OFF ? this.#random.between(400, 900) : this.#random.between(8e3, 3e4)
      this.#nextError = time + Math.round(pause)
      this.#free = time + 100
    }
  }

  #recover(until: number): void {
    if (this.#errors >= UNTIL_PASSIVE) this.#record(Math.max(this.#free, until - 100), errorState('active', 90))
    this.#errors = 0
  }
}

/** Takes the frame that wins the bus: the lowest identifier, and of the same who came first. */
function takeFirst(waiting: QueuedFrame[]): QueuedFrame {
  let best = 0
  for (let i = 1; i < waiting.length; i++) {
    if ((waiting[i] as QueuedFrame).id < (waiting[best] as QueuedFrame).id) best = i
  }
  const frame = waiting[best] as QueuedFrame
  for (let i = best + 1; i < waiting.length; i++) waiting[i - 1] = waiting[i] as QueuedFrame
  waiting.pop()
  return frame
}

/** Whether a frame can change what a node does: requests and what is about addresses, no values for all. */
function concernsNodes(id: number): boolean {
  return ((id >>> 16) & 0xff) < FIRST_PDU2_FORMAT && priorityOf(id) === 6
}
