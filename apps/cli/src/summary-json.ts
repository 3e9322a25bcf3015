/** The machine-readable form of a summary. Fields are documented in `docs/formats.md`. */
import {
  type BusEvent,
  type GroupSummary,
  isProprietaryGroup,
  type LogSummary,
  type Name,
  type NodeSummary,
} from '@firstcrank/decoder'
import { nodeRole } from '@firstcrank/decoder/catalog'
import type { FaultReport } from './fault-report.js'
import { faultFields } from './faults-json.js'
import { type Json, Seconds, seconds } from './json.js'
import { nameFunction, nameValue } from './names.js'
import { frameCounts, incompleteCount } from './summary-counts.js'
import { channelTraffic, verdictOf } from './verdict.js'

/** Version of the output of `summary --format json`. */
const VERSION = 1

/** What `summary --format json` writes. */
export function summaryJson(report: FaultReport): Json {
  const { summary } = report
  return {
    schema: 'firstcrank.summary',
    version: VERSION,
    frames: framesJson(summary),
    lines: linesJson(summary),
    problems: problemsJson(summary),
    channels: channelTraffic(summary).map((traffic) => ({ ...traffic, j1939: verdictOf(traffic) })),
    time: timeJson(summary),
    nodes: summary.nodes.map((node) => nodeJson(node, summary)),
    groups: summary.nodes.flatMap((node) => node.groups.map((group) => groupJson(group, summary))),
    transport: transportJson(summary),
    requests: summary.requests.map(({ channel, firstTime, lastTime, fastest, slowest, refused, ...row }) => ({
      channel: channelName(summary, channel),
      ...row,
      refused: { ...refused },
      firstTime: new Seconds(firstTime),
      lastTime: new Seconds(lastTime),
      fastest: seconds(fastest),
      slowest: seconds(slowest),
    })),
    busLoad: busLoadJson(summary),
    faults: faultFields(report),
    events: summary.events.flatMap((event) => (event.kind === 'clear' ? [] : [eventJson(event, summary)])),
    eventsDropped: summary.eventsDropped,
  }
}

function framesJson(summary: LogSummary): Json {
  return { ...frameCounts(summary) }
}

function linesJson({ counts }: LogSummary): Json {
  const { lines, blank, comments, malformed } = counts
  return { total: lines, blank, comments, malformed, frames: lines - blank - comments - malformed }
}

function problemsJson({ problems }: LogSummary): Json {
  return {
    total: problems.counts.reduce((sum, { count }) => sum + count, 0),
    byCode: Object.fromEntries(problems.counts.map(({ code, count }) => [code, count])),
    first: problems.first.map(({ code, line, text }) => ({ code, line, text })),
  }
}

function timeJson({ clock }: LogSummary): Json {
  const { first, last, deltas, dated, untimed, backwards, steps, holes, jumps, strays } = clock
  const gap = ({ from, to }: { readonly from: number; readonly to: number }): Json => ({
    from: new Seconds(from),
    to: new Seconds(to),
  })
  return {
    first: seconds(first),
    last: seconds(last),
    duration: first === undefined || last === undefined ? null : new Seconds(last - first),
    deltas,
    dated,
    untimed,
    backwards: { count: backwards.count, largest: new Seconds(backwards.largest) },
    steps: {
      total: steps.total,
      first: steps.kept.map(({ at, step }) => ({ at: new Seconds(at), step: new Seconds(step) })),
    },
    holes: { total: holes.total, first: holes.kept.map(gap) },
    jumps: { total: jumps.total, first: jumps.kept.map(gap) },
    strays: {
      total: strays.total,
      first: strays.kept.map(({ at, printed }) => ({ at: new Seconds(at), printed: new Seconds(printed) })),
    },
  }
}

function nodeJson(node: NodeSummary, summary: LogSummary): Json {
  return {
    channel: channelName(summary, node.channel),
    sa: node.sa,
    usually: nodeRole(node.sa) ?? null,
    name: node.name === null ? null : nameJson(node.name),
    held: node.holdings.map(({ name, from, until }) => ({
      name: nameValue(name),
      from: new Seconds(from),
      until: seconds(until),
    })),
    firstSeen: new Seconds(node.firstTime),
    lastSeen: new Seconds(node.lastTime),
    frames: node.frames,
    identifications: node.identifications.map(({ kind, pgn, fields }) => ({
      kind,
      pgn,
      fields: fields.map(({ spn, name, status, text }) => ({ spn, name, status, text })),
    })),
  }
}

/** A NAME, its number in hexadecimal and its fields. */
function nameJson(name: Name): Json {
  const { value, ...fields } = name
  return { value: nameValue(name), ...fields, says: nameFunction(name), bits: value.toString(2).padStart(64, '0') }
}

function groupJson(group: GroupSummary, summary: LogSummary): Json {
  const { pgn, sa, da, priority, count, frames, firstTime, lastTime, intervals, definition } = group
  const { period, jitter, gaps, longestGaps } = intervals
  return {
    channel: channelName(summary, group.channel),
    sa,
    da,
    pgn,
    acronym: definition?.acronym ?? null,
    name: definition?.name ?? null,
    defined: definition !== undefined,
    proprietary: isProprietaryGroup(pgn),
    priority,
    count,
    frames,
    firstSeen: new Seconds(firstTime),
    lastSeen: new Seconds(lastTime),
    period: seconds(period),
    jitter: seconds(jitter),
    gaps,
    longestGaps: longestGaps.map(({ from, to }) => ({ from: new Seconds(from), to: new Seconds(to) })),
  }
}

function transportJson(summary: LogSummary): Json {
  const { completed, byCode } = summary.transport
  return { completed, incomplete: incompleteCount(summary), byCode: Object.fromEntries<number>(byCode) }
}

function busLoadJson(summary: LogSummary): Json {
  return summary.loads.map(({ channel, bitRate, observed, maximum, ...load }) => ({
    channel: channelName(summary, channel),
    bitRate: { ...bitRate },
    ...load,
    observed: new Seconds(observed * 1e6),
    maximum: { load: maximum.load, time: new Seconds(maximum.time) },
  }))
}

function eventJson(event: Exclude<BusEvent, { kind: 'clear' }>, summary: LogSummary): Json {
  const { kind, code, time } = event
  const common = { kind, code, channel: channelName(summary, event.channel), t: new Seconds(time) }
  if (event.kind === 'node') {
    const { address, name, holder, previous } = event
    return { ...common, address, name: name && nameValue(name), holder: holder && nameValue(holder), previous }
  }
  const { sa, da, pgn, transport, size, packets, received, reason } = event
  return { ...common, sa, da, pgn, transport, size, packets, received, reason }
}

function channelName({ channels }: LogSummary, channel: number): string {
  return channels[channel] ?? ''
}
