/** The machine-readable forms of faults. Fields are documented in `docs/formats.md`. */
import type { ClearEvent, DiagnosticReport, Episode, LampChange } from '@firstcrank/decoder'
import { diagnosticGroup, LAMPS } from '@firstcrank/decoder'
import { nodeRole } from '@firstcrank/decoder/catalog'
import type { FaultReport, NodeKey } from './fault-report.js'
import { type Json, Seconds, seconds } from './json.js'
import { fmiMeaning, spnName } from './names.js'
import { plain } from './plain.js'

/** Version of the output of `faults --format json`. */
const VERSION = 1

/** What `faults --format json` writes. */
export function faultsJson(report: FaultReport): Json {
  const { first, last } = report.summary.clock
  return {
    schema: 'firstcrank.faults',
    version: VERSION,
    time: { first: seconds(first), last: seconds(last) },
    ...faultFields(report),
  }
}

/** The fields that `faults` and `summary` share. */
export function faultFields(report: FaultReport): { readonly [key: string]: Json } {
  const { summary, nodes, clears, lampsWithoutFault } = report
  const channelOf = (channel: number): string => summary.channels[channel] ?? ''
  const node = ({ channel, sa }: NodeKey): { readonly [key: string]: Json } => ({ channel: channelOf(channel), sa })
  return {
    episodes: summary.episodes.map((episode) => ({ ...node(episode), ...episodeFields(episode, report) })),
    nodes: { reporting: nodes.reporting.map(node), silent: nodes.silent.map(node) },
    lampsWithoutFault: lampsWithoutFault.map((lamp) => ({ ...node(lamp), ...lampFields(lamp.change) })),
    clears: clears.map((event) => ({ ...node(event), ...clearFields(event) })),
    reports: summary.reports.map((one) => ({ ...node(one), ...reportFields(one) })),
    reportsDropped: summary.reportsDropped,
  }
}

function episodeFields(episode: Episode, report: FaultReport): { readonly [key: string]: Json } {
  const { channel, sa, spn, fmi, source, state, firstSeen, lastSeen, clearedAt, unseen } = episode
  return {
    node: nodeRole(sa, report.nameOf(channel, sa)) ?? null,
    spn,
    name: spnName(spn, report.own) ?? null,
    fmi,
    meaning: fmiMeaning(fmi),
    source,
    state,
    firstSeen: new Seconds(firstSeen),
    lastSeen: new Seconds(lastSeen),
    clearedAt: seconds(clearedAt),
    unseen: seconds(unseen),
    occurrenceCounts: episode.occurrenceCounts.map(({ time, count }) => ({ t: new Seconds(time), count })),
    lamps: episode.lamps.map(lampFields),
    ambiguous: episode.ambiguous,
    readings: episode.readings.map((reading) => ({ version: reading.version, spn: reading.spn })),
  }
}

function lampFields({ time, lamps }: LampChange): { readonly [key: string]: Json } {
  const states = LAMPS.map(({ key }) => [key, { state: lamps[key].state, flash: lamps[key].flash }])
  return { t: new Seconds(time), ...Object.fromEntries(states) }
}

function clearFields({ da, time, command }: ClearEvent): { readonly [key: string]: Json } {
  const common = { da, t: new Seconds(time), dm: command.dm }
  if (command.kind === 'clear') return { ...common, clears: command.clears, spn: null, fmi: null }
  const { action, fault } = command
  return { ...common, clears: action, spn: fault?.spn ?? null, fmi: fault?.fmi ?? null }
}

function reportFields(report: DiagnosticReport): { readonly [key: string]: Json } {
  const { da, pgn, firstTime, lastTime, count, says } = report
  return {
    da,
    pgn,
    dm: says.dm,
    name: diagnosticGroup(pgn)?.purpose ?? null,
    firstSeen: new Seconds(firstTime),
    lastSeen: new Seconds(lastTime),
    count,
    diagnostic: plain(says),
  }
}
