/**
 * Requests for parameter groups and what became of them (SAE J1939-21).
 *
 * A node asks another, or all, for a group (PGN 59904). The answer is the group itself, or an
 * acknowledgement (PGN 59392) that refuses. Layout of the acknowledgement: from memory; its number
 * and the request's: an engine maker's J1939 chapter and the Linux kernel's J1939 header.
 */
import { GLOBAL_ADDRESS, groupAt } from './identifier.js'
import type { Message } from './message.js'

/** Acknowledgement: yes, no, access denied, cannot respond. */
export const ACKNOWLEDGEMENT_PGN = 59392

/**
 * How long an answer may take, in microseconds. The standard's response time is 200 ms (from memory);
 * six times that for slow nodes and a recorder's delay: common practice.
 */
export const ANSWER_TIME = 1_250_000

/**
 * How long after its first frame an answer may be whole: 255 packets at the 200 ms a broadcast may
 * leave between two (a Linux kernel commit quoting J1939-21), and some more.
 */
const LONGEST_ANSWER = 60_000_000

/** The control byte of an acknowledgement. */
const ACKNOWLEDGED = 0
const REFUSALS: Readonly<Record<number, keyof Refusals>> = { 1: 'negative', 2: 'accessDenied', 3: 'cannotRespond' }

/** Refusals by the kind of acknowledgement. */
export interface Refusals {
  readonly negative: number
  readonly accessDenied: number
  readonly cannotRespond: number
}

/** What one node asked another, and how that went. */
export interface RequestRow {
  readonly channel: number
  /** Address of the node that asks. */
  readonly asker: number
  /** Address of the node that is asked; 255 for all. */
  readonly asked: number
  readonly pgn: number
  /** Requests seen: answered, acknowledged, refused, unanswered, and what is still open. */
  readonly requests: number
  /** The group came in time. */
  readonly answered: number
  /** A positive acknowledgement came in place of the group. */
  readonly acknowledged: number
  readonly refused: Refusals
  /** Nothing came in time. */
  readonly unanswered: number
  /** Times of the first and the last request, in microseconds. */
  readonly firstTime: number
  readonly lastTime: number
  /** Shortest and longest time from a request to the answer's first frame, in microseconds; null where none came. */
  readonly fastest: number | null
  readonly slowest: number | null
}

/** How much is kept. */
export interface RequestLimits {
  /** Different questions: asker, asked, group. */
  readonly maxRows: number
  /** Requests of one question an answer is awaited for; past it the oldest counts as unanswered. */
  readonly maxOpen: number
}

/** Common practice. */
const REQUEST_LIMITS: RequestLimits = { maxRows: 4096, maxOpen: 64 }

type Mutable<T> = { -readonly [K in keyof T]: T[K] }

interface Row extends Mutable<Omit<RequestRow, 'refused'>> {
  readonly refused: Mutable<Refusals>
  /** Requests an answer can still come for, the oldest first. */
  open: Open[]
}

interface Open {
  readonly time: number
  /** Already counted as unanswered, though an answer that began in time may still become whole. */
  overdue: boolean
}

/**
 * Pairs requests with answers. The caller hands over every request and acknowledgement, and other
 * messages only where {@link Requests.watching} says that somebody asked for their group.
 */
export class Requests {
  /** Requests not followed because of the limit of rows. */
  ignored = 0
  /** Requests and acknowledgements with too few bytes. */
  malformed = 0
  readonly #limits: RequestLimits
  readonly #rows: Map<number, Row> = new Map()
  /** Rows with open requests, by group. */
  readonly #watched: Map<number, Row[]> = new Map()

  constructor(limits: Partial<RequestLimits> = {}) {
    this.#limits = { ...REQUEST_LIMITS, ...limits }
  }

  /** Whether an answer with this group is awaited. */
  watching(pgn: number): boolean {
    return this.#watched.has(pgn)
  }

