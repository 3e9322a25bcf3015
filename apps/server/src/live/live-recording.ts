/**
 * A recording that goes on: decodes lines as they come, keeps the last minutes of every stream, and
 * answers what a whole recording answers. Faults, nodes and events are followed from the beginning.
 */
import {
  BusDecoder,
  type BusEvent,
  Catalogue,
  decodeSignal,
  destinationOf,
  type FrameBatch,
  type GroupDefinition,
  isColumnDefinition,
  LogReader,
  type Message,
  pgnOf,
  priorityOf,
  type SignalDefinition,
  sourceOf,
} from '@firstcrank/decoder'
import {
  blockOf,
  type CheckedRequest,
  describeRecording,
  encodeFrame,
  FeedError,
  type MessagesPage,
  type MomentValue,
  NO_FRAME,
  type RecordingInfo,
  type SignalFacts,
  type SignalRef,
  signalKey,
} from '@firstcrank/feed'
import { messagesOf, momentOf, windowOf } from './live-answers.js'
import { type LiveSignal, liveSignal } from './live-signal.js'
import { LiveStream } from './live-stream.js'

/** How much a live recording keeps. */
export interface LiveLimits {
  /** Microseconds of messages. */
  readonly keep: number
  /** Messages in all, whatever their age. */
  readonly messages: number
}

/** Ten minutes, and as many messages as ten minutes of a full bus at 500 kbit/s have. Our own choice. */
export const LIVE_LIMITS: LiveLimits = { keep: 600_000_000, messages: 2_400_000 }

/** Distinct identifiers of a live bus; a vehicle has a few hundred. Our own choice. */
const MAX_KEYS = 8_192
/** Events kept; of more, the older half goes. Our own choice. */
const MAX_EVENTS = 2_000
/** Messages between two looks for old ones. */
const TRIM_EVERY = 4_096
/** Share of the time kept that goes at a time when there are too many messages. */
const TRIM_SHARE = 0.1

/** Decodes and keeps. Push whole lines. */
export class LiveRecording {
  readonly epoch: string
  readonly reader: LogReader
  readonly bus: BusDecoder
  /** Told of every event of the bus. */
  onEvent: ((event: BusEvent) => void) | undefined
  readonly #catalogue: Catalogue
  readonly #limits: LiveLimits
  readonly #streams = new Map<number, LiveStream>()
  readonly #ofKey: LiveStream[] = []
  readonly #signals = new Map<string, LiveSignal>()
  readonly #events: BusEvent[] = []
  #latest = Number.NEGATIVE_INFINITY
  #kept = 0
  #sinceTrim = 0
  #complete = false

  constructor(epoch: string, limits: LiveLimits = LIVE_LIMITS, definitions: readonly GroupDefinition[] = []) {
    this.epoch = epoch
    this.#limits = limits
    this.#catalogue = new Catalogue(definitions)
    this.reader = new LogReader({ frames: (batch) => this.bus.push(batch) }, { maxKeys: MAX_KEYS })
    this.bus = new BusDecoder(this.reader.keys, {
      frames: (batch, from, to) => this.#takeFrames(batch, from, to),
      assembled: (message) => this.#takeMessage(message),
      event: (event) => this.#takeEvent(event),
    })
  }

  /** Names of the interfaces. */
  get channels(): readonly string[] {
    return this.reader.keys.channels
  }

