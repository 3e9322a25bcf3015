/** A summary for people: first what matters, then the details. */
import {
  abortReason,
  type LogSummary,
  NODE_EVENTS,
  NULL_ADDRESS,
  PROBLEMS,
  TRANSPORT_EVENTS,
  type TransportCode,
} from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import type { FaultReport } from './fault-report.js'
import { faultLines, verdictText } from './faults-text.js'
import { nodeText } from './names.js'
import { nodesText } from './nodes-text.js'
import { frameCounts, incompleteCount } from './summary-counts.js'
import { capital, count, firstFew, labelled, listing, percent, plural, wrap } from './text.js'
import { durationText, isAbsolute, momentText, secondsText } from './time.js'
import { type ChannelTraffic, channelTraffic, type Verdict, verdictOf } from './verdict.js'

/** The whole summary. */
export function summaryText(report: FaultReport): string[] {
  const { summary } = report
  if (summary.counts.lines === 0 && summary.problems.counts.length === 0) return ['The log is empty.']
  if (frameCounts(summary).total === 0) return [...noFramesText(summary), '', ...problemsText(summary)]
  const hasNodes = summary.nodes.length > 0
  return [
    ...headText(report),
    '',
    ...framesText(summary),
    ...problemsText(summary),
    ...clockText(summary),
    ...loadText(summary),
    ...(hasNodes ? [...transportText(summary), ...requestsText(report), ...addressesText(report)] : []),
    ...(summary.episodes.length === 0 ? [] : ['', 'Faults (more: firstcrank faults)', ...faultLines(report)]),
    ...(hasNodes ? ['', ...nodesText(report)] : []),
  ]
}

/** Is it J1939, how long, which nodes, any fault. */
function headText(report: FaultReport): string[] {
  const { summary } = report
  return [
    ...wrap(lengthText(summary)),
    ...channelTraffic(summary).flatMap((traffic, channel) => [
      ...wrap(`${traffic.name}: ${VERDICTS[verdictOf(traffic)]}; ${knownText(traffic)}.`),
      ...speakersText(summary, channel),
    ]),
    ...(summary.nodes.length === 0 ? [] : wrap(verdictText(report))),
  ]
}

const VERDICTS: Readonly<Record<Verdict, string>> = {
  yes: 'J1939',
  doubtful: 'perhaps not J1939',
  no: 'no J1939',
}

/** Nodes named in the first lines. */
const NODES_NAMED = 8

function speakersText(summary: LogSummary, channel: number): string[] {
  const speakers = summary.nodes.filter((node) => node.channel === channel && node.sa < NULL_ADDRESS)
  if (speakers.length === 0) return []
  const named = speakers.map(({ sa, name }) => nodeText(sa, name))
  return wrap(`${plural(speakers.length, 'node')}: ${firstFew(named, NODES_NAMED)}.`, '  ')
}

function knownText({ extended, defined, proprietary }: ChannelTraffic): string {
  if (extended === 0) return 'no frame with a 29-bit identifier'
  const own = proprietary === 0 ? '' : `, ${percent(proprietary / extended)} of ones only their makers define`
  return `${percent(defined / extended)} of its frames are of groups known here${own}`
}

function noFramesText({ counts }: LogSummary): string[] {
  return wrap(
    `No frame in ${plural(counts.lines, 'line')}. firstcrank reads the text that candump writes, plain or gzip.`,
  )
}

function lengthText({ clock, channels }: LogSummary): string {
  const where = `on ${listing(channels)}`
  if (clock.first === undefined || clock.last === undefined) return `A log without times, ${where}.`
  const from = isAbsolute(clock.first) ? momentText(clock.first) : `${secondsText(clock.first)} (the log has no date)`
  return `${capital(durationText(clock.last - clock.first))} from ${from}, ${where}.`
}

function framesText(summary: LogSummary): string[] {
  const { total, extended, standard, remote, error, fd } = frameCounts(summary)
  const kinds: readonly (readonly [number, string])[] = [
    [extended, 'with 29-bit identifiers'],
    [standard, 'with 11-bit identifiers (not J1939, skipped)'],
    [remote, 'remote (skipped)'],
    [fd, 'CAN FD (skipped)'],
    [error, 'error'],
  ]
  const parts = kinds.flatMap(([number, kind]) => (number === 0 ? [] : [`${count(number)} ${kind}`]))
  const noErrors = error === 0 ? ' Error frames: none recorded; many recorders leave them out.' : ''
  return labelled('Frames', `${count(total)}: ${parts.join(', ')}.${noErrors}`)
}

