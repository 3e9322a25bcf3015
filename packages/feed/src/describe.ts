/** A recording, whole, being read or live → {@link RecordingInfo}. */
import {
  type BusDecoder,
  type BusEvent,
  type Episode,
  type GroupDefinition,
  type LoadSeries,
  type LogReader,
  type Name,
  PROBLEMS,
  type SignalDefinition,
} from '@firstcrank/decoder'
import { addressName, faultName, functionName } from '@firstcrank/decoder/catalog'
import { describeReports } from './describe-reports.js'
import { loadOverTime } from './load-over-time.js'
import type { EventInfo, FaultInfo, NodeInfo, RecordingInfo, SignalInfo, StreamInfo } from './recording-info.js'

const PROBLEM_MEANING = new Map<string, string>(PROBLEMS.map(({ code, meaning }) => [code, meaning]))

/** A stream of messages, as far as it is described. */
export interface StreamFacts {
  readonly channel: number
  readonly priority: number
  readonly pgn: number
  readonly sa: number
  readonly da: number
  readonly count: number
  /** Microseconds; null where it has no message. */
  readonly firstTime: number | null
  readonly lastTime: number | null
  /** Longest time between two messages; null where it is not known. */
  readonly silence: { readonly from: number; readonly to: number } | null
  /** Undefined where nobody has defined it. */
  readonly group: GroupDefinition | undefined
}

/** A signal, as far as it is described. */
export interface SignalFacts {
  readonly group: GroupDefinition
  readonly definition: SignalDefinition
  readonly stream: Omit<StreamFacts, 'group' | 'firstTime' | 'lastTime' | 'silence'>
  readonly instance: number | undefined
  readonly valid: boolean
}

/** The load of one channel, see the decoder's `ChannelLoad`. */
export interface LoadFacts {
  readonly channel: number
  readonly bitRate: { readonly value: number; readonly basis: 'given' | 'inferred' | 'assumed' }
  readonly frames: number
  readonly mean: number | null
  readonly maximum: { readonly load: number; readonly time: number }
  readonly seconds: LoadSeries
}

/** What there is to describe. */
export interface RecordingParts {
  readonly epoch: string
  readonly complete: boolean
  readonly reader: LogReader
  readonly bus: BusDecoder
  readonly streams: readonly StreamFacts[]
  readonly signals: readonly SignalFacts[]
  readonly events: readonly BusEvent[]
  readonly loads: readonly LoadFacts[]
}

/** Times from here on count from 1970: March 1973, as the decoder's reader has it. */
const DATED_FROM = 100_000_000_000_000
/** Events told of; a page of them is read. Our own choice. */
const MAX_EVENTS = 1_000

/** Everything about a recording but its values. */
export function describeRecording(parts: RecordingParts): RecordingInfo {
  const { reader, bus, streams, signals, events, loads, epoch, complete } = parts
  const channel = (number: number): string => reader.keys.channels[number] ?? `${number}`
  const { deltas, first, last, untimed, backwards, steps, holes, jumps } = reader.clock
  const copy = <T extends object>(list: { readonly total: number; readonly kept: readonly T[] }) => ({
    total: list.total,
    kept: list.kept.map((entry) => ({ ...entry })),
  })
  return {
    epoch,
    complete,
    from: first ?? null,
    to: last ?? null,
    dated: first !== undefined && first >= DATED_FROM,
    channels: [...reader.keys.channels],
    counts: { ...reader.counts },
    problems: {
      counts: reader.problems.counts().map((entry) => ({ ...entry, meaning: PROBLEM_MEANING.get(entry.code) ?? '' })),
      first: reader.problems.kept.map((entry) => ({ ...entry })),
    },
    clock: {
      deltas,
      untimed,
      backwards: { ...backwards },
      steps: copy(steps),
      holes: copy(holes),
      jumps: copy(jumps),
    },
    nodes: describeNodes(bus, channel),
    streams: streams.map((stream) => describeStream(stream, channel)),
    signals: signals.map((signal) => describeSignal(signal, channel)),
    faults: bus.episodes.list.map((episode) => describeFault(episode, channel(episode.channel))),
    lampHistories: bus.episodes.lampHistories.map(({ channel: number, sa, source, changes }) => ({
      channel: channel(number),
      sa,
      source,
      changes: changes.map(({ time, lamps }) => ({ time, lamps: { ...lamps } })),
    })),
    ...describeReports(bus, channel),
    events: events.slice(0, MAX_EVENTS).map((event) => describeEvent(event, channel(event.channel))),
    loads: loads.map(({ channel: number, bitRate, frames, mean, maximum, seconds }) => ({
      channel: channel(number),
      bitRate: bitRate.value,
      basis: bitRate.basis,
      frames,
      mean,
      maximum: maximum.load,
      maximumAt: maximum.time,
      over: loadOverTime(seconds, reader.clock.first ?? 0, reader.clock.last ?? 0),
    })),
  }
}

