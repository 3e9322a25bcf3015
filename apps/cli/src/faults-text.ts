/** Faults for people: what, since when, until when, and what the recording cannot say. */
import type { ClearEvent, Episode } from '@firstcrank/decoder'
import { cautionsFor } from './cautions.js'
import { litLamps } from './diagnostic-text.js'
import type { Fault, FaultReport } from './fault-report.js'
import { destinationText, faultTitle, fmiMeaning, fmiPlain, nodeText } from './names.js'
import { whyNoFrames } from './no-frames.js'
import { reportsText } from './reports-text.js'
import { frameCounts } from './summary-counts.js'
import { count, cut, listing, plural, table, wrap } from './text.js'
import { durationText, momentText, secondsText } from './time.js'

/**
 * What the faults of each kind of list are called, in the order they are shown. Only DM1 is sent all the
 * time; the others come when somebody asks, so their last list is as far as knowledge goes.
 */
const LISTS: readonly (readonly [source: Episode['source'], title: string])[] = [
  ['DM1', 'Active'],
  ['DM12', 'Emissions-related and active (DM12)'],
  ['DM6', 'Emissions-related and pending (DM6)'],
  ['DM27', 'Pending (DM27)'],
  ['DM28', 'Permanent (DM28)'],
  ['DM2', 'Previously active (DM2): kept by the node, from this run or from before'],
  ['DM23', 'Emissions-related and previously active (DM23): kept by the node'],
]

/** The whole report. */
export function faultsText(report: FaultReport): string[] {
  return [
    ...headText(report),
    ...LISTS.flatMap(([source, title]) => [
      ...sectionText(
        `${title}; ${source === 'DM1' ? 'still listed at the end' : 'in the last list'}`,
        report,
        source,
        true,
      ),
      ...sectionText(`${title}; listed for a time and then no more`, report, source, false),
    ]),
    ...lampsOnlyText(report),
    ...reportsText(report),
    ...clearsText(report),
    ...cautionsFor(report.summary).flatMap((caution) => ['', ...wrap(caution)]),
  ]
}

function headText(report: FaultReport): string[] {
  const { clock, counts, problems } = report.summary
  const { first, last } = clock
  const none = whyNoFrames(counts, problems.counts.length)
  if (none !== undefined) {
    const others = frameCounts(report.summary).total > 0 ? ', and J1939 uses no other' : ''
    return wrap(`No faults can be told: ${none}${others}.`)
  }
  const times =
    first === undefined || last === undefined
      ? 'The log has no times.'
      : `The log is ${durationText(last - first)} long; times count from its first frame, ${momentText(first)}.`
  return [...wrap(verdictText(report)), ...wrap(lampsText(report)), ...wrap(times)]
}

/** Which faults were active, who said so, and what nobody said. */
export function verdictText({ faults, nodes }: Pick<FaultReport, 'faults' | 'nodes'>): string {
  const { reporting, silent } = nodes
  if (reporting.length === 0) return 'No node sent DM1, the list of active faults: whether there are any is not known.'
  const whose = silent.length === 1 ? 'its faults' : 'theirs'
  const others =
    silent.length === 0 ? '' : `; ${plural(silent.length, 'node')} sent no DM1, so nothing is known of ${whose}`
  const active = faults.filter(({ source }) => source === 'DM1')
  if (active.length === 0) {
    const doubt = 'A fault that is not in the recording may still be there.'
    return `No active fault was reported by ${plural(reporting.length, 'node')}${others}. ${doubt}`
  }
  const open = active.filter(({ isOpen }) => isOpen).length
  const episodes = active.reduce((sum, fault) => sum + fault.episodes.length, 0)
  const repeats = episodes > active.length ? ` in ${plural(episodes, 'episode')}` : ''
  const atEnd = open === 0 ? 'none' : count(open)
  const said = `${plural(reporting.length, 'node')} sent DM1, the list of active faults${others}.`
  return `${plural(active.length, 'active fault')} reported${repeats}, ${atEnd} still active at the end. ${said}`
}

