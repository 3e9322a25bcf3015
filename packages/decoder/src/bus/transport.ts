/**
 * Messages of more than eight bytes, put together from what others send to each other.
 *
 * BAM and RTS/CTS are SAE J1939-21, the extended protocol is ISO 11783-3. Layouts of the frames of
 * J1939-21: a university lab on multi-frame messages and a keypad's CAN manual, which agree; of the
 * extended protocol: from memory.
 *
 * This only listens. It cannot ask for a packet again, so it takes what the standard calls too early
 * or too late as long as the sequence is whole, and it reports everything odd as an event.
 */
import { groupAt, MAX_PGN, priorityOf, sourceOf } from './identifier.js'
import type { Message } from './message.js'
import type { TransportCode, TransportEvent } from './transport-events.js'
import { TRANSPORT_LIMITS, type TransportLimits } from './transport-limits.js'
import { type Announcement, PACKET_BYTES, Session, unannounced } from './transport-session.js'
import { Sessions } from './transport-sessions.js'

/** Connection management of J1939-21: announcements, clearances, acknowledgements, aborts. */
export const TP_CONTROL_PGN = 60416
/** Data transfer of J1939-21. */
export const TP_DATA_PGN = 60160
/** Connection management of the extended protocol. */
export const ETP_CONTROL_PGN = 51200
/** Data transfer of the extended protocol. */
export const ETP_DATA_PGN = 50944

/** Whether a parameter group belongs to a transport protocol, so that its frames go to {@link Transport}. */
export function isTransportGroup(pgn: number): boolean {
  return pgn === TP_CONTROL_PGN || pgn === TP_DATA_PGN || pgn === ETP_CONTROL_PGN || pgn === ETP_DATA_PGN
}

/** Where messages and events go. */
export interface TransportSink {
  /** A message is whole. Its payload is good only until this returns. */
  message(message: Message): void
  event(event: TransportEvent): void
}

/** Largest sizes the two protocols can announce (Linux kernel's J1939 documentation). */
const TP_MOST = 1785
const ETP_MOST = (2 ** 24 - 1) * PACKET_BYTES
/** Up to this size a single frame would do; 8 bytes, as TP begins at 9 (same source). */
const SINGLE_FRAME = 8

/** The identifier's extended data page, data page and PDU format. */
const TP_CONTROL = TP_CONTROL_PGN >>> 8
const TP_DATA = TP_DATA_PGN >>> 8
const ETP_CONTROL = ETP_CONTROL_PGN >>> 8
const ETP_DATA = ETP_DATA_PGN >>> 8

/** First byte of a control frame. */
const RTS = 16
const CTS = 17
const EOMA = 19
const BAM = 32
const ETP_RTS = 20
const ETP_CTS = 21
const ETP_DPO = 22
const ETP_EOMA = 23
const ABORT = 255

const CONTROL_LENGTH = 8

/** A control frame: who sent it to whom, and its bytes. */
interface Control {
  readonly extended: boolean
  readonly channel: number
  readonly id: number
  readonly time: number
  readonly bytes: Uint8Array
  readonly offset: number
  readonly pgn: number
}

/** Puts multi-packet messages together. One for a whole recording, all channels. */
export class Transport {
  readonly #sink: TransportSink
  readonly #limits: TransportLimits
  readonly #sessions: Sessions

  constructor(sink: TransportSink, limits: Partial<TransportLimits> = {}) {
    this.#sink = sink
    this.#limits = { ...TRANSPORT_LIMITS, ...limits }
    this.#sessions = new Sessions((event) => sink.event(event), this.#limits)
  }

  /**
   * Takes one frame with a 29-bit identifier. Frames of other groups are ignored.
   *
   * @param offset where its data bytes begin in `bytes`
   * @param length number of its data bytes
   */
  frame(channel: number, id: number, time: number, bytes: Uint8Array, offset: number, length: number): void {
    this.#sessions.tick(time)
    switch ((id >>> 16) & 0x3ff) {
      case TP_DATA:
        this.#data(false, channel, id, time, bytes, offset, length)
        break
      case TP_CONTROL:
        this.#control(false, channel, id, time, bytes, offset, length)
        break
      case ETP_DATA:
        this.#data(true, channel, id, time, bytes, offset, length)
        break
      case ETP_CONTROL:
        this.#control(true, channel, id, time, bytes, offset, length)
        break
    }
  }

  /**
   * Gives up sessions that have been silent too long. `frame` does it too, so this is needed only
   * where no transport frames come. Call it by the recording's time, never by where a chunk of it
   * ends: the events must not depend on that.
   */
  tick(time: number): void {
    this.#sessions.tick(time)
  }

  /** The recording has ended: reports what is unfinished and forgets it. */
  finish(): void {
    this.#sessions.finish()
  }