/** A fault episode under the name of its channel. */
export function describeFault(episode: Episode, channel: string): FaultInfo {
  const { sa, source, state, spn, fmi, ambiguous, firstSeen, lastSeen, clearedAt, endedBy } = episode
  return {
    channel,
    sa,
    source,
    state,
    spn,
    fmi,
    name: faultName(spn) ?? null,
    ambiguous,
    firstSeen,
    lastSeen,
    clearedAt,
    endedBy,
    counts: episode.occurrenceCounts.map((change) => ({ ...change })),
    lamps: episode.lamps.map(({ time, lamps }) => ({ time, lamps: { ...lamps } })),
  }
}

/** An event under the name of its channel. */
export function describeEvent(event: BusEvent, channel: string): EventInfo {
  const { kind, time } = event
  const plain = { kind, time, channel, name: null, pgn: null, da: null }
  switch (event.kind) {
    case 'node':
      return { ...plain, code: event.code, sa: event.address, name: event.name && nameDigits(event.name) }
    case 'transport':
      return { ...plain, code: event.code, sa: event.sa, da: event.da, pgn: event.pgn }
    case 'clear':
      return { ...plain, code: event.command.kind, sa: event.sa, da: event.da }
  }
}

const nameDigits = (name: Name): string => name.value.toString(16).toUpperCase().padStart(16, '0')

function describeNodes(bus: BusDecoder, channel: (number: number) => string): NodeInfo[] {
  return bus.nodes.nodes().map((node) => {
    const name = node.holdings.at(-1)?.name ?? null
    const texts = bus.identifications.list
      .filter((entry) => entry.channel === node.channel && entry.sa === node.address)
      .flatMap(({ kind, fields }) =>
        fields.filter(({ text }) => text !== '').map((field) => ({ kind, name: field.name, text: field.text })),
      )
    return {
      channel: channel(node.channel),
      sa: node.address,
      name: name && nameDigits(name),
      function: (name && functionName(name.function, name.industryGroup, name.vehicleSystem)) ?? null,
      preferred: addressName(node.address, name?.industryGroup) ?? null,
      firstTime: node.firstTime,
      texts,
    }
  })
}

function describeStream(stream: StreamFacts, channel: (number: number) => string): StreamInfo {
  const { priority, pgn, sa, da, count, firstTime, lastTime, silence, group } = stream
  const period = count > 1 && firstTime !== null && lastTime !== null ? (lastTime - firstTime) / (count - 1) : null
  return {
    channel: channel(stream.channel),
    priority,
    pgn,
    sa,
    da,
    acronym: group?.acronym ?? null,
    name: group?.name ?? null,
    count,
    firstTime,
    lastTime,
    period,
    silence: silence && { ...silence },
  }
}

function describeSignal(signal: SignalFacts, channel: (number: number) => string): SignalInfo {
  const { group, definition, stream, instance, valid } = signal
  const { kind } = definition
  if (kind === 'text' || kind === 'bytes') throw new TypeError(`a signal of kind ${kind} has no columns`)
  return {
    channel: channel(stream.channel),
    sa: stream.sa,
    da: stream.da,
    pgn: stream.pgn,
    spn: definition.spn,
    ...(instance === undefined ? {} : { instance }),
    group: group.acronym,
    name: definition.name,
    kind,
    unit: kind === 'numeric' ? definition.unit : null,
    resolution: kind === 'numeric' ? definition.resolution : null,
    ...(kind === 'state' ? { labels: { ...definition.states } } : {}),
    ...(kind === 'bit-field' ? { flags: [...definition.flags] } : {}),
    count: stream.count,
    valid,
  }
}