/** The lamps that nodes asked for in their last DM1. */
function lampsText({ summary, nameOf, where }: FaultReport): string {
  if (!summary.lamps.some(({ source }) => source === 'DM1')) return 'Lamps: not known, no node reported them.'
  const lit = summary.lamps.flatMap(({ channel, sa, source, changes }) => {
    const lamps = source === 'DM1' ? litLamps(changes.at(-1)?.lamps) : []
    return lamps.length === 0 ? [] : [`${listing(lamps)} from ${nodeText(sa, nameOf(channel, sa))}${where(channel)}`]
  })
  return lit.length === 0 ? 'Lamps at the end: none is on.' : `Lamps at the end: ${lit.join('; ')}.`
}

function sectionText(title: string, report: FaultReport, source: Episode['source'], isOpen: boolean): string[] {
  const faults = report.faults.filter((fault) => fault.source === source && fault.isOpen === isOpen)
  return faults.length === 0 ? [] : ['', title, ...faults.flatMap((fault) => faultText(fault, report))]
}

function faultText({ spn, fmi, sa, channel, episodes }: Fault, report: FaultReport): string[] {
  const lit = new Set(episodes.flatMap((episode) => episode.lamps.flatMap(({ lamps }) => litLamps(lamps))))
  const ambiguous = episodes.find((episode) => episode.ambiguous)
  return [
    '',
    ...wrap(`${faultTitle(spn, report.own)}: ${fmiMeaning(fmi)}`, '  '),
    ...wrap(`SPN ${spn} FMI ${fmi}, ${nodeText(sa, report.nameOf(channel, sa))}${report.where(channel)}`, '    '),
    ...wrap(fmiPlain(fmi), '    '),
    ...(lit.size === 0 ? [] : wrap(`Lamps the node asked for meanwhile: ${listing([...lit])}.`, '    ')),
    ...(ambiguous === undefined ? [] : wrap(readingsText(ambiguous), '    ')),
    ...episodesText(episodes, report),
  ]
}

/** Episodes of one fault shown one by one. */
const EPISODES_SHOWN = 12
/**
 * Silence of a node, in microseconds, after which it is said that it no longer spoke: three of DM1's
 * periods of a second (engine maker's published J1939 chapter). Three: common practice.
 */
const LONG_UNSEEN = 3_000_000
const EPISODE_COLUMNS = [
  { title: 'first seen', align: 'right' },
  { title: 'last seen', align: 'right' },
  { title: 'off the list', align: 'right' },
  { title: "node's own count of occurrences" },
] as const

function episodesText(episodes: readonly Episode[], { start, summary }: FaultReport): string[] {
  const rows = episodes.slice(0, EPISODES_SHOWN).map((episode) => {
    const { firstSeen, lastSeen, clearedAt } = episode
    const end = clearedAt === null ? 'still listed' : secondsText(clearedAt - start)
    return [secondsText(firstSeen - start), secondsText(lastSeen - start), end, countsText(episode)]
  })
  const more = episodes.length - rows.length
  return [
    ...table(EPISODE_COLUMNS, rows, '    '),
    ...(more > 0 ? [`    and ${plural(more, 'more episode')}; --format json has them all`] : []),
    ...doubtsText(episodes, summary).flatMap((line) => wrap(line, '    ')),
  ]
}

/** What the recording cannot say of an active fault: whether it was there before, and when it ended. */
function doubtsText(episodes: readonly Episode[], { lamps }: FaultReport['summary']): string[] {
  const [{ channel, sa, source, firstSeen }, { unseen }] = [episodes[0] as Episode, episodes.at(-1) as Episode]
  if (source !== 'DM1') return []
  const history = lamps.find((one) => one.channel === channel && one.sa === sa && one.source === source)
  const isInFirstList = history?.changes[0]?.time === firstSeen
  const isSilent = (unseen ?? 0) > LONG_UNSEEN
  return [
    ...(isInFirstList ? ["It was in the node's first list, so it may be older than the recording."] : []),
    ...(isSilent
      ? [`The node sent no list in the ${durationText(unseen ?? 0)} after that: its end was not seen.`]
      : []),
  ]
}

