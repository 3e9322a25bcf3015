/** What is in a log, without its values: from one pass in constant memory, or from a recording. */

import { NULL_ADDRESS } from '../bus/identifier.js'
import type { ChannelLoad } from '../bus/load.js'
import type { Name } from '../bus/name.js'
import type { Holding } from '../bus/nodes.js'
import type { RequestRow } from '../bus/requests.js'
import type { TransportCode } from '../bus/transport-events.js'
import { Catalogue } from '../catalog/catalogue.js'
import type { GroupDefinition } from '../catalog/definition.js'
import type { Episode, LampHistory } from '../diagnostics/episodes.js'
import type { ClockReport } from '../log/clock.js'
import type { Problem, ProblemCount } from '../log/problem.js'
import type { ReaderCounts } from '../log/reader.js'
import type { DiagnosticReport } from './diagnostic-reports.js'
import { EventList } from './event-list.js'
import type { BusEvent } from './events.js'
import type { NodeIdentification } from './identifications.js'
import { createLogDecoder, type LogDecoder, type LogOptions, readThrough } from './log-decoder.js'
import type { LogSource } from './source.js'
import { type StreamTraffic, Traffic } from './traffic.js'

/** What making a summary takes. */
export interface SummaryOptions extends LogOptions {
  /** A person's own definitions. */
  readonly definitions?: readonly GroupDefinition[]
  /** Bits per second of every channel, where it is known. */
  readonly bitRate?: number
}

/** A group some node sends. */
export interface GroupSummary extends StreamTraffic {
  /** Undefined where the catalogue does not have it. */
  readonly definition: GroupDefinition | undefined
}

/** One source address on one channel. */
export interface NodeSummary {
  readonly channel: number
  readonly sa: number
  /** The NAME that holds the address at the end of the log, or held it last; null where none claimed it. */
  readonly name: Name | null
  /** Who held the address when, in order of time. */
  readonly holdings: readonly Holding[]
  /** Microseconds. */
  readonly firstTime: number
  readonly lastTime: number
  /** Frames it sent. */
  readonly frames: number
  readonly identifications: readonly NodeIdentification[]
  /** In order of PGN. Messages of several frames are beside the transport frames that carried them. */
  readonly groups: readonly GroupSummary[]
}

/** What is in a log. Times are microseconds since the epoch, or since the log's own zero. */
export interface LogSummary {
  /** Names of the interfaces, by channel number. */
  readonly channels: readonly string[]
  readonly counts: Readonly<ReaderCounts>
  readonly problems: { readonly counts: readonly ProblemCount[]; readonly first: readonly Problem[] }
  readonly clock: ClockReport
  readonly nodes: readonly NodeSummary[]
  readonly loads: readonly ChannelLoad[]
  readonly transport: { readonly completed: number; readonly byCode: ReadonlyMap<TransportCode, number> }
  readonly requests: readonly RequestRow[]
  readonly episodes: readonly Episode[]
  readonly lamps: readonly LampHistory[]
  /** What nodes said in other diagnostic messages, each content once, in the order they were first sent. */
  readonly reports: readonly DiagnosticReport[]
  /** Messages whose content is not kept. */
  readonly reportsDropped: number
  /** Claims, clear commands, transport failures and the like, in order of time; the first ones. */
  readonly events: readonly BusEvent[]
  /** Events beyond those kept. */
  readonly eventsDropped: number
}

/**
 * Reads a log once and says what is in it, in constant memory.
 *
 * @throws {LogSourceError} `not-a-source`
 */
export async function summarizeLog(source: LogSource, options: SummaryOptions = {}): Promise<LogSummary> {
  const events = new EventList()
  let traffic: Traffic | undefined
  const log = createLogDecoder(({ keys }) => {
    const taken = new Traffic(keys, options)
    traffic = taken
    return {
      frames: (batch, from, to) => taken.frames(batch, from, to),
      assembled: (message) => taken.assembled(message),
      other: (frame) => taken.other(frame),
      event: (event) => events.add(event),
    }
  }, options)
  for await (const _ of readThrough(log, source, options));
  return buildSummary(log, traffic as Traffic, events, new Catalogue(options.definitions))
}

/** Puts a summary together from what was collected. */
export function buildSummary(
  { reader, bus }: LogDecoder,
  traffic: Traffic,
  events: EventList,
  catalogue: Catalogue,
): LogSummary {
  return {
    channels: reader.keys.channels,
    counts: reader.counts,
    problems: { counts: reader.problems.counts(), first: reader.problems.kept },
    clock: reader.clock,
    nodes: nodesOf(bus, traffic.streams(reader.clock.first !== undefined), catalogue),
    loads: traffic.loads(),
    transport: bus.transportCounts,
    requests: bus.requests.results(),
    episodes: bus.episodes.list,
    lamps: bus.episodes.lampHistories,
    reports: bus.reports.list(),
    reportsDropped: bus.reports.dropped,
    events: events.sorted(),
    eventsDropped: events.dropped,
  }
}

function nodesOf(bus: LogDecoder['bus'], streams: readonly StreamTraffic[], catalogue: Catalogue): NodeSummary[] {
  const records = new Map(bus.nodes.nodes().map((record) => [record.channel * 256 + record.address, record]))
  const byNode = new Map<number, StreamTraffic[]>()
  for (const stream of streams) {
    const key = stream.channel * 256 + stream.sa
    const others = byNode.get(key)
    if (others === undefined) byNode.set(key, [stream])
    else others.push(stream)
  }
  return [...byNode]
    .sort(([a], [b]) => a - b)
    .map(([key, sent]) => {
      const channel = Math.floor(key / 256)
      const sa = key % 256
      const holdings = records.get(key)?.holdings ?? []
      return {
        channel,
        sa,
        name: sa === NULL_ADDRESS ? null : (holdings.at(-1)?.name ?? null),
        holdings,
        firstTime: Math.min(...sent.map((stream) => stream.firstTime)),
        lastTime: Math.max(...sent.map((stream) => stream.lastTime)),
        frames: sent.reduce((sum, stream) => sum + stream.frames, 0),
        identifications: bus.identifications.list.filter((entry) => entry.channel === channel && entry.sa === sa),
        groups: sent
          .map((stream) => ({ ...stream, definition: catalogue.find(stream.pgn) }))
          .sort((a, b) => a.pgn - b.pgn || a.da - b.da),
      }
    })
}