/** Examples of each kind of problem that are shown. */
const EXAMPLES = 2

function problemsText({ counts, problems }: LogSummary): string[] {
  const { lines, blank, comments, malformed } = counts
  const others = [
    ...(blank > 0 ? [`${count(blank)} blank`] : []),
    ...(comments > 0 ? [`${plural(comments, 'comment')}`] : []),
  ]
  const torn = problems.counts.reduce((sum, problem) => (problem.lost ? sum : sum + problem.count), 0)
  const lost = malformed === 0 ? [] : [`${count(malformed)} could not be read`]
  const inPart = torn === 0 ? [] : [`${count(torn)} ${malformed === 0 ? 'could be read ' : ''}only in part`]
  const read = [...lost, ...inPart].join(', ') || 'all could be read'
  const also = others.length === 0 ? '' : ` (${listing(others)})`
  return [
    ...labelled('Lines', `${count(lines)}${also}: ${read}.`),
    ...problems.counts.flatMap(({ code, count: met }) => [
      ...labelled('', `${count(met)} ${code}: ${PROBLEMS.find((problem) => problem.code === code)?.meaning}`),
      ...problems.first
        .filter((problem) => problem.code === code)
        .slice(0, EXAMPLES)
        .map(({ line, text }) => `${' '.repeat(16)}line ${line}${text === '' ? '' : `: ${text}`}`),
    ]),
  ]
}

/** Holes, jumps and steps shown one by one. */
const CLOCK_EVENTS = 5

function clockText({ clock }: LogSummary): string[] {
  const { first, deltas, untimed, backwards, steps, holes, jumps, strays } = clock
  if (first === undefined) return labelled('Clock', 'no line has a time: periods, gaps and load cannot be told.')
  const gaps = (list: typeof holes): string => {
    const shown = list.kept.slice(0, CLOCK_EVENTS)
    const each = shown.map(({ from, to }) => `${durationText(to - from)} from ${secondsText(from - first)}`)
    return `${each.join(', ')}${list.total > shown.length ? ', ...' : ''}`
  }
  const parts = [
    ...(deltas ? ['times were taken as differences and summed'] : []),
    ...(untimed > 0 ? [`${plural(untimed, 'line')} without a time`] : []),
    ...(holes.total > 0
      ? [`${plural(holes.total, 'hole')}, all nodes silent, probably the recorder: ${gaps(holes)}`]
      : []),
    ...(jumps.total > 0 ? [`${plural(jumps.total, 'jump')} of more than a day: ${gaps(jumps)}`] : []),
    ...(strays.total > 0
      ? [`${plural(strays.total, 'line')} more than a day ahead of all others, taken at the latest time before`]
      : []),
    ...(steps.total > 0
      ? [
          `set back ${plural(steps.total, 'time')}, first by ${durationText(steps.kept[0]?.step ?? 0)} at ${secondsText((steps.kept[0]?.at ?? first) - first)}; later times are continued from there`,
        ]
      : []),
    ...(backwards.count > 0
      ? [`${plural(backwards.count, 'line')} up to ${secondsText(backwards.largest)} behind an earlier one`]
      : []),
  ]
  return parts.length === 0
    ? labelled('Clock', 'runs on without a hole.')
    : parts.flatMap((part, at) => labelled(at === 0 ? 'Clock' : '', `${part}.`))
}

const BASES = { given: 'as given', inferred: 'inferred from the traffic', assumed: 'assumed' } as const

function loadText({ loads, channels, clock }: LogSummary): string[] {
  return loads.flatMap(({ channel, bitRate, mean, maximum }, at) => {
    const rate = `at ${bitRate.value / 1000} kbit/s (${BASES[bitRate.basis]})`
    const name = channels.length > 1 ? `${channels[channel]}: ` : ''
    const busiest = `${percent(maximum.load)} in the busiest second, ${secondsText(Math.max(0, maximum.time - (clock.first ?? 0)))} in`
    const text = mean === null ? `${name}too short to tell` : `${name}${percent(mean)} on average, ${busiest}, ${rate}`
    return labelled(at === 0 ? 'Bus load' : '', `${text}.`)
  })
}

