/**
 * Putting faults together that share one probable root: the best cause first takes the faults it
 * explains, then the next best takes what is left. Consequences join the group of the fault they
 * follow and are never a root.
 */
import type { Cause, CheckResult, Fact, FaultFinding, FaultGroup, Measure } from '../model.js'
import { resolutionOf, SECOND } from '../series.js'
import { better, type Case, type Evidenced, genericCases, weigh } from './causes.js'
import type { FaultContext } from './context.js'
import { type ActiveFault, endOf } from './finding.js'
import { HYPOTHESES } from './hypotheses/index.js'
import type { GenericCauseId } from './knowledge/index.js'
import { patternsFor } from './patterns/index.js'
import { voltsAt } from './patterns/power.js'
import { factOf } from './sight.js'

/** Faults that only say that another fault had consequences. Source: common practice. */
const CONSEQUENCES: ReadonlySet<number> = new Set([1569, 1632, 3357, 1107, 1109, 1110, 1484, 5246])
/** A consequence comes so long after its root at most, and may be reported so much before it, in microseconds. Common practice. */
const AFTER = 120 * SECOND
const BEFORE = 3 * SECOND
/** Causes shown of one group. */
const MOST_CAUSES = 4

/** All groups of a context, the most telling first. */
export function groupFaults(context: FaultContext): FaultGroup[] {
  const evidence = new Map(context.faults.map((fault) => [fault, evidenceOf(context, fault)]))
  const isConsequence = ({ spn }: ActiveFault): boolean => CONSEQUENCES.has(spn)
  const shared = HYPOTHESES.flatMap((hypothesis) => weigh(context, hypothesis) ?? []).filter(
    ({ roots }) => roots.length === 0 || !roots.every(isConsequence),
  )
  const generic = context.faults
    .filter((fault) => !isConsequence(fault))
    .flatMap((fault) => genericCases(fault, evidence.get(fault) as Evidenced))
  const left = new Set(context.faults.filter((fault) => !isConsequence(fault)))
  const groups: { root: Case; faults: ActiveFault[]; others: Case[] }[] = []
  const cases = [...shared.filter(({ cause }) => cause.confidence !== 'unsupported').sort(better), ...generic]
  for (const candidate of cases) {
    const roots = candidate.roots.filter((fault) => left.has(fault))
    if (candidate.roots.length > 0 && roots.length === 0) continue
    if (
      candidate.roots.length === 0 &&
      isExplained(
        candidate,
        groups.map(({ root }) => root),
      )
    )
      continue
    const faults = [...candidate.roots, ...candidate.followers].filter((fault) => left.has(fault))
    for (const fault of faults) left.delete(fault)
    groups.push({ root: candidate, faults, others: rivals(candidate, [...shared, ...generic]) })
  }
  for (const fault of context.faults.filter(isConsequence)) {
    const home = homeOf(fault, groups)
    if (home !== undefined) home.faults.push(fault)
    else groups.push({ root: withoutRoot(fault, evidence.get(fault) as Evidenced), faults: [fault], others: [] })
  }
  return groups.map(({ root, faults, others }) => toGroup(context, root, faults, others, evidence)).sort(order)
}

/** What speaks for and against a fault's own claim. */
function evidenceOf(context: FaultContext, fault: ActiveFault): Evidenced {
  const supports: Fact[] = []
  const contradicts: Fact[] = []
  for (const { name, look, seen, absent } of patternsFor(fault)) {
    const what = look(context, fault)
    const means = what === null ? null : what.seen ? seen : absent
    if (what === null || means === null) continue
    const fact = factOf(name, what)
    if (means === 'for') supports.push(fact)
    else contradicts.push(fact)
  }
  return { supports, contradicts }
}

/** A trouble nobody reports is not named again where a group's cause rests on the same facts. */
function isExplained({ cause, followers }: Case, roots: readonly Case[]): boolean {
  if (followers.length > 0) return false
  return roots.some((root) =>
    root.cause.supports.some(({ pattern }) => cause.supports.some((fact) => fact.pattern === pattern)),
  )
}

/** Other causes of the same faults, the best first, no cause twice. */
function rivals(root: Case, all: readonly Case[]): Case[] {
  const rooted = new Set(root.roots)
  const others = all.filter(
    (other) => other !== root && other.cause.id !== root.cause.id && other.roots.some((fault) => rooted.has(fault)),
  )
  const sorted = [...others].sort(better)
  return sorted.filter((other, index) => sorted.findIndex(({ cause }) => cause.id === other.cause.id) === index)
}

/** That a value is as reported explains nothing: it goes before no cause that does. */
const RESTATING: ReadonlySet<string> = new Set<GenericCauseId>(['really-high', 'really-low', 'state-true'])