  /** Streams so far, in order of first appearance. */
  get streams(): readonly LiveStream[] {
    return [...this.#streams.values()]
  }

  /** Messages kept. */
  get kept(): number {
    return this.#kept
  }

  push(lines: Uint8Array): void {
    this.reader.push(lines)
    if (this.#sinceTrim >= TRIM_EVERY) this.#trim()
  }

  /** No more will come. */
  finish(): void {
    this.#complete = true
    this.reader.finish()
    this.bus.finish()
  }

  /** The signal that is meant; undefined while no message that carries it has come. */
  signal(ref: SignalRef): LiveSignal | undefined {
    const key = signalKey(ref)
    const known = this.#signals.get(key)
    if (known !== undefined) return known
    const channel = this.channels.indexOf(ref.channel)
    let best: LiveStream | undefined
    for (const stream of this.#streams.values()) {
      if (stream.channel !== channel || stream.pgn !== ref.pgn || stream.sa !== ref.sa) continue
      if (ref.da !== undefined && stream.da !== ref.da) continue
      if (best === undefined || stream.next > best.next) best = stream
    }
    const signal = best && liveSignal(key, best, ref)
    if (signal !== undefined) this.#signals.set(key, signal)
    return signal
  }

  /**
   * Answers one request.
   *
   * @throws {FeedError} `not-found`
   */
  answer(request: CheckedRequest): RecordingInfo | Uint8Array | MessagesPage | readonly (MomentValue | null)[] {
    switch (request.ask) {
      case 'info':
        return this.info()
      case 'window':
        return encodeFrame({ ...NO_FRAME, entries: windowOf(this, request.query) })
      case 'moment':
        return momentOf(this, request.query)
      case 'messages':
        return messagesOf(this, request.query)
      case 'report':
        throw new FeedError('not-found', 'a report is made of a run, when it has been recorded')
    }
  }

  /** What it holds so far. */
  info(): RecordingInfo {
    const { streams } = this
    return describeRecording({
      epoch: this.epoch,
      complete: this.#complete,
      reader: this.reader,
      bus: this.bus,
      events: this.#events,
      streams: streams.map((stream) => ({
        channel: stream.channel,
        priority: stream.priority,
        pgn: stream.pgn,
        sa: stream.sa,
        da: stream.da,
        count: stream.count,
        firstTime: stream.count > 0 ? stream.firstTime : null,
        lastTime: stream.count > 0 ? stream.lastTime : null,
        silence: null,
        group: stream.group,
      })),
      signals: streams.flatMap((stream) => this.#signalsOf(stream)),
      loads: [],
    })
  }

  #signalsOf(stream: LiveStream): SignalFacts[] {
    const { group } = stream
    if (group === undefined || stream.kept === 0) return []
    const last = stream.payload(stream.next - 1)
    const facts = (definition: SignalDefinition, instance?: number): SignalFacts[] => {
      if (!isColumnDefinition(definition)) return []
      const valid = decodeSignal(definition, blockOf(last, group, instance)).status === 'valid'
      return [{ group, definition, stream, instance, valid }]
    }
    const { repeat } = group
    const blocks = repeat === undefined ? 0 : Math.floor((stream.longest - (repeat.at - 1)) / repeat.bytes)
    return [
      ...group.signals.flatMap((definition) => facts(definition)),
      ...Array.from({ length: Math.max(0, blocks) }, (_, instance) =>
        (repeat?.signals ?? []).flatMap((definition) => facts(definition, instance)),
      ).flat(),
    ]
  }

  #takeFrames({ time, key, bytes, length }: FrameBatch, from: number, to: number): void {
    for (let row = from; row < to; row++) {
      const stream = this.#ofKey[key[row] as number] ?? this.#learn(key[row] as number)
      stream.appendFrame(time[row] as number, bytes, row * 8, length[row] as number)
      if ((time[row] as number) > this.#latest) this.#latest = time[row] as number
    }
    this.#count(to - from)
  }

  #takeMessage(message: Message): void {
    this.#streamOf(message).appendLong(message)
    this.#count(1)
  }

  #count(messages: number): void {
    this.#kept += messages
    this.#sinceTrim += messages
  }

  #learn(key: number): LiveStream {
    const id = this.reader.keys.id[key] as number
    const stream = this.#streamOf({
      channel: this.reader.keys.channel[key] as number,
      priority: priorityOf(id),
      pgn: pgnOf(id),
      sa: sourceOf(id),
      da: destinationOf(id),
    })
    this.#ofKey[key] = stream
    return stream
  }

  #streamOf(head: Pick<Message, 'channel' | 'priority' | 'pgn' | 'sa' | 'da'>): LiveStream {
    const number = ((head.channel * 0x40000 + head.pgn) * 256 + head.sa) * 256 + head.da
    let stream = this.#streams.get(number)
    if (stream === undefined) {
      stream = new LiveStream(head, this.#catalogue.find(head.pgn))
      this.#streams.set(number, stream)
    }
    return stream
  }

  #takeEvent(event: BusEvent): void {
    this.#events.push(event)
    if (this.#events.length > MAX_EVENTS) this.#events.splice(0, MAX_EVENTS / 2)
    this.onEvent?.(event)
  }

  #trim(): void {
    this.#sinceTrim = 0
    let { keep } = this.#limits
    do {
      for (const stream of this.#streams.values()) this.#kept -= stream.forgetBefore(this.#latest - keep)
      keep *= 1 - TRIM_SHARE
    } while (this.#kept > this.#limits.messages && keep > 1)
  }
}