  /** Takes a request (PGN 59904): three bytes, often padded to eight. */
  request(message: Message): void {
    const { channel, sa, da, time, payload } = message
    if (payload.length < 3) {
      this.malformed++
      return
    }
    const pgn = groupAt(payload, 0)
    const key = ((channel * 256 + sa) * 256 + da) * 2 ** 24 + pgn
    let row = this.#rows.get(key)
    if (row === undefined) {
      if (this.#rows.size >= this.#limits.maxRows) {
        this.ignored++
        return
      }
      row = newRow(channel, sa, da, pgn, time)
      this.#rows.set(key, row)
    }
    if (row.open.length === 0) this.#watch(row)
    row.requests++
    row.lastTime = time
    row.open.push({ time, overdue: false })
    if (row.open.length > this.#limits.maxOpen && row.open.shift()?.overdue === false) row.unanswered++
  }

  /** Takes a message of a watched group. Where nobody waits for it, nothing happens. */
  answer(message: Message): void {
    const { channel, pgn, sa, da, firstTime } = message
    for (const row of this.#waiting(pgn, channel)) {
      const wasAsked = row.asked === sa || (row.asked === GLOBAL_ADDRESS && row.asker !== sa)
      if (!wasAsked) continue
      if (da !== GLOBAL_ADDRESS && da !== row.asker) continue
      this.#settle(row, firstTime, (delay) => {
        row.answered++
        row.fastest = Math.min(row.fastest ?? delay, delay)
        row.slowest = Math.max(row.slowest ?? delay, delay)
      })
    }
  }

  /**
   * Takes an acknowledgement (PGN 59392). It settles requests to its sender alone: what all were asked
   * one node cannot refuse. Byte 5 names the asker; where it is 255 the destination does.
   */
  acknowledge(message: Message): void {
    const { channel, sa, da, firstTime, payload } = message
    if (payload.length < 8) {
      this.malformed++
      return
    }
    const control = payload[0]
    const asker = payload[4] === GLOBAL_ADDRESS ? da : payload[4]
    for (const row of this.#waiting(groupAt(payload, 5), channel)) {
      if (row.asked !== sa || (asker !== GLOBAL_ADDRESS && asker !== row.asker)) continue
      const refusal = REFUSALS[control]
      if (refusal !== undefined) this.#settle(row, firstTime, () => row.refused[refusal]++)
      else if (control === ACKNOWLEDGED) this.#settle(row, firstTime, () => row.acknowledged++)
    }
  }

  /** Counts requests as unanswered whose time is over. Call it at the recording's end, before {@link Requests.results}. */
  tick(time: number): void {
    for (const rows of [...this.#watched.values()]) {
      for (const row of [...rows]) {
        for (const open of row.open) this.#checkOverdue(row, open, time)
        row.open = row.open.filter((open) => time - open.time <= ANSWER_TIME + LONGEST_ANSWER)
        if (row.open.length === 0) this.#unwatch(row)
      }
    }
  }

  /** One row for each question, in order of its first request. */
  results(): RequestRow[] {
    return [...this.#rows.values()].map(({ open: _, ...row }) => ({ ...row, refused: { ...row.refused } }))
  }

  #waiting(pgn: number, channel: number): Row[] {
    return (this.#watched.get(pgn) ?? []).filter((row) => row.channel === channel)
  }

  /** An answer that began at `began` settles all requests of a row that it can be the answer to. */
  #settle(row: Row, began: number, count: (delay: number) => void): void {
    row.open = row.open.filter((open) => {
      const delay = began - open.time
      if (delay < 0 || delay > ANSWER_TIME) return true
      if (open.overdue) row.unanswered--
      count(delay)
      return false
    })
    if (row.open.length === 0) this.#unwatch(row)
  }

  #checkOverdue(row: Row, open: Open, time: number): void {
    if (open.overdue || time - open.time <= ANSWER_TIME) return
    open.overdue = true
    row.unanswered++
  }

  #watch(row: Row): void {
    const rows = this.#watched.get(row.pgn)
    if (rows === undefined) this.#watched.set(row.pgn, [row])
    else rows.push(row)
  }

  #unwatch(row: Row): void {
    const rows = (this.#watched.get(row.pgn) ?? []).filter((other) => other !== row)
    if (rows.length > 0) this.#watched.set(row.pgn, rows)
    else this.#watched.delete(row.pgn)
  }
}

function newRow(channel: number, asker: number, asked: number, pgn: number, time: number): Row {
  return {
    channel,
    asker,
    asked,
    pgn,
    requests: 0,
    answered: 0,
    acknowledged: 0,
    refused: { negative: 0, accessDenied: 0, cannotRespond: 0 },
    unanswered: 0,
    firstTime: time,
    lastTime: time,
    fastest: null,
    slowest: null,
    open: [],
  }
}