  #data(
    extended: boolean,
    channel: number,
    id: number,
    time: number,
    bytes: Uint8Array,
    offset: number,
    length: number,
  ): void {
    const session = this.#sessions.find(extended, channel, sourceOf(id), (id >>> 8) & 0xff, time)
    if (session === undefined || session.state === 'unannounced') {
      this.#sessions.stray(extended, channel, sourceOf(id), (id >>> 8) & 0xff, time, -1)
      return
    }
    if (session.state === 'discarded') {
      this.#sessions.touch(session, time)
      return
    }
    if (length === 0) return this.#sessions.remark(session, 'short-frame', time)
    if (session.offset < 0) return this.#sessions.remark(session, 'data-without-offset', time)
    const sequence = bytes[offset]
    const n = session.offset + sequence
    if (sequence === 0 || n > session.packets) return this.#sessions.remark(session, 'bad-sequence-number', time)
    if (length - 1 < session.bytesIn(n)) return this.#sessions.remark(session, 'short-frame', time)
    if (session.state === 'delivered') this.#again(session, n, time, bytes, offset + 1)
    else this.#packet(session, n, time, bytes, offset + 1)
  }

  /** A packet of an open session; its bytes begin at `at`. */
  #packet(session: Session, n: number, time: number, bytes: Uint8Array, at: number): void {
    this.#sessions.touch(session, time)
    if (n > session.expected) {
      if (session.lacks(session.expected, n)) this.#sessions.remark(session, 'gap', time)
    } else if (n < session.expected) {
      if (session.holds(n, bytes, at)) return this.#sessions.remark(session, 'duplicate-packet', time)
      if (session.has(n)) return this.#sessions.drop(session, 'conflicting-packet', time)
      this.#sessions.remark(session, 'out-of-order', time)
    }
    session.store(n, bytes, at)
    if (session.received === session.packets) this.#deliver(session, time)
  }

  /** A packet of a message that is already delivered. */
  #again(session: Session, n: number, time: number, bytes: Uint8Array, at: number): void {
    if (n >= session.expected) {
      // The receiver asked for it again. The message was whole without it.
      session.expected = n + 1
      this.#sessions.touch(session, time)
    } else if (session.holds(n, bytes, at)) {
      this.#sessions.remark(session, 'duplicate-packet', time)
    } else {
      // Another message, whose announcement is not in the recording.
      this.#sessions.forget(session)
      this.#sessions.stray(session.transport === 'extended', session.channel, session.sa, session.da, time, -1)
    }
  }

  #deliver(session: Session, time: number): void {
    session.state = 'delivered'
    const { channel, priority, pgn, sa, da, firstTime, payload, transport } = session
    this.#sink.message({ channel, priority, pgn, sa, da, firstTime, time, payload, transport })
  }

  #control(
    extended: boolean,
    channel: number,
    id: number,
    time: number,
    bytes: Uint8Array,
    offset: number,
    length: number,
  ): void {
    if (length < CONTROL_LENGTH) return this.#unreadable('short-frame', extended, channel, id, time)
    const frame = { extended, channel, id, time, bytes, offset, pgn: groupAt(bytes, offset + 5) }
    const kind = bytes[offset]
    if (kind === ABORT) this.#abort(frame)
    else if (kind === (extended ? ETP_RTS : RTS)) this.#announce(frame, extended ? 'extended' : 'rts-cts')
    else if (kind === (extended ? ETP_CTS : CTS)) this.#clear(frame)
    else if (kind === (extended ? ETP_EOMA : EOMA)) this.#acknowledge(frame)
    else if (kind === BAM && !extended) this.#announce(frame, 'bam')
    else if (kind === ETP_DPO && extended) this.#dataPacketOffset(frame)
    else this.#unreadable('unknown-control', extended, channel, id, time)
  }

  #announce(frame: Control, transport: Announcement['transport']): void {
    const { extended, channel, id, time, bytes, offset, pgn } = frame
    const sa = sourceOf(id)
    const da = (id >>> 8) & 0xff
    const size = bytes[offset + 1] + bytes[offset + 2] * 256 + (extended ? u16(bytes, offset + 3) * 65536 : 0)
    const needed = Math.ceil(size / PACKET_BYTES)
    const packets = extended ? needed : bytes[offset + 3]

    const announcement = { channel, priority: priorityOf(id), sa, da, transport, pgn, size, packets }
    const session = this.#sessions.begin(announcement, time)
    if (session === undefined) return
    if (pgn > MAX_PGN) return this.#sessions.drop(session, 'impossible-group', time)
    if (size === 0 || size > (extended ? ETP_MOST : TP_MOST))
      return this.#sessions.drop(session, 'impossible-size', time)
    if (packets !== needed) return this.#sessions.drop(session, 'wrong-packet-total', time)
    if (size > (extended ? this.#limits.maxExtendedPayload : this.#limits.maxPayload)) {
      return this.#sessions.drop(session, 'over-size-limit', time)
    }
    session.open()
    if (transport === 'bam' && da !== 255) this.#sessions.remark(session, 'directed-bam', time)
    if (transport !== 'bam' && da === 255) this.#sessions.remark(session, 'global-rts', time)
    if (size <= (extended ? TP_MOST : SINGLE_FRAME)) this.#sessions.remark(session, 'small-message', time)
  }

  /** Clearance to send: goes from the receiver to the sender, against the session's direction. */
  #clear(frame: Control): void {
    const { extended, time, bytes, offset } = frame
    const session = this.#sessionFor(frame, false)
    if (session === undefined) return
    this.#sessions.touch(session, time)
    const count = bytes[offset + 1]
    // Nothing cleared: the receiver asks to hold the connection open.
    if (count === 0 || session.state === 'discarded') return
    const next = extended ? u24(bytes, offset + 2) : bytes[offset + 2]
    const within = next >= 1 && next <= session.packets
    if (!within || next + count - 1 > session.packets) this.#sessions.emit(session, 'cts-beyond-message', time)
    if (!within) return
    if (next <= session.highest) this.#sessions.emit(session, 'repeat-requested', time)
    else if (session.lacks(session.expected, next)) this.#sessions.remark(session, 'gap', time)
    session.expected = next
    session.cleared = next
  }

  /** Data packet offset: says where in the message the next extended data packets belong. */
  #dataPacketOffset(frame: Control): void {
    const { time, bytes, offset } = frame
    const session = this.#sessionFor(frame, true)
    if (session === undefined) return
    this.#sessions.touch(session, time)
    if (session.state === 'discarded') return
    const count = bytes[offset + 1]
    const start = u24(bytes, offset + 2)
    const unasked = session.cleared > 0 && start !== session.cleared - 1
    if (unasked || start + count > session.packets) this.#sessions.remark(session, 'wrong-offset', time)
    if (start >= session.packets) return
    // Whole stretches are missing. Giving up here also keeps the payload's room near what was received.
    if (start > session.highest) return this.#sessions.drop(session, 'missing-packets', time)
    session.offset = start
    session.expected = start + 1
  }

  /** End of message acknowledgement, from the receiver. */
  #acknowledge(frame: Control): void {
    const { extended, time, bytes, offset } = frame
    const session = this.#sessionFor(frame, false)
    if (session === undefined) return
    const size = u16(bytes, offset + 1) + (extended ? u16(bytes, offset + 3) * 65536 : 0)
    if (session.state !== 'discarded' && size !== session.size)
      this.#sessions.emit(session, 'wrong-size-acknowledged', time)
    this.#sessions.end(session, 'missing-packets', time)
  }

  /** Either side may abort: the session may run with the frame or against it. */
  #abort(frame: Control): void {
    const { extended, channel, id, time, bytes, offset, pgn } = frame
    const by = sourceOf(id)
    const to = (id >>> 8) & 0xff
    const received = this.#sessions.find(extended, channel, to, by, time)
    const sent = this.#sessions.find(extended, channel, by, to, time)
    const session = [received, sent].find((s) => s !== undefined && s.state !== 'unannounced' && s.pgn === pgn)
    if (session === undefined) {
      this.#sessionFor(frame, sent !== undefined && received === undefined)
      return
    }
    if (session.state === 'delivered') this.#sessions.emit(session, 'aborted-when-whole', time, bytes[offset + 1], by)
    this.#sessions.end(session, 'aborted', time, bytes[offset + 1], by)
  }

  /**
   * The announced session a control frame belongs to, `forward` where the sender of the message sent
   * the frame. Where there is none, or one of another group, that is reported.
   */
  #sessionFor(frame: Control, forward: boolean): Session | undefined {
    const { extended, channel, id, time, pgn } = frame
    const from = sourceOf(id)
    const to = (id >>> 8) & 0xff
    const sa = forward ? from : to
    const da = forward ? to : from
    const session = this.#sessions.find(extended, channel, sa, da, time)
    if (session === undefined || session.state === 'unannounced') {
      this.#sessions.stray(extended, channel, sa, da, time, pgn)
      return undefined
    }
    if (session.pgn !== pgn) {
      this.#sessions.emit(session, 'wrong-group', time)
      return undefined
    }
    return session
  }

  /** A control frame that does not say what session it belongs to. */
  #unreadable(code: TransportCode, extended: boolean, channel: number, id: number, time: number): void {
    const sa = sourceOf(id)
    const da = (id >>> 8) & 0xff
    this.#sessions.emit(new Session(unannounced(extended, channel, sa, da), time), code, time)
  }
}

function u16(bytes: Uint8Array, at: number): number {
  return bytes[at] + bytes[at + 1] * 256
}

function u24(bytes: Uint8Array, at: number): number {
  return bytes[at] + bytes[at + 1] * 256 + bytes[at + 2] * 65536
}
