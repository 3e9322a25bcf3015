/** The first level of the library: a whole log in memory, every value of it at hand. */
import { decodeErrorFrame, type ErrorFrame } from '../bus/error-frame.js'
import type { ChannelLoad, LoadSeries } from '../bus/load.js'
import type { Message } from '../bus/message.js'
import { Catalogue } from '../catalog/catalogue.js'
import type { GroupDefinition, SignalDefinition } from '../catalog/definition.js'
import type { Episode, LampHistory } from '../diagnostics/episodes.js'
import type { ClockReport } from '../log/clock.js'
import type { FrameBatch } from '../log/frame-batch.js'
import type { OtherFrame, ReaderCounts } from '../log/reader.js'
import { isColumnDefinition } from '../signal/column.js'
import { type DecodedMessage, decodeMessage } from './decoded-message.js'
import { EventList } from './event-list.js'
import type { BusEvent } from './events.js'
import { createLogDecoder, type LogDecoder, type LogSink, readThrough } from './log-decoder.js'
import { Signal } from './signal.js'
import type { LogSource } from './source.js'
import { Stream } from './stream.js'
import { StreamTable } from './stream-table.js'
import { buildSummary, type LogSummary, type SummaryOptions } from './summary.js'
import { Traffic } from './traffic.js'

/** Error frames kept: a bus in trouble can be full of them, and the first ones tell how it began. Common practice. */
const MAX_ERROR_FRAMES = 1000

/** What opening a recording takes. */
export interface RecordingOptions extends SummaryOptions {
  /** Whether a summary is made in the same pass, which takes about half as long again. Default no. */
  readonly summary?: boolean
}

/** Which signals are meant; what is not given is not looked at. */
export interface SignalQuery {
  readonly spn?: number
  readonly pgn?: number
  /** Source address. */
  readonly sa?: number
  /** Destination address; 255 is all. */
  readonly da?: number
  /** Name of the interface. */
  readonly channel?: string
  /** Which of a group's repeated blocks, from 0. */
  readonly instance?: number
}

/** Which messages are meant; times are microseconds, both ends included. */
export interface MessageQuery {
  readonly pgn?: number
  readonly sa?: number
  readonly channel?: string
  readonly from?: number
  readonly to?: number
}

/**
 * Reads a whole log.
 *
 * @param source bytes, or chunks of them; plain or gzip
 * @throws {LogSourceError} `not-a-source`. What is wrong inside a log never throws: see
 *   {@link Recording.problems}.
 */
export async function openRecording(source: LogSource, options: RecordingOptions = {}): Promise<Recording> {
  const recording = new Recording(options)
  for await (const _ of readThrough(recording.log, source, options));
  return recording
}

/**
 * A recording: every message of every stream, kept as it came, and read when asked. Times are
 * microseconds since the epoch, or since the log's own zero.
 */
export class Recording {
  /** The reader and the bus decoder that fill it; for those who push chunks themselves. */
  readonly log: LogDecoder
  /** Definitions in force. */
  readonly catalogue: Catalogue
  readonly #streams: StreamTable<Stream>
  readonly #events = new EventList()
  readonly #errorFrames: ErrorFrame[] = []
  readonly #traffic: Traffic | undefined
  readonly #signals = new Map<Stream, { readonly rows: number; readonly signals: readonly Signal[] }>()

  constructor(options: RecordingOptions = {}) {
    this.catalogue = new Catalogue(options.definitions)
    const sink: LogSink = {
      frames: (batch, from, to) => this.#takeFrames(batch, from, to),
      assembled: (message) => this.#takeAssembled(message),
      other: (frame) => this.#takeOther(frame),
      event: (event) => this.#events.add(event),
    }
    this.log = createLogDecoder(() => sink, options)
    const { keys } = this.log.reader
    this.#streams = new StreamTable(keys, (key) => new Stream(key))
    this.#traffic = options.summary ? new Traffic(keys, options) : undefined
  }

  /** Names of the interfaces, by channel number. */
  get channels(): readonly string[] {
    return this.log.reader.keys.channels
  }

  /** Lines and frames by kind. */
  get counts(): Readonly<ReaderCounts> {
    return this.log.reader.counts
  }

  /** What was wrong with lines of the log: counted by code, the first ones with number and text. */
  get problems(): LogDecoder['reader']['problems'] {
    return this.log.reader.problems
  }

  /** First and last time, holes, steps, and times that ran backwards. */
  get clock(): ClockReport {
    return this.log.reader.clock
  }

  /** Every stream of messages, in order of first appearance; also those of groups nobody has defined. */
  get streams(): readonly Stream[] {
    return this.#streams.all
  }

  /** Fault episodes, in the order they began. */
  get episodes(): readonly Episode[] {
    return this.log.bus.episodes.list
  }

  /** What each node's lamps were, with faults or without. */
  get lamps(): readonly LampHistory[] {
    return this.log.bus.episodes.lampHistories
  }

  /** Claims, clear commands, transport failures, in order of time; the first ones. */
  get events(): readonly BusEvent[] {
    return this.#events.sorted()
  }

