/**
 * Weighing: which causes are considered, what speaks for and against each, and how sure one may be.
 * A cause is `probable` only if something decisive was seen and nothing speaks against it;
 * `unsupported` says that nothing in the recording shows it.
 */
import type { Cause, CheckResult, Fact, Span } from '../model.js'
import { SECOND } from '../series.js'
import type { FaultContext } from './context.js'
import { type ActiveFault, endOf } from './finding.js'
import { type Clue, type Hypothesis, matches } from './hypotheses/index.js'
import { GENERIC_CAUSES, type GenericCauseId, KINDS } from './knowledge/index.js'
import { stepsFor } from './ladder.js'
import { capital, factOf, type Sight } from './sight.js'

/** Evidence beside one fault. */
export interface Evidenced {
  readonly supports: readonly Fact[]
  readonly contradicts: readonly Fact[]
}

/** A cause with what it explains and how well. */
export interface Case {
  readonly cause: Cause
  /** Faults it is the root of, and those that follow from it. Both empty where nobody reports anything. */
  readonly roots: readonly ActiveFault[]
  readonly followers: readonly ActiveFault[]
  readonly score: number
  /** Whether it is more than one part's own. */
  readonly shared: boolean
  readonly checks: readonly string[]
  readonly span: Span
}

/** Seconds a follower may come before its root is reported: controllers take their time. Source: common practice. */
const EARLY = 3
const TAIL = 3
/** Share of a fault's episodes that must lie in a cause's windows. Source: our own choice. */
const MOST = 0.5
/** How much a check with a fail or a caution counts: it often rests on what a clue has seen already. Source: our own choice. */
const CHECK_FAILED = 1
const CHECK_DOUBTFUL = 0.5
/** That a controller reports the root counts for a little by itself. Source: our own choice. */
const REPORTED = 0.5
/** So many checks that did not pass and point the same way stand in for a clue that cannot be told. Source: our own choice. */
const ENOUGH_CHECKS = 2
/** Least score of a probable cause, and of one that nobody reports and is still named. Source: our own choice. */
const PROBABLE = 2
const WORTH_NAMING = 1.5

/** Evaluates one hypothesis; undefined where it is not to be considered. */
export function weigh(context: FaultContext, hypothesis: Hypothesis): Case | undefined {
  const found = explained(context, hypothesis)
  if (found === undefined) return undefined
  const { roots, followers } = found
  const all = [...roots, ...followers]
  const supports: Fact[] = []
  const contradicts: Fact[] = []
  let score = roots.length > 0 ? REPORTED : 0
  let could = 0
  let decisive = false
  let missing = false
  for (const clue of hypothesis.clues) {
    const what = clue.look(context, all)
    const means = meaningOf(clue, what)
    if (clue.required && means !== 'for') missing = true
    if (what !== null && (clue.seen === 'for' || clue.absent === 'for')) could++
    if (what === null || means === null) continue
    const weight = clue.weight ?? 1
    if (means === 'for') {
      supports.push(factOf(clue.pattern, what))
      score += weight
      if (clue.decisive) decisive = true
    } else {
      if (clue.excludes) return undefined
      contradicts.push(factOf(clue.pattern, what))
      score -= 1.5 * weight
    }
  }
  const doubtful = context.checks.filter(
    ({ id, verdict }) => hypothesis.checks.includes(id) && (verdict === 'fail' || verdict === 'caution'),
  )
  for (const check of doubtful) {
    supports.push(checkFact(context, check))
    score += check.verdict === 'fail' ? CHECK_FAILED : CHECK_DOUBTFUL
  }
  const isProbable = decisive && !missing && score >= PROBABLE && contradicts.length === 0
  const isNamed = decisive && score >= WORTH_NAMING && (!missing || doubtful.length >= ENOUGH_CHECKS)
  if (roots.length === 0 && !isNamed) return undefined
  const confidence = isProbable ? 'probable' : supports.length > 0 ? 'possible' : 'unsupported'
  const { id, title, steps, checks } = hypothesis
  const supported = { facts: supports.length, of: Math.max(could, supports.length) }
  const cause: Cause = { id, title, confidence, supported, supports, contradicts, steps }
  return { cause, roots, followers, score, shared: true, checks, span: spanOf(context, all, supports) }
}

/** A check that did not pass, as something that speaks for the causes it is tied to. */
function checkFact(context: FaultContext, { id, finding, evidence }: CheckResult): Fact {
  const [first] = evidence
  const { from, to } = first ?? context.span
  return { pattern: `check:${id}`, text: finding, from, to, signals: first?.signals ?? [] }
}

function meaningOf({ seen, absent }: Clue, what: Sight | null): 'for' | 'against' | null {
  if (what === null) return null
  return what.seen ? seen : absent
}

