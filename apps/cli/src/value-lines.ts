/** Messages in, lines out: which streams are wanted, and the lines of each of their signals. */
import { Catalogue, diagnosticGroup, type GroupDefinition, type LogReader } from '@firstcrank/decoder'
import type { LogLines, MessageStream } from './log-lines.js'
import type { Output } from './output.js'
import { type LineWriter, lineWriter } from './signal-lines.js'
import type { TimeWindow } from './time-window.js'
import { isWantedStream, type ValueFilter } from './value-filter.js'
import type { StreamHead, ValueForm } from './value-form.js'
import { type Barren, whyNoValues } from './why-none.js'

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

/** Longest beginning of a line, in bytes. */
const TIME_ROOM = 64

/** Turns messages into lines, for one log. */
export class ValueLines implements LogLines<StreamPlan> {
  readonly header: string
  readonly #output: Output
  readonly #form: ValueForm
  readonly #filter: ValueFilter
  readonly #window: TimeWindow
  readonly #definitions: readonly GroupDefinition[]
  readonly #catalogue: Catalogue
  readonly #plans = new Map<number, StreamPlan | null>()
  readonly #timeRoom = Buffer.alloc(TIME_ROOM)
  written = 0
  readonly barren: Barren = { undefinedGroups: new Map(), diagnosticGroups: new Map() }

  constructor(
    output: Output,
    form: ValueForm,
    filter: ValueFilter,
    window: TimeWindow,
    definitions: readonly GroupDefinition[] = [],
  ) {
    this.#output = output
    this.#form = form
    this.header = form.header
    this.#filter = filter
    this.#window = window
    this.#definitions = definitions
    this.#catalogue = new Catalogue(definitions)
  }

  planOf(stream: MessageStream, channelName: string): StreamPlan | null {
    const { channel, pgn, sa, da } = stream
    const key = ((channel * 0x40000 + pgn) * 256 + sa) * 256 + da
    const known = this.#plans.get(key)
    if (known !== undefined) return known
    const plan = this.#makePlan({ channel: channelName, pgn, sa, da })
    this.#plans.set(key, plan)
    return plan
  }

  write(plan: StreamPlan, pgn: number, time: number, payload: Uint8Array, offset: number, length: number): void {
    if (!this.#window.holds(time)) return
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

  whyNone(reader: LogReader): string {
    return `no values: ${whyNoValues(this.barren, this.#filter, reader, this.#definitions)}`
  }

  /** How the message's lines begin; good until the next message. */
  #timeHead(time: number): Uint8Array {
    const length = this.#timeRoom.write(this.#form.time(time, this.#window.start))
    return this.#timeRoom.subarray(0, length)
  }

  #makePlan(stream: Omit<StreamHead, 'acronym'>): StreamPlan | null {
    if (!isWantedStream(this.#filter, stream)) return null
    const { spns } = this.#filter
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
