/** Messages in, lines out: which streams are wanted, and the lines of each of their signals. */
import { Catalogue, diagnosticGroup, type GroupDefinition, type Message } from '@firstcrank/decoder'
import type { Output } from './output.js'
import { type LineWriter, lineWriter } from './signal-lines.js'
import { resolveBound, type ValueFilter } from './value-filter.js'
import type { StreamHead, ValueForm } from './value-form.js'

/** How a stream's messages become lines. */
export interface StreamPlan {
  readonly writers: readonly LineWriter[]
  /** Of a group that repeats a part: what its blocks take. */
  readonly repeated: RepeatedPlan | undefined
}

interface RepeatedPlan {
  readonly at: number
  readonly bytes: number
  /** Writers of each block, as many as were needed so far. */
  readonly blocks: LineWriter[][]
  readonly writersOf: (instance: number) => LineWriter[]
}

/** Why messages that passed the filter gave no value. */
export interface Barren {
  /** Messages of groups without a definition, by PGN. */
  readonly undefinedGroups: Map<number, number>
  /** Messages that carry faults or the like, which `faults` shows, by PGN. */
  readonly diagnosticGroups: Map<number, number>
}

/** Longest beginning of a line, in bytes. */
const TIME_ROOM = 64

/** Turns messages into lines, for one log. */
export class ValueLines {
  readonly #output: Output
  readonly #form: ValueForm
  readonly #filter: ValueFilter
  readonly #catalogue: Catalogue
  readonly #plans = new Map<number, StreamPlan | null>()
  readonly #timeRoom = Buffer.alloc(TIME_ROOM)
  #start = Number.NaN
  #from = Number.NEGATIVE_INFINITY
  #to = Number.POSITIVE_INFINITY
  /** Lines written so far. */
  written = 0
  readonly barren: Barren = { undefinedGroups: new Map(), diagnosticGroups: new Map() }

  constructor(output: Output, form: ValueForm, filter: ValueFilter, definitions: readonly GroupDefinition[] = []) {
    this.#output = output
    this.#form = form
    this.#filter = filter
    this.#catalogue = new Catalogue(definitions)
  }

  /** The time of the log's first frame, in microseconds; NaN before it. */
  get start(): number {
    return this.#start
  }

  /** The last moment of interest, in microseconds. */
  get end(): number {
    return this.#to
  }

  /** Tells the time of a frame of any kind; the first one counts. */
  begin(time: number): void {
    if (!Number.isNaN(this.#start)) return
    this.#start = time
    this.#from = resolveBound(this.#filter.from, time, Number.NEGATIVE_INFINITY)
    this.#to = resolveBound(this.#filter.to, time, Number.POSITIVE_INFINITY)
  }

  /**
   * The plan for the messages of one stream; null where none of it is wanted.
   *
   * @param message any message of the stream; its payload and time do not matter
   */
  planOf(message: Pick<Message, 'channel' | 'pgn' | 'sa' | 'da'>, channelName: string): StreamPlan | null {
    const { channel, pgn, sa, da } = message
    const key = ((channel * 0x40000 + pgn) * 256 + sa) * 256 + da
    const known = this.#plans.get(key)
    if (known !== undefined) return known
    const plan = this.#makePlan({ channel: channelName, pgn, sa, da })
    this.#plans.set(key, plan)
    return plan
  }

  /** Writes the lines of one message; its bytes are `length` from `offset`. */
  write(plan: StreamPlan, pgn: number, time: number, payload: Uint8Array, offset: number, length: number): void {
    if (time < this.#from || time > this.#to) return
    if (plan === NOTHING_KNOWN) return this.#note(pgn)
    const head = this.#timeHead(time)
    for (const write of plan.writers) if (write(this.#output, head, payload, offset, length)) this.written++
    const { repeated } = plan
    if (repeated === undefined) return
    for (let at = repeated.at, instance = 0; at + repeated.bytes <= length; at += repeated.bytes, instance++) {
      const writers = repeated.blocks[instance] ?? repeated.writersOf(instance)
      repeated.blocks[instance] = writers
      for (const write of writers) {
        if (write(this.#output, head, payload, offset + at, repeated.bytes)) this.written++
      }
    }
  }

  /** How the message's lines begin; good until the next message. */
  #timeHead(time: number): Uint8Array {
    const length = this.#timeRoom.write(this.#form.time(time, this.#start))
    return this.#timeRoom.subarray(0, length)
  }

  #makePlan(stream: Omit<StreamHead, 'acronym'>): StreamPlan | null {
    const { spns, pgns, sas, channels } = this.#filter
    const wanted =
      (pgns?.has(stream.pgn) ?? true) && (sas?.has(stream.sa) ?? true) && (channels?.has(stream.channel) ?? true)
    if (!wanted) return null
    const group = this.#catalogue.find(stream.pgn)
    const head = { ...stream, acronym: group?.acronym ?? '' }
    const isWanted = ({ spn }: { readonly spn: number }) => spns?.has(spn) ?? true
    const writers = (group?.signals ?? []).filter(isWanted).map((signal) => lineWriter(this.#form, head, signal))
    const repeated = this.#repeatedPlan(head, group?.repeat, isWanted)
    if (writers.length > 0 || repeated !== undefined) return { writers, repeated }
    return spns === undefined ? NOTHING_KNOWN : null
  }

  #repeatedPlan(
    head: StreamHead,
    repeat: GroupDefinition['repeat'],
    isWanted: (signal: { readonly spn: number }) => boolean,
  ): RepeatedPlan | undefined {
    const signals = repeat?.signals.filter(isWanted) ?? []
    if (repeat === undefined || signals.length === 0) return undefined
    return {
      at: repeat.at - 1,
      bytes: repeat.bytes,
      blocks: [],
      writersOf: (instance) => signals.map((signal) => lineWriter(this.#form, head, signal, instance)),
    }
  }

  #note(pgn: number): void {
    const { undefinedGroups, diagnosticGroups } = this.barren
    const counts = diagnosticGroup(pgn) === undefined ? undefinedGroups : diagnosticGroups
    counts.set(pgn, (counts.get(pgn) ?? 0) + 1)
  }
}

/** The plan of a group that passed the filter and has no signals. */
const NOTHING_KNOWN: StreamPlan = { writers: [], repeated: undefined }