function countsText({ occurrenceCounts }: Episode): string {
  const [first, ...later] = occurrenceCounts.flatMap((change) => (change.count === null ? [] : [change.count]))
  if (first === undefined) return 'not counted'
  return later.length === 0 ? String(first) : `${first}, rising to ${later.at(-1)}`
}

function readingsText({ readings }: Episode): string {
  const others = readings.map(({ version, spn }) => `SPN ${spn} (version ${version})`)
  return `The node writes the SPN in an old way, which can be read as ${others.join(' or ')}; the likeliest is shown.`
}

function lampsOnlyText({ lampsWithoutFault, start, nameOf, where }: FaultReport): string[] {
  if (lampsWithoutFault.length === 0) return []
  const lines = lampsWithoutFault.map(({ channel, sa, change }) => {
    const lamps = listing(litLamps(change.lamps))
    return `${nodeText(sa, nameOf(channel, sa))}${where(channel)}: ${lamps} from ${secondsText(change.time - start)}`
  })
  return ['', 'Lamps asked for without a fault listed', ...lines.flatMap((line) => wrap(line, '  '))]
}

/** Commands shown one by one. */
const CLEARS_SHOWN = 10

function clearsText(report: FaultReport): string[] {
  const { clears, start } = report
  if (clears.length === 0) return []
  const lines = clears
    .slice(0, CLEARS_SHOWN)
    .map((event) => `${secondsText(event.time - start)}  ${clearText(event, report)}`)
  const more = clears.length - lines.length
  return [
    '',
    'Commands to clear faults (clearing is not repairing)',
    ...[...lines, ...(more > 0 ? [`and ${count(more)} more`] : [])].flatMap((line) => wrap(line, '  ')),
  ]
}

function clearText({ channel, sa, da, command }: ClearEvent, { nameOf, where }: FaultReport): string {
  const who = `${nodeText(sa, nameOf(channel, sa))} to ${destinationText(da, nameOf(channel, da))}${where(channel)}`
  if (command.kind === 'clear') return `${who}: clear ${command.clears.replaceAll('-', ' ')} faults (DM${command.dm})`
  const fault = command.fault === null ? '' : `, SPN ${command.fault.spn} FMI ${command.fault.fmi}`
  return `${who}: ${(command.action ?? 'unreadable').replaceAll('-', ' ')}${fault} (DM${command.dm})`
}

/** Faults shown in the summary, and the width of their names there. */
const LINES_SHOWN = 12
const TITLE_WIDTH = 64

/** One line for each fault: for the summary. */
export function faultLines({ faults, start, own, summary }: FaultReport): string[] {
  const several = new Set(faults.map(({ channel }) => channel)).size > 1
  const rows = faults
    .slice(0, LINES_SHOWN)
    .map(({ channel, source, sa, spn, fmi, episodes, isOpen }) => [
      source,
      String(sa),
      String(spn),
      String(fmi),
      cut(`${faultTitle(spn, own)}: ${fmiMeaning(fmi)}`, TITLE_WIDTH),
      secondsText((episodes[0] as Episode).firstSeen - start),
      isOpen ? 'end' : secondsText((episodes.at(-1)?.clearedAt ?? start) - start),
      count(episodes.length),
      ...(several ? [summary.channels[channel] ?? ''] : []),
    ])
  const more = faults.length - rows.length
  const columns = [
    { title: 'list' },
    { title: 'node', align: 'right' },
    { title: 'SPN', align: 'right' },
    { title: 'FMI', align: 'right' },
    { title: 'fault' },
    { title: 'from', align: 'right' },
    { title: 'until', align: 'right' },
    { title: 'episodes', align: 'right' },
    ...(several ? [{ title: 'on' }] : []),
  ] as const
  return [...table(columns, rows), ...(more > 0 ? [`  and ${count(more)} more; see firstcrank faults`] : [])]
}
