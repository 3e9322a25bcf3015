import type { BusEvent } from './events.js'

/** Events kept. Common practice: a page of them is read, a file of them is searched. */
const MAX_EVENTS = 10_000

/** Keeps the first events, counts the others. */
export class EventList {
  dropped = 0
  readonly #events: BusEvent[] = []
  readonly #limit: number

  constructor(limit: number = MAX_EVENTS) {
    this.#limit = limit
  }

  add(event: BusEvent): void {
    if (this.#events.length < this.#limit) this.#events.push(event)
    else this.dropped++
  }

  /** In order of time; events of one moment in the order they were noticed. */
  sorted(): BusEvent[] {
    return [...this.#events].sort((a, b) => a.time - b.time)
  }
}