  /**
   * Error frames in the order of the log, which the recorder writes when its controller finds a frame damaged
   * or leaves the bus: the first 1,000. `counts.error` counts all.
   */
  get errorFrames(): readonly ErrorFrame[] {
    return this.#errorFrames
  }

  /** The load of each channel, also second by second; none unless a summary was asked for on opening. */
  loads(): (ChannelLoad & { readonly seconds: LoadSeries })[] {
    const traffic = this.#traffic
    if (traffic === undefined) return []
    return traffic.loads().map((load) => ({ ...load, seconds: traffic.load.seconds(load.channel, load.bitRate) }))
  }

  /** What is in the recording, without its values; undefined unless it was asked for on opening. */
  summary(): LogSummary | undefined {
    return this.#traffic && buildSummary(this.log, this.#traffic, this.#events, this.catalogue)
  }

  /** The signals that fit a query, in order of their streams' first appearance. */
  signals(query: SignalQuery = {}): Signal[] {
    const found: Signal[] = []
    for (const stream of this.streams) {
      if (!this.#fits(stream, query)) continue
      for (const signal of this.#signalsOf(stream)) {
        if (query.spn !== undefined && signal.spn !== query.spn) continue
        if (query.instance !== undefined && signal.instance !== query.instance) continue
        found.push(signal)
      }
    }
    return found
  }

  /** The signal that fits a query with the most messages; undefined where none does. */
  signal(query: SignalQuery): Signal | undefined {
    return this.signals(query).reduce<Signal | undefined>(
      (most, signal) => (most === undefined || signal.count > most.count ? signal : most),
      undefined,
    )
  }

  /**
   * Messages in order of time; those of one moment in the order their streams first appeared, since rows do
   * not keep their place in the log (`readMessages` gives messages in its order).
   */
  *messages(query: MessageQuery = {}): Generator<DecodedMessage> {
    const { from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY } = query
    const cursors = this.streams
      .filter((stream) => this.#fits(stream, query))
      .map((stream) => ({ stream, row: stream.rowAt(from), end: stream.rowAfter(to) }))
      .filter(({ row, end }) => row < end)
    while (cursors.length > 0) {
      let next = 0
      for (let i = 1; i < cursors.length; i++) {
        if (cursors[i].stream.time(cursors[i].row) < cursors[next].stream.time(cursors[next].row)) next = i
      }
      const cursor = cursors[next]
      yield this.#decode(cursor.stream.message(cursor.row))
      if (++cursor.row === cursor.end) cursors.splice(next, 1)
    }
  }

  #decode(message: Message): DecodedMessage {
    return decodeMessage(message, this.channels[message.channel], this.catalogue, this.log.bus.diagnostics)
  }

  #fits(stream: Stream, query: SignalQuery & MessageQuery): boolean {
    return (
      (query.pgn === undefined || stream.pgn === query.pgn) &&
      (query.sa === undefined || stream.sa === query.sa) &&
      (query.da === undefined || stream.da === query.da) &&
      (query.channel === undefined || this.channels[stream.channel] === query.channel)
    )
  }

  /** Signals keep an index for pictures, so each is made once; a growing stream may bring more instances. */
  #signalsOf(stream: Stream): readonly Signal[] {
    const known = this.#signals.get(stream)
    if (known !== undefined && known.rows === stream.count) return known.signals
    const group = this.catalogue.find(stream.pgn)
    const signals = group === undefined ? [] : signalsOf(group, stream, known?.signals ?? [])
    this.#signals.set(stream, { rows: stream.count, signals })
    return signals
  }

  #takeFrames(batch: FrameBatch, from: number, to: number): void {
    const { time, key, words, length } = batch
    for (let row = from; row < to; row++) {
      this.#streams.ofFrame(key[row]).appendFrame(time[row], words[row * 2], words[row * 2 + 1], length[row])
    }
    this.#traffic?.frames(batch, from, to)
  }

  #takeOther(frame: OtherFrame): void {
    this.#traffic?.other(frame)
    if (frame.kind !== 'error' || this.#errorFrames.length >= MAX_ERROR_FRAMES) return
    this.#errorFrames.push(decodeErrorFrame(frame.channel, frame.time, frame.id, frame.data.subarray(0, frame.length)))
  }

  #takeAssembled(message: Message): void {
    this.#streams.ofMessage(message).appendLong(message)
    this.#traffic?.assembled(message)
  }
}

function signalsOf(group: GroupDefinition, stream: Stream, known: readonly Signal[]): Signal[] {
  const make = (definition: SignalDefinition, instance?: number): Signal[] => {
    if (!isColumnDefinition(definition)) return []
    const same = known.find((signal) => signal.definition === definition && signal.instance === instance)
    return [same ?? new Signal(group, definition, stream, instance)]
  }
  const signals = group.signals.flatMap((definition) => make(definition))
  const { repeat } = group
  if (repeat === undefined) return signals
  const blocks = Math.floor((stream.longest - (repeat.at - 1)) / repeat.bytes)
  for (let instance = 0; instance < blocks; instance++) {
    for (const definition of repeat.signals) signals.push(...make(definition, instance))
  }
  return signals
}