/** The cause that made the group first, unless one of its rivals is surer. */
function ranked(root: Case, others: readonly Case[]): Cause[] {
  const rank = (one: Case): number => {
    const own = CONFIDENCES.indexOf(one.cause.confidence)
    if (!root.shared || !RESTATING.has(one.cause.id)) return own
    return Math.max(own, CONFIDENCES.indexOf(root.cause.confidence)) + 0.5
  }
  return [root, ...others].sort((a, b) => rank(a) - rank(b)).map(({ cause }) => cause)
}

const CONFIDENCES: readonly Cause['confidence'][] = ['probable', 'possible', 'unsupported']

interface Home {
  readonly root: Case
  readonly faults: ActiveFault[]
}

/** The group a consequence belongs to: the one whose root was active when it came, the latest to begin. */
function homeOf(fault: ActiveFault, groups: readonly Home[]): Home | undefined {
  const onset = fault.episodes[0]?.firstSeen ?? fault.from
  const began = (home: Home): number => {
    const onsets = home.faults
      .filter(({ sa, channel }) => sa === fault.sa && channel === fault.channel)
      .flatMap(({ episodes }) =>
        episodes.filter((episode) => episode.firstSeen <= onset + BEFORE && endOf(episode) + AFTER >= onset),
      )
      .map(({ firstSeen }) => firstSeen)
    return Math.max(Number.NEGATIVE_INFINITY, ...onsets)
  }
  const homes = groups.filter((home) => home.root.roots.length > 0 && began(home) > Number.NEGATIVE_INFINITY)
  return [...homes].sort((a, b) => began(b) - began(a))[0]
}

/** A consequence whose root was not reported. */
function withoutRoot(fault: ActiveFault, evidence: Evidenced): Case {
  const [first] = genericCases(fault, evidence)
  const base = first as Case
  return {
    ...base,
    cause: {
      ...base.cause,
      id: 'root-not-reported',
      title: 'A consequence of another fault that this recording does not hold',
      confidence: 'unsupported',
    },
  }
}

function toGroup(
  context: FaultContext,
  root: Case,
  faults: readonly ActiveFault[],
  others: readonly Case[],
  evidence: ReadonlyMap<ActiveFault, Evidenced>,
): FaultGroup {
  const lead = faults.find((fault) => root.roots.includes(fault))
  const sorted = [...faults].sort(
    (a, b) => Number(root.roots.includes(b)) - Number(root.roots.includes(a)) || a.from - b.from,
  )
  // Only the best may be called probable: two probable roots are none.
  const causes = ranked(root, others)
    .slice(0, MOST_CAUSES)
    .map((cause, index) =>
      index > 0 && cause.confidence === 'probable' ? { ...cause, confidence: 'possible' as const } : cause,
    )
  const span =
    faults.length > 0
      ? { from: Math.min(...faults.map(({ from }) => from)), to: Math.max(...faults.map(({ to }) => to)) }
      : root.span
  return {
    ...span,
    faults: sorted.map((fault) => {
      const isRoot = root.roots.includes(fault)
      const follows = isRoot || lead === undefined ? null : { spn: lead.spn, fmi: lead.fmi }
      return toFinding(context, fault, evidence.get(fault) as Evidenced, follows)
    }),
    checks: relatedChecks(context.checks, root.checks),
    causes,
  }
}

/** Checks with a caution or a fail that a cause explains. */
function relatedChecks(checks: readonly CheckResult[], ids: readonly string[]): string[] {
  return checks
    .filter(({ id, verdict }) => ids.includes(id) && (verdict === 'caution' || verdict === 'fail'))
    .map(({ id }) => id)
}

function toFinding(
  context: FaultContext,
  fault: ActiveFault,
  { supports, contradicts }: Evidenced,
  follows: FaultFinding['follows'],
): FaultFinding {
  const { channel, sa, spn, fmi, name, meaning, component, episodes } = fault
  const time = episodes[0]?.firstSeen ?? fault.from
  const about = component?.about ?? null
  const onset = { time, phase: context.phaseAt(time)?.kind ?? null, volts: voltsMeasure(context, time) }
  return { channel, sa, spn, fmi, name, meaning, about, onset, episodes, supports, contradicts, follows }
}

function voltsMeasure(context: FaultContext, time: number): Measure | null {
  const value = voltsAt(context, time)
  const signal = context.signal(168) ?? context.signal(158)
  return value === null
    ? null
    : { value, unit: 'V', uncertainty: signal === undefined ? null : resolutionOf(signal) / 2 }
}

/** Reported before unreported, probable before the rest, early before late. */
function order(a: FaultGroup, b: FaultGroup): number {
  const rank = ({ causes }: FaultGroup): number => CONFIDENCES.indexOf(causes[0]?.confidence ?? 'unsupported')
  return rank(a) - rank(b) || Number(b.faults.length > 0) - Number(a.faults.length > 0) || a.from - b.from
}
