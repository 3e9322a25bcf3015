/** Faults of two runs side by side: what became of each, and how far that proves a repair. */
import { addressName } from '@firstcrank/decoder/catalog'
import { type ActiveFault, endOf } from '../faults/finding.js'
import { number } from '../faults/sight.js'
import { SECOND } from '../series.js'
import {
  type ClearSeen,
  type CompareOptions,
  evidenceIn,
  type FaultChange,
  type FaultComparison,
  type FaultSide,
  type RunEvidence,
  type VehicleComparison,
} from './comparison.js'
import { faultExposure } from './fault-exposure.js'
import { gradeOf } from './grade.js'
import { measuredRecovery } from './measured.js'
import { type Recovery, rawRecovery } from './recovery.js'
import type { Side } from './side.js'

/** Every fault that was active in either run: those of the earlier first. */
export function compareFaults(
  before: Side,
  after: Side,
  vehicle: VehicleComparison,
  clears: readonly ClearSeen[],
  options: CompareOptions,
): FaultComparison[] {
  const earlier = byPart(before.faults)
  const fresh = byPart(after.faults).filter(([fault]) => {
    const { channel, sa, spn } = fault as ActiveFault
    return before.faultsOf(channel, sa, spn).length === 0
  })
  return [
    ...earlier.map((faults) => compareOne(before, after, faults, vehicle, clears, options)),
    ...fresh.map((faults) => freshFault(before, after, faults)),
  ]
}

const partOf = ({ channel, sa, spn }: ActiveFault): string => `${channel}/${sa}/${spn}`

/** Faults of one part of one node together, in the order they were first seen. */
function byPart(faults: readonly ActiveFault[]): ActiveFault[][] {
  const parts = new Map<string, ActiveFault[]>()
  for (const fault of faults) {
    const others = parts.get(partOf(fault))
    if (others === undefined) parts.set(partOf(fault), [fault])
    else others.push(fault)
  }
  return [...parts.values()]
}

function compareOne(
  before: Side,
  after: Side,
  faults: readonly ActiveFault[],
  vehicle: VehicleComparison,
  clears: readonly ClearSeen[],
  options: CompareOptions,
): FaultComparison {
  const fault = faults[0] as ActiveFault
  const { channel, sa, spn, fmi, name, meaning } = fault
  const same = after.faultsOf(channel, sa, spn)
  const was = before.sideOf(faults) as FaultSide
  const is = after.sideOf(same)
  const pending = after.listed(channel, sa, spn, 'pending')
  const use = before.useFor(channel, sa)
  const useAfter = after.useFor(channel, sa)
  const exposure =
    use === undefined || useAfter === undefined ? null : faultExposure(faults, use, useAfter, options.enabling)
  const recovery = recoveryOf(before, after, faults, was, clears)
  const reports = after.reports(channel, sa)
  const change = changeOf(vehicle, reports, was, is)
  const graded = gradeOf({
    vehicle,
    reports,
    was,
    is,
    pending: pending.length,
    exposure,
    recovery,
    starts: startsOf(before, after, faults),
    cleared: clears.length > 0,
    name,
  })
  const told = is === null ? [] : changesBetween(was, is)
  return {
    channel,
    sa,
    spn,
    fmi,
    name,
    meaning,
    change: told.length > 0 && change === 'still-there' ? 'changed' : change,
    grade: graded.grade,
    statement: graded.statement,
    reasons: [...graded.reasons, ...told, ...storedCounts(after, was, fault)],
    before: was,
    after: is,
    exposure: exposure?.summary ?? null,
    statistics: graded.statistics,
    evidence: [
      ...episodesIn('before', faults, before),
      ...episodesIn('after', same, after),
      ...pending.map((episode) =>
        evidenceIn('after', `Listed as pending in ${episode.source}.`, episode.firstSeen, episode.lastSeen),
      ),
      ...recovery.evidence,
      ...(exposure?.evidence ?? []),
    ],
  }
}

function changeOf(vehicle: VehicleComparison, reports: boolean, was: FaultSide, is: FaultSide | null): FaultChange {
  if (vehicle.same === 'different' || (!reports && is === null)) return 'not-comparable'
  if (is === null) return 'gone'
  return was.fmis.join() === is.fmis.join() ? 'still-there' : 'changed'
}

/** A fault of the later run alone. */
function freshFault(before: Side, after: Side, faults: readonly ActiveFault[]): FaultComparison {
  const { channel, sa, spn, fmi, name, meaning } = faults[0] as ActiveFault
  const stored = before.listed(channel, sa, spn, 'previously-active')
  const heard = before.reports(channel, sa)
  const node = addressName(sa) ?? `address ${sa}`
  return {
    channel,
    sa,
    spn,
    fmi,
    name,
    meaning,
    change: heard ? 'new' : 'not-comparable',
    grade: null,
    statement: heard
      ? 'New: it is active in the later run and was not in the earlier one.'
      : `Active in the later run; ${node} reported no faults at all in the earlier one, so nobody can say whether it is new.`,
    reasons: stored.length > 0 ? ['The earlier run lists it as previously active: it had been there before.'] : [],
    before: null,
    after: after.sideOf(faults),
    exposure: null,
    statistics: null,
    evidence: [
      ...episodesIn('after', faults, after),
      ...stored.map((episode) =>
        evidenceIn('before', `Listed as previously active in ${episode.source}.`, episode.firstSeen, episode.lastSeen),
      ),
    ],
  }
}