/** Which faults a hypothesis would explain; undefined where it has no root and is not looked for without. */
function explained(
  context: FaultContext,
  hypothesis: Hypothesis,
): { roots: ActiveFault[]; followers: ActiveFault[] } | undefined {
  const { roots: rootMatches, follows, atLeast = 1, windows, tail = TAIL } = hypothesis
  const candidates = context.faults.filter((fault) => rootMatches.some((match) => matches(context, fault, match)))
  const spans = windows?.(context, candidates)
  const roots = spans === undefined ? candidates : candidates.filter((fault) => isInside(fault, spans, tail))
  if (new Set(roots.map(({ spn }) => spn)).size < atLeast || roots.length === 0) {
    if (!hypothesis.unreported) return undefined
    const followers = spans === undefined ? [] : followersOf(context, [], follows, spans, tail)
    return { roots: [], followers }
  }
  const active =
    spans ??
    roots.flatMap(({ episodes }) => episodes.map((episode) => ({ from: episode.firstSeen, to: endOf(episode) })))
  return { roots, followers: followersOf(context, roots, follows, active, tail) }
}

function followersOf(
  context: FaultContext,
  roots: readonly ActiveFault[],
  follows: Hypothesis['follows'],
  spans: readonly Span[],
  tail: number,
): ActiveFault[] {
  return context.faults.filter(
    (fault) =>
      !roots.includes(fault) && follows.some((match) => matches(context, fault, match)) && isInside(fault, spans, tail),
  )
}

/** Whether most episodes of a fault begin in one of some stretches. */
function isInside({ episodes }: ActiveFault, spans: readonly Span[], tail: number): boolean {
  const inside = episodes.filter(({ firstSeen }) =>
    spans.some(({ from, to }) => firstSeen >= from - EARLY * SECOND && firstSeen <= to + tail * SECOND),
  )
  return inside.length >= MOST * episodes.length
}

function spanOf(context: FaultContext, faults: readonly ActiveFault[], facts: readonly Fact[]): Span {
  const spans: readonly Span[] = faults.length > 0 ? faults : facts
  if (spans.length === 0) return context.span
  return { from: Math.min(...spans.map(({ from }) => from)), to: Math.max(...spans.map(({ to }) => to)) }
}

/** The causes any such part may have, as cases of one fault, the likeliest first. */
export function genericCases(fault: ActiveFault, evidence: Evidenced): Case[] {
  const kind = fault.component?.kind ?? 'unknown'
  const ids = KINDS[kind].causes[fault.class] ?? (['look-it-up'] as const)
  const chosen = refined(ids, evidence)
  return chosen.map((id, index) => {
    const { title, ladder, shownBy } = GENERIC_CAUSES[id]
    const supports = evidence.supports.filter(({ pattern }) => (shownBy as readonly string[]).includes(pattern))
    const contradicts = supports.length > 0 || index === 0 ? evidence.contradicts : []
    const isProbable = index === 0 && supports.length > 0 && contradicts.length === 0
    const confidence = isProbable ? 'probable' : supports.length > 0 ? 'possible' : 'unsupported'
    const cause: Cause = {
      id,
      title: titleOf(title, fault),
      confidence,
      supported: { facts: supports.length, of: Math.max(1, shownBy.length > 0 ? 1 : 0, supports.length) },
      supports,
      contradicts,
      steps: stepsFor(fault, ladder),
    }
    const score = supports.length - 1.5 * contradicts.length - index
    return { cause, roots: [fault], followers: [], score, shared: false, checks: [], span: fault }
  })
}

/** A reading at the coldest end is an open wire, whatever the order of the table; the table's order holds otherwise. */
function refined(ids: readonly GenericCauseId[], { supports, contradicts }: Evidenced): readonly GenericCauseId[] {
  const wrong = [...supports, ...contradicts].some(({ pattern }) => pattern === 'siblings-differ')
  if (!wrong || !ids.includes('reads-wrong')) return ids
  return ['reads-wrong', ...ids.filter((id) => id !== 'reads-wrong')]
}

function titleOf(title: string, { component, name }: ActiveFault): string {
  const part = component?.part ?? name
  return capital(title.replaceAll('{part}', part).replaceAll('{value}', name))
}

/** `probable` before `possible` before `unsupported`; then the better explained, then the wider. */
export function better(a: Case, b: Case): number {
  return (
    RANK[a.cause.confidence] - RANK[b.cause.confidence] ||
    Number(b.shared) - Number(a.shared) ||
    b.score - a.score ||
    b.roots.length + b.followers.length - (a.roots.length + a.followers.length)
  )
}

const RANK: Readonly<Record<Cause['confidence'], number>> = { probable: 0, possible: 1, unsupported: 2 }
