/**
 * The sessions of a {@link Transport}: which there are, until when they wait, and what is reported of
 * them. What their frames mean is not known here.
 */
import type { TransportCode, TransportEvent } from './transport-events.js'
import type { TransportLimits } from './transport-limits.js'
import { type Announcement, Session, unannounced } from './transport-session.js'

/** Sessions by channel, source, destination and protocol. */
export class Sessions {
  readonly #event: (event: TransportEvent) => void
  readonly #limits: TransportLimits
  readonly #sessions: Map<number, Session> = new Map()
  /** No session times out before this. */
  #due = Number.POSITIVE_INFINITY
  #now = 0

  constructor(event: (event: TransportEvent) => void, limits: TransportLimits) {
    this.#event = event
    this.#limits = limits
  }

  /** The time is now this: ends sessions that have been silent too long. */
  tick(time: number): void {
    this.#now = time
    if (time > this.#due) this.#expire(time)
  }

  /** Ends all sessions. */
  finish(): void {
    const left = [...this.#sessions.values()].sort((a, b) => a.lastTime - b.lastTime)
    for (const session of left) this.end(session, 'recording-ended', this.#now)
    this.#due = Number.POSITIVE_INFINITY
  }

  /**
   * Opens a session in place of one that may still run between the two nodes. Where the limits do not
   * allow it, that is reported, and there is none.
   */
  begin(announcement: Announcement, time: number): Session | undefined {
    const session = new Session(announcement, time)
    const old = this.#sessions.get(keyOf(session))
    if (old !== undefined) this.end(old, 'replaced', time)
    if (this.#add(session)) return session
    this.emit(session, 'too-many-sessions', time)
    return undefined
  }

  /** The session between two nodes, of one of the two protocols; `sa` sends its data. */
  find(extended: boolean, channel: number, sa: number, da: number, time: number): Session | undefined {
    const session = this.#sessions.get(sessionKey(extended, channel, sa, da))
    // Times that run far backwards say that the clock was set; what lay before is over.
    if (session !== undefined && time < session.lastTime - this.#timeout(session)) {
      this.end(session, 'timed-out', session.lastTime)
      return undefined
    }
    return session
  }

  /** A frame whose announcement is not in the recording: data where `pgn` is -1, else control. */
  stray(extended: boolean, channel: number, sa: number, da: number, time: number, pgn: number): void {
    let run = this.#sessions.get(sessionKey(extended, channel, sa, da))
    const isNew = run === undefined
    run ??= new Session(unannounced(extended, channel, sa, da), time)
    run.state = 'unannounced'
    if (pgn === -1) run.received++
    else run.pgn = pgn
    if (isNew && !this.#add(run)) this.emit(run, strayCode(run), time)
    else this.touch(run, time)
  }

  /** Registers a session; false where the limits do not allow it. */
  #add(session: Session): boolean {
    if (!this.#hasRoom(session)) {
      for (const other of this.#sessions.values()) {
        // These only wait for stragglers.
        if (other.state === 'delivered' || other.state === 'discarded') this.forget(other)
      }
      if (!this.#hasRoom(session)) return false
    }
    this.#sessions.set(keyOf(session), session)
    this.touch(session, session.firstTime)
    return true
  }

  #hasRoom(session: Session): boolean {
    const { size } = this.#sessions
    const { maxSessions, maxSessionsPerNode } = this.#limits
    // Nearly always so few that nobody need be asked whose they are.
    if (size >= maxSessions || size < maxSessionsPerNode) return size < maxSessions
    const node = nodeKey(session)
    let ofNode = 0
    for (const other of this.#sessions.values()) if (nodeKey(other) === node) ofNode++
    return ofNode < maxSessionsPerNode
  }

  /** A frame of the session came: its time to live begins anew. */
  touch(session: Session, time: number): void {
    session.lastTime = time
    const due = this.#dueOf(session)
    if (due < this.#due) this.#due = due
  }

  #timeout(session: Session): number {
    return session.da === 255 ? this.#limits.broadcastTimeout : this.#limits.directedTimeout
  }

  #dueOf(session: Session): number {
    return session.lastTime + this.#timeout(session)
  }

  /** Ends the sessions whose time is over, the first one first. */
  #expire(time: number): void {
    const over: Session[] = []
    this.#due = Number.POSITIVE_INFINITY
    for (const session of this.#sessions.values()) {
      const due = this.#dueOf(session)
      if (due < time) over.push(session)
      else if (due < this.#due) this.#due = due
    }
    over.sort((a, b) => this.#dueOf(a) - this.#dueOf(b))
    for (const session of over) this.end(session, 'timed-out', this.#dueOf(session))
  }

  /** Forgets a session without a word. */
  forget(session: Session): void {
    this.#sessions.delete(keyOf(session))
  }

  /** Ends a session. If it was still open its message is lost, and the code says why. */
  end(session: Session, code: TransportCode, time: number, reason?: number, by?: number): void {
    this.forget(session)
    if (session.state === 'open') this.emit(session, code, time, reason, by)
    if (session.state === 'unannounced') this.emit(session, strayCode(session), time)
  }

  /** Reports a message as lost and goes on taking in its frames. */
  drop(session: Session, code: TransportCode, time: number): void {
    this.emit(session, code, time)
    session.discard()
  }

  /** Reports what can come with every packet once in a session. */
  remark(session: Session, code: TransportCode, time: number): void {
    if (session.firstRemark(code)) this.emit(session, code, time)
  }

  /** Reports something about a session. */
  emit(session: Session, code: TransportCode, time: number, reason?: number, by?: number): void {
    const { channel, sa, da, transport, firstTime, lastTime, size, packets, received } = session
    this.#event({
      code,
      channel,
      sa,
      da,
      pgn: session.pgn < 0 ? null : session.pgn,
      transport,
      time,
      firstTime,
      lastTime,
      size,
      packets,
      received,
      reason: reason ?? null,
      by: by ?? null,
    })
  }
}

function strayCode(run: Session): TransportCode {
  return run.received > 0 ? 'data-without-session' : 'control-without-session'
}

function sessionKey(extended: boolean, channel: number, sa: number, da: number): number {
  return (channel * 2 + (extended ? 1 : 0)) * 65536 + sa * 256 + da
}

function keyOf({ transport, channel, sa, da }: Session): number {
  return sessionKey(transport === 'extended', channel, sa, da)
}

function nodeKey(session: Session): number {
  return session.channel * 256 + session.sa
}
