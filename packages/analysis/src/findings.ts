/** What is wrong, the most urgent first: causes of faults, then checks that no cause explains. */
import type { Cause, CheckResult, FaultFinding, FaultGroup, Span, Step } from './model.js'
import type { Finding, NextStep, Urgency } from './report.js'

/** Cautions that say: stop now. */
const STOP_CAUTIONS: ReadonlySet<string> = new Set(['no-oil-pressure', 'heater-stuck'])

const URGENCIES: readonly Urgency[] = ['stop', 'fail', 'caution']
const CONFIDENCES: readonly Cause['confidence'][] = ['probable', 'possible', 'unsupported']
/** Checks that compare signals with one another: any of them may be the one that is wrong. */
const COMPARISONS: ReadonlySet<string> = new Set(['cold-soak-spread'])
/** Steps of a finding that go into the list of what to do next; all are with the finding. */
const NEXT_STEPS: Readonly<Record<Urgency, number>> = { stop: 5, fail: 5, caution: 2 }

/** Checks of one engine, or of the bus. */
export interface JudgedChecks {
  readonly kind: 'check' | 'bus'
  /** The engine's address; null of the bus. */
  readonly sa: number | null
  readonly results: readonly CheckResult[]
}

interface Ranked {
  readonly finding: Finding
  readonly rank: number
}

/** All findings in order. */
export function findingsOf(groups: readonly FaultGroup[], judged: readonly JudgedChecks[]): readonly Finding[] {
  const all = judged.flatMap(({ results }) => results)
  const tied = groups.map((group) => tiedChecks(group, all))
  const explained = new Set(tied.flat().map(({ id }) => id))
  const ranked: Ranked[] = groups.map((group, index) => fromGroup(group, tied[index] ?? []))
  for (const { kind, sa, results } of judged) {
    for (const check of results.filter(isBad)) {
      if (!explained.has(check.id)) ranked.push({ finding: fromCheck(check, kind, sa), rank: CONFIDENCES.length })
    }
  }
  return ranked
    .sort(
      (a, b) =>
        URGENCIES.indexOf(a.finding.urgency) - URGENCIES.indexOf(b.finding.urgency) ||
        a.rank - b.rank ||
        startOf(a.finding) - startOf(b.finding),
    )
    .map(({ finding }) => finding)
}

/**
 * The checks that show what a group is about: those its causes name, and those that judge the very
 * signal a node reports. A check that says stop always stands for itself.
 */
function tiedChecks({ checks, faults, causes }: FaultGroup, all: readonly CheckResult[]): readonly CheckResult[] {
  const spns = new Set(causes[0]?.confidence === 'unsupported' ? [] : faults.map(({ spn }) => spn))
  return all.filter((check) => {
    if (!isBad(check)) return false
    if (checks.includes(check.id)) return true
    if (check.cautions.some((name) => STOP_CAUTIONS.has(name))) return false
    const compared = check.evidence.flatMap(({ signals }) =>
      COMPARISONS.has(check.id) ? signals : signals.slice(0, 1),
    )
    return compared.some(({ spn }) => spns.has(spn))
  })
}

function isBad({ verdict }: CheckResult): boolean {
  return verdict === 'fail' || verdict === 'caution'
}

/** What to do, in the order of the findings, nothing twice. */
export function nextSteps(findings: readonly Finding[]): readonly NextStep[] {
  const seen = new Set<string>()
  return findings.flatMap(({ id, urgency, steps }) =>
    steps.slice(0, NEXT_STEPS[urgency]).flatMap((step) => {
      if (seen.has(step.text)) return []
      seen.add(step.text)
      return [{ ...step, finding: id }]
    }),
  )
}

function fromGroup({ faults, causes, from, to }: FaultGroup, results: readonly CheckResult[]): Ranked {
  const [best, ...others] = causes as readonly [Cause, ...Cause[]]
  const sources = new Set(faults.map(({ sa }) => sa))
  const [only] = sources
  return {
    rank: CONFIDENCES.indexOf(best.confidence),
    finding: {
      id: best.id,
      kind: 'cause',
      urgency: urgencyOf(best, faults, results),
      title: best.title,
      confidence: best.confidence,
      text: wordsOf(best, others, faults),
      sa: sources.size === 1 ? (only ?? null) : null,
      span: { from, to },
      evidence: best.supports,
      against: best.contradicts,
      steps: best.steps,
      cautions: [
        ...new Set([...best.steps.flatMap(({ cautions }) => cautions), ...results.flatMap(({ cautions }) => cautions)]),
      ],
      faults: faults.map(({ sa, spn, fmi }) => ({ sa, spn, fmi })),
      checks: results.map(({ id }) => id),
    },
  }
}

function urgencyOf(best: Cause, faults: readonly FaultFinding[], results: readonly CheckResult[]): Urgency {
  const red = faults.some(({ episodes }) =>
    episodes.some(({ lamps }) => lamps.some((change) => change.lamps.redStop.state === 'on')),
  )
  const failed = results.filter(({ verdict }) => verdict === 'fail')
  const active = faults.some(({ episodes }) => episodes.some(({ state }) => state === 'active'))
  if (!active && failed.length === 0) return red ? 'stop' : 'caution'
  const stops = [...best.steps, ...failed].some(({ cautions }) => cautions.some((name) => STOP_CAUTIONS.has(name)))
  return red || stops ? 'stop' : 'fail'
}

function wordsOf(best: Cause, others: readonly Cause[], faults: readonly FaultFinding[]): string {
  const { facts, of } = best.supported
  const start =
    best.confidence === 'unsupported'
      ? 'The controller says so; nothing else in the recording shows it'
      : `${best.confidence === 'probable' ? 'Probable' : 'Possible'} root: ${facts} of ${of} facts support it`
  const against =
    best.contradicts.length === 0
      ? ''
      : `, ${best.contradicts.length} ${best.contradicts.length === 1 ? 'speaks' : 'speak'} against it`
  const [other] = others
  const also = other === undefined ? '' : ` If not: ${other.title}.`
  const consequences = faults.filter(({ follows }) => follows !== null)
  const follow =
    consequences.length === 0
      ? ''
      : ` It explains ${consequences.length} more ${consequences.length === 1 ? 'fault' : 'faults'}.`
  return `${start}${against}.${follow}${also}`
}

function fromCheck(check: CheckResult, kind: Finding['kind'], sa: number | null): Finding {
  const { id, title, verdict, finding, evidence, advice, cautions } = check
  const stops = cautions.some((name) => STOP_CAUTIONS.has(name))
  const step: Step = { text: advice, key: 'any', tool: null, cautions }
  return {
    id,
    kind,
    urgency: verdict === 'caution' ? 'caution' : stops ? 'stop' : 'fail',
    title: `${title} (${verdict === 'fail' ? 'failed' : verdict})`,
    confidence: null,
    text: finding,
    sa,
    span: spanOf(evidence),
    evidence,
    against: [],
    steps: [step],
    cautions,
    faults: [],
    checks: [id],
  }
}

function spanOf(spans: readonly Span[]): Span | null {
  if (spans.length === 0) return null
  return { from: Math.min(...spans.map(({ from }) => from)), to: Math.max(...spans.map(({ to }) => to)) }
}

function startOf({ span }: Finding): number {
  return span?.from ?? Number.POSITIVE_INFINITY
}
