/** What nodes say of themselves in text: each distinct text once, with when it was first and last sent. */
import type { Message } from '../bus/message.js'
import { decodeIdentification, IDENTIFICATION_PGNS, type Identification } from '../diagnostics/identification.js'

/** A text of one node. */
export interface NodeIdentification extends Identification {
  readonly channel: number
  readonly sa: number
  /** Microseconds. */
  readonly firstTime: number
  lastTime: number
}

/** Distinct texts kept. */
const MAX_IDENTIFICATIONS = 4096

/** Collects the identifications of a recording. */
export class Identifications {
  /** In order of first appearance. */
  readonly list: NodeIdentification[] = []
  /** Texts not kept because there were too many. */
  ignored = 0
  readonly #known = new Map<string, NodeIdentification>()

  /** Whether a group carries an identification. */
  static takes(pgn: number): boolean {
    return IDENTIFICATION_PGNS.has(pgn)
  }

  /** Takes a message of one of the groups. */
  take(message: Message): void {
    const { channel, sa, pgn, time, payload } = message
    const identification = decodeIdentification(pgn, payload)
    if (identification === undefined) return
    const key = [channel, sa, pgn, ...identification.fields.map((field) => `${field.status}:${field.text}`)].join('*')
    const known = this.#known.get(key)
    if (known !== undefined) {
      known.lastTime = time
    } else if (this.list.length >= MAX_IDENTIFICATIONS) {
      this.ignored++
    } else {
      const entry: NodeIdentification = { ...identification, channel, sa, firstTime: time, lastTime: time }
      this.#known.set(key, entry)
      this.list.push(entry)
    }
  }
}
