/** The last events of a session, numbered, so that a client that was away gets what it missed. */
import type { LiveEvent } from '@firstcrank/feed'

/** Events kept. Our own choice: more than anybody reads. */
const MAX_EVENTS = 2_000

/** Events from a number on. */
export interface EventsFrom {
  readonly events: readonly LiveEvent[]
  /** Number of the event after these. */
  readonly next: number
  /** Events before these that are no longer kept. */
  readonly missed: number
}

export class EventLog {
  #events: LiveEvent[] = []
  #first = 0

  /** Number of the event that will come next. */
  get next(): number {
    return this.#first + this.#events.length
  }

  add(event: LiveEvent): void {
    this.#events.push(event)
    if (this.#events.length <= MAX_EVENTS) return
    const old = MAX_EVENTS / 2
    this.#events = this.#events.slice(old)
    this.#first += old
  }

  /** Events from a number on, at most `limit` of them. */
  from(number: number, limit = 200): EventsFrom {
    const start = Math.max(number, this.#first)
    const events = this.#events.slice(start - this.#first, start - this.#first + limit)
    return { events, next: start + events.length, missed: start - number }
  }
}