function transportText(summary: LogSummary): string[] {
  const { completed, byCode } = summary.transport
  const incomplete = incompleteCount(summary)
  const kept = `${plural(completed, 'message')} put together, ${incomplete === 0 ? 'none' : count(incomplete)} incomplete.`
  return [
    ...labelled('Multi-packet', kept),
    ...[...byCode].flatMap(([code, number]) => [
      ...labelled('', `${count(number)} ${code}: ${TRANSPORT_EVENTS[code].meaning}`),
      ...abortReasons(summary, code),
    ]),
  ]
}

/** Why connections were aborted, each reason once. */
function abortReasons({ events, eventsDropped }: LogSummary, code: TransportCode): string[] {
  const times = new Map<number, number>()
  for (const event of events) {
    if (event.kind !== 'transport' || event.code !== code || event.reason === null) continue
    times.set(event.reason, (times.get(event.reason) ?? 0) + 1)
  }
  const among = eventsDropped > 0 ? ` among the first ${count(events.length)} events` : ''
  return [...times].flatMap(([reason, number]) =>
    labelled('', `reason ${reason}, ${plural(number, 'time')}${among}: ${abortReason(reason)}`, 16),
  )
}

/** Questions without an answer that are shown. */
const UNANSWERED_SHOWN = 6

function requestsText({ summary, nameOf }: FaultReport): string[] {
  const { requests } = summary
  if (requests.length === 0) return labelled('Requests', 'none.')
  const sum = (of: (row: (typeof requests)[number]) => number): number =>
    requests.reduce((all, row) => all + of(row), 0)
  const refusedBy = ({ refused }: (typeof requests)[number]): number =>
    refused.negative + refused.accessDenied + refused.cannotRespond
  const [answered, refused] = [sum((row) => row.answered + row.acknowledged), sum(refusedBy)]
  const unanswered = sum((row) => row.unanswered)
  const open = requests.filter((row) => row.unanswered > 0 || refusedBy(row) > 0)
  const lines = open.map((row) => {
    const asked = row.asked === 255 ? 'all nodes' : nodeText(row.asked, nameOf(row.channel, row.asked))
    const asker = nodeText(row.asker, nameOf(row.channel, row.asker))
    const parts = [
      ...(refusedBy(row) > 0 ? [`${count(refusedBy(row))} refused`] : []),
      ...(row.unanswered > 0 ? [`${count(row.unanswered)} unanswered`] : []),
    ]
    const group = findGroup(row.pgn)?.acronym
    const what = group === undefined ? `PGN ${row.pgn}` : `PGN ${row.pgn} (${group})`
    return `${capital(asker)} asked ${asked} for ${what} ${plural(row.requests, 'time')}: ${listing(parts)}`
  })
  const more = lines.length - UNANSWERED_SHOWN
  return [
    ...labelled(
      'Requests',
      `${count(sum((row) => row.requests))} asked, ${count(answered)} answered, ${count(refused)} refused, ${count(unanswered)} unanswered.`,
    ),
    ...lines.slice(0, UNANSWERED_SHOWN).flatMap((line) => labelled('', line)),
    ...(more > 0 ? labelled('', `and ${plural(more, 'other question')} without an answer`) : []),
  ]
}

/** Events of addresses that are nothing out of the ordinary. */
const ORDINARY: ReadonlySet<string> = new Set(['claimed', 'confirmed'])
const ADDRESS_EVENTS_SHOWN = 6

function addressesText({ summary, start }: FaultReport): string[] {
  const unusual = summary.events.flatMap((event) => (event.kind === 'node' && !ORDINARY.has(event.code) ? [event] : []))
  const lines = unusual.slice(0, ADDRESS_EVENTS_SHOWN).map(({ code, address, time }) => {
    const which = address === null ? 'no address' : `address ${address}`
    return `${secondsText(time - start)}, ${which}, ${code}: ${NODE_EVENTS[code]}`
  })
  const more = unusual.length - lines.length
  return [...lines, ...(more > 0 ? [`and ${count(more)} more`] : [])].flatMap((line, at) =>
    labelled(at === 0 ? 'Addresses' : '', line),
  )
}
