import type { Transported } from './message.js'
import type { TransportCode } from './transport-events.js'

/** Data bytes in a transport packet; the first byte of the frame is its number. */
export const PACKET_BYTES = 7

/**
 * How far a session has come.
 * - `open`: announced, packets missing.
 * - `delivered`: all packets seen. Kept for a while, since the receiver may ask for packets again.
 * - `discarded`: lost or refused, and reported. Kept to take in the frames that still belong to it.
 * - `unannounced`: a run of frames whose announcement is not in the recording.
 */
export type SessionState = 'open' | 'delivered' | 'discarded' | 'unannounced'

/** What an announcement says. */
export interface Announcement {
  readonly channel: number
  readonly priority: number
  readonly sa: number
  readonly da: number
  readonly transport: Exclude<Transported, 'single'>
  /** -1 where no frame named it yet. */
  readonly pgn: number
  readonly size: number
  readonly packets: number
}

/** What stands in for the announcement of frames that come without one. */
export function unannounced(extended: boolean, channel: number, sa: number, da: number): Announcement {
  const transport = extended ? 'extended' : da === 255 ? 'bam' : 'rts-cts'
  return { channel, priority: 7, sa, da, transport, pgn: -1, size: 0, packets: 0 }
}

/** Packets of payload space an extended session begins with: as many as one clearance can ask for. */
const FIRST_EXTENT = 255

const NO_BYTES = new Uint8Array(0)

/** One message on its way from one node to another, or to all. */
export class Session {
  readonly channel: number
  readonly priority: number
  readonly sa: number
  readonly da: number
  readonly transport: Exclude<Transported, 'single'>
  readonly size: number
  readonly packets: number
  readonly firstTime: number
  pgn: number
  state: SessionState = 'open'
  /** Time of the last frame that counted. */
  lastTime: number
  /** Different packets seen. */
  received = 0
  /** The highest packet number seen. */
  highest = 0
  /** The packet number that should come next. */
  expected = 1
  /** What is added to a frame's sequence number; -1 until an extended session's first data packet offset. */
  offset: number
  /** The packet the last clearance to send began with; 0 before the first. */
  cleared = 0
  /** The packets' bytes in place. Longer than what was received, never longer than the message. */
  payload: Uint8Array = NO_BYTES
  /** 1 for each packet seen, the first at 0. */
  #seen: Uint8Array = NO_BYTES
  /** Remarks already made, so that each is made once. */
  #remarks: Set<TransportCode> | undefined

  constructor(announcement: Announcement, time: number) {
    this.channel = announcement.channel
    this.priority = announcement.priority
    this.sa = announcement.sa
    this.da = announcement.da
    this.transport = announcement.transport
    this.pgn = announcement.pgn
    this.size = announcement.size
    this.packets = announcement.packets
    this.offset = announcement.transport === 'extended' ? -1 : 0
    this.firstTime = time
    this.lastTime = time
  }

  /** Makes room for the packets. The announced size must have passed the limits before. */
  open(): void {
    if (this.transport === 'extended') this.#grow(Math.min(this.packets, FIRST_EXTENT))
    else this.#grow(this.packets)
  }

  /** Gives up: lets go of the payload and takes in what still comes. */
  discard(): void {
    this.state = 'discarded'
    this.payload = NO_BYTES
    this.#seen = NO_BYTES
  }

  /** Data bytes that packet `n` must hold. */
  bytesIn(n: number): number {
    return Math.min(PACKET_BYTES, this.size - (n - 1) * PACKET_BYTES)
  }

  has(n: number): boolean {
    return this.#seen[n - 1] === 1
  }

  /** Whether a packet from `first` up to, but without, `end` was not seen yet. */
  lacks(first: number, end: number): boolean {
    for (let n = first; n < end; n++) if (!this.has(n)) return true
    return false
  }

  /** Puts packet `n` in its place; its bytes begin at `at`. */
  store(n: number, bytes: Uint8Array, at: number): void {
    const start = (n - 1) * PACKET_BYTES
    const count = this.bytesIn(n)
    if (n > this.#seen.length) this.#grow(Math.min(this.packets, n * 2))
    for (let i = 0; i < count; i++) this.payload[start + i] = bytes[at + i]
    if (this.#seen[n - 1] === 0) {
      this.#seen[n - 1] = 1
      this.received++
    }
    if (n > this.highest) this.highest = n
    if (n >= this.expected) this.expected = n + 1
  }

  /** Whether packet `n` was seen with these very bytes. */
  holds(n: number, bytes: Uint8Array, at: number): boolean {
    if (!this.has(n)) return false
    const start = (n - 1) * PACKET_BYTES
    const count = this.bytesIn(n)
    for (let i = 0; i < count; i++) if (this.payload[start + i] !== bytes[at + i]) return false
    return true
  }

  /** True the first time it is asked about a code. */
  firstRemark(code: TransportCode): boolean {
    this.#remarks ??= new Set()
    if (this.#remarks.has(code)) return false
    this.#remarks.add(code)
    return true
  }

  /** Room for `packets` packets, what was received kept. */
  #grow(packets: number): void {
    const payload = new Uint8Array(Math.min(this.size, packets * PACKET_BYTES))
    payload.set(this.payload)
    this.payload = payload
    const seen = new Uint8Array(packets)
    seen.set(this.#seen)
    this.#seen = seen
  }
}