function recoveryOf(
  before: Side,
  after: Side,
  faults: readonly ActiveFault[],
  side: FaultSide,
  clears: readonly ClearSeen[],
): Recovery {
  const fault = faults[0] as ActiveFault
  const use = before.engineAt(fault.channel, fault.sa)
  const useAfter = after.engineAt(fault.channel, fault.sa)
  if (use === undefined || useAfter === undefined) {
    return {
      state: 'none',
      text: 'There is no direct evidence: the node is no engine whose use is known.',
      evidence: [],
    }
  }
  const last = clears.filter(({ run, da }) => run === 'after' && (da === fault.sa || da === 255)).at(-1)
  const raw = rawRecovery({
    fault,
    side,
    before: { context: before.contextFor(use), use },
    after: { context: after.contextFor(useAfter), use: useAfter },
    clearedAt: last?.to ?? null,
  })
  return raw.state === 'none' ? (measuredRecovery(before, after, fault) ?? raw) : raw
}

/** Starts in both runs, and how many of the earlier it came in; null where it has nothing to do with starting. */
function startsOf(
  before: Side,
  after: Side,
  faults: readonly ActiveFault[],
): { readonly before: number; readonly with: number; readonly after: number } | null {
  const fault = faults[0] as ActiveFault
  const starts = (side: Side): number =>
    side.useFor(fault.channel, fault.sa)?.phases.filter(({ attempt }) => attempt !== undefined).length ?? 0
  const onsets = faults.flatMap(({ episodes }) => episodes.map(({ firstSeen }) => firstSeen))
  const cranks = before.useFor(fault.channel, fault.sa)?.phases.filter(({ attempt }) => attempt !== undefined) ?? []
  const inCrank = cranks.filter(({ from, to }) => onsets.some((at) => at >= from && at <= to + 5 * SECOND)).length
  // What stays to the end may have come at any time: that it was first listed after a start says nothing.
  return inCrank === onsets.length && inCrank > 0 && !before.sideOf(faults)?.unbroken
    ? { before: starts(before), with: inCrank, after: starts(after) }
    : null
}

function changesBetween(was: FaultSide, is: FaultSide): string[] {
  const told: string[] = []
  if (was.fmis.join() !== is.fmis.join()) {
    told.push(`The failure mode changed: FMI ${was.fmis.join(', ')} before, FMI ${is.fmis.join(', ')} after.`)
  }
  if (was.count !== null && is.count !== null && was.count !== is.count) {
    told.push(`The node's own count changed from ${was.count} to ${is.count}.`)
  }
  if (was.lamps.join() !== is.lamps.join()) {
    told.push(`The lamps changed: ${was.lamps.join(', ') || 'none'} before, ${is.lamps.join(', ') || 'none'} after.`)
  }
  return told
}

/** What the later run's list of previously active faults says of it. */
function storedCounts(after: Side, { count }: FaultSide, { channel, sa, spn }: ActiveFault): string[] {
  const counts = after
    .listed(channel, sa, spn, 'previously-active')
    .flatMap(({ occurrenceCounts }) => occurrenceCounts.flatMap((change) => change.count ?? []))
  const highest = Math.max(...counts)
  if (counts.length === 0) return []
  if (count !== null && highest > count) {
    return [
      `The node counts ${highest} occurrences in the later run and ${count} in the earlier: it came again after the earlier run, before or after the work.`,
    ]
  }
  return [
    `The node still remembers it as previously active, ${highest} ${highest === 1 ? 'occurrence' : 'occurrences'}.`,
  ]
}

/** Episodes, the first few of them. */
function episodesIn(run: 'before' | 'after', faults: readonly ActiveFault[], side: Side): RunEvidence[] {
  return faults.flatMap((fault) =>
    fault.episodes.slice(0, SHOWN).map((episode) => {
      const use = side.useFor(fault.channel, fault.sa)
      const signal = use === undefined ? undefined : side.contextFor(use).signalOf(fault)
      const ref = signal === undefined || use === undefined ? undefined : side.contextFor(use).refOf(signal)
      const length = number((endOf(episode) - episode.firstSeen) / SECOND, 0)
      return evidenceIn(
        run,
        `SPN ${fault.spn} FMI ${fault.fmi} listed as active for ${length} s.`,
        episode.firstSeen,
        endOf(episode),
        [ref],
      )
    }),
  )
}

/** Episodes of one fault that are kept as evidence. */
const SHOWN = 20
