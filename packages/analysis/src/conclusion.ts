/** The verdict, and the answers to the four questions a person has at the end of a first start. */
import type { CheckResult, FaultGroup, Phase, Verdict } from './model.js'
import type { Conclusion, EngineReport, Finding, NextStep } from './report.js'
import { SECOND } from './series.js'
import { KEY_WORDS } from './step-words.js'

/** Titles named in a sentence; the report lists all. */
const NAMED = 3
/** Letters of a step in an answer; the list has it in full. */
const LONGEST_STEP = 110
/** Shorter sentences, such as "Key off.", take the next one with them. */
const SHORTEST_STEP = 30

/** What a conclusion is drawn from. */
export interface Grounds {
  readonly engines: readonly EngineReport[]
  readonly bus: readonly CheckResult[]
  readonly faults: readonly FaultGroup[]
  readonly findings: readonly Finding[]
  readonly next: readonly NextStep[]
  /** How many things are left for a person to look at. */
  readonly manual: number
  /** What is wrong with the log itself; null where nothing is. */
  readonly damage: string | null
}

export function concludeFrom(grounds: Grounds): Conclusion {
  const checks = [...grounds.engines.flatMap((engine) => engine.checks), ...grounds.bus]
  const counts = countsOf(checks)
  const judged = counts.pass + counts.caution + counts.fail
  const level = levelOf(grounds.findings, judged)
  const faults = activeFaults(grounds.faults)
  const { headline, basis } = withDamage(verdictOf(level, grounds.findings, counts, faults), grounds.damage)
  return {
    level,
    verdict: basis === null ? headline : `${headline} ${basis}`,
    headline,
    basis,
    counts,
    faults,
    answers: [
      { id: 'start', question: 'Was the first start good?', answer: startAnswer(grounds, judged) },
      { id: 'wrong', question: 'What is wrong?', answer: wrongAnswer(grounds.findings, judged) },
      { id: 'first', question: 'What do I check first?', answer: firstAnswer(grounds) },
      { id: 'open', question: 'What could not be judged?', answer: openAnswer(checks, grounds.manual) },
    ],
  }
}

function countsOf(checks: readonly CheckResult[]): Record<Verdict, number> {
  const counts = { pass: 0, caution: 0, fail: 0, 'not-judged': 0 }
  for (const { verdict } of checks) counts[verdict]++
  return counts
}

function levelOf(findings: readonly Finding[], judged: number): Conclusion['level'] {
  if (findings.some(({ urgency }) => urgency !== 'caution')) return 'fail'
  if (findings.length > 0) return 'caution'
  return judged === 0 ? 'nothing-judged' : 'none-found'
}

/** A verdict in its two parts; where the first says already what it rests on, there is no other. */
type VerdictParts = Pick<Conclusion, 'headline' | 'basis'>

function verdictOf(
  level: Conclusion['level'],
  findings: readonly Finding[],
  counts: Readonly<Record<Verdict, number>>,
  faults: number,
): VerdictParts {
  const { fail } = counts
  const judged = counts.pass + counts.caution + fail
  const all = judged + counts['not-judged']
  const could = `${judged} of ${all} checks could be judged`
  switch (level) {
    case 'nothing-judged':
      return alone(`Nothing could be judged: none of ${all} checks had what it needs.`)
    case 'none-found':
      return alone(`No fault found in what could be judged: ${judged} of ${all} checks.`)
    case 'caution':
      return alone(
        `No fault found in what could be judged, ${judged} of ${all} checks, but ${plural(findings.length, 'caution')}.`,
      )
    case 'fail': {
      const [first] = findings
      const start = first?.urgency === 'stop' ? 'Stop. Do not run the engine' : 'Not in order'
      const reported = faults === 0 ? '' : `${plural(faults, 'fault')} reported, `
      const failed = fail === 0 ? 'no check failed' : `${plural(fail, 'check')} failed`
      return {
        headline: `${start}: ${first === undefined ? 'see below' : lowered(named(first))}.`,
        basis: `${reported}${failed}; ${could}.`,
      }
    }
  }
}

function alone(headline: string): VerdictParts {
  return { headline, basis: null }
}

/** A title, and before it how sure it is where it is a cause; a check says itself what became of it. */
function named({ title, confidence }: Finding): string {
  return confidence === null ? title : `${SURE[confidence]} ${lowered(title)}`
}

const SURE = { probable: 'Probably', possible: 'Possibly', unsupported: 'Reported, but shown by no value:' } as const

/** Faults of all nodes that were listed as active. */
function activeFaults(groups: readonly FaultGroup[]): number {
  return groups
    .flatMap(({ faults }) => faults)
    .filter(({ episodes }) => episodes.some(({ state }) => state === 'active')).length
}

function startAnswer({ engines, findings }: Grounds, judged: number): string {
  const [engine] = engines
  if (engine === undefined) return 'Not seen: no engine controller speaks in this recording.'
  if (engines.length === 1) return startOf(engine, findings, judged)
  return engines
    .map((one) => {
      const isOthers = ({ sa }: Finding): boolean => sa !== one.sa && engines.some((other) => other.sa === sa)
      const own = findings.filter((finding) => !isOthers(finding))
      return `${one.title}: ${startOf(one, own, judged)}`
    })
    .join(' ')
}

/** How the first start of one engine went, with what was found of it. */
function startOf(engine: EngineReport, findings: readonly Finding[], judged: number): string {
  const attempts = engine.phases.filter(({ kind }) => kind === 'cranking')
  const [first] = attempts
  if (first === undefined) {
    const ran = engine.phases.some(({ kind }) => RUNNING.has(kind))
    return ran
      ? 'Not seen: the engine was already running when the recording began.'
      : 'Not seen: the engine was never cranked in this recording.'
  }
  const cycle = attempts.filter((attempt) => attempt.cycle === first.cycle)
  const started = cycle.find(({ attempt }) => attempt?.started)
  if (started === undefined) {
    return `No: the engine did not start, ${plural(cycle.length, 'attempt')}, ${seconds(cycle)} of cranking.`
  }
  const tried = cycle.indexOf(started) + 1
  const how =
    tried === 1
      ? `it started after ${seconds([started])} of cranking`
      : `it started at attempt ${tried}, after ${seconds(cycle.slice(0, tried))} of cranking`
  const early = findings.filter(({ span }) => span !== null && span.from <= started.to + FIRST_MINUTE)
  const serious = early.filter(({ urgency }) => urgency !== 'caution').length
  if (serious > 0) {
    const wrong = serious === 1 ? 'something was wrong' : `${serious} things were wrong`
    return `Not good: ${how}, but ${wrong} before its first minute was over.`
  }
  if (early.length > 0) return `Good but for ${plural(early.length, 'caution')} up to its first minute: ${how}.`
  if (judged === 0) return `${upper(how)}; whether it was good could not be judged.`
  return `Good, as far as could be judged: ${how}, and nothing was wrong in its first minute.`
}

const RUNNING: ReadonlySet<Phase['kind']> = new Set(['run-up', 'idle-settle', 'idle', 'warm-idle', 'load'])
/** What comes later is no longer the start, in microseconds. Source: our own choice. */
const FIRST_MINUTE = 60 * SECOND

/** Whoever reads one sentence must know that half of the log is missing. */
function withDamage({ headline, basis }: VerdictParts, damage: string | null): VerdictParts {
  if (damage === null) return { headline, basis }
  return basis === null ? alone(`${headline} ${damage}`) : { headline, basis: `${basis} ${damage}` }
}

function wrongAnswer(findings: readonly Finding[], judged: number): string {
  if (findings.length === 0 && judged === 0) return 'Nobody can say: nothing could be judged.'
  if (findings.length === 0) return 'Nothing that the recording shows.'
  const more = findings.length > NAMED ? `; and ${findings.length - NAMED} more` : ''
  const titles = findings
    .slice(0, NAMED)
    .map((finding, index) => (index === 0 ? named(finding) : lowered(named(finding))))
  return `${titles.join('; ')}${more}.`
}

function firstAnswer({ next, engines, damage }: Grounds): string {
  const [first] = next
  if (engines.length === 0 && damage !== null) return 'The log: is it the right file, and did the recorder run?'
  if (first === undefined) return 'Leaks, levels, torque and routing: the checks by hand.'
  const key = KEY_WORDS[first.key]
  return key === '' ? shortened(first.text) : `${key}: ${lowered(shortened(first.text))}`
}

/** The first sentences of a step that say something, cut where they are long. */
function shortened(text: string): string {
  let sentence = ''
  for (const part of text.split(/(?<=[.?])\s+(?=\p{Lu})/u)) {
    if (sentence.length >= SHORTEST_STEP) break
    sentence = sentence === '' ? part : `${sentence} ${part}`
  }
  if (sentence.length <= LONGEST_STEP) return sentence
  const part = sentence.slice(0, LONGEST_STEP)
  return `${part.slice(0, Math.max(part.lastIndexOf(', '), part.lastIndexOf(': '), LONGEST_STEP / 2))} …`
}

function openAnswer(checks: readonly CheckResult[], manual: number): string {
  const open = checks.filter(({ verdict }) => verdict === 'not-judged').length
  return `${open} of ${plural(checks.length, 'check')}; and leaks, levels, torque, routing: ${manual} checks by hand.`
}

function seconds(phases: readonly Phase[]): string {
  const sum = phases.reduce((total, { from, to }) => total + to - from, 0) / SECOND
  return `${sum.toFixed(1)} s`
}

function plural(count: number, one: string): string {
  return `${count} ${one}${count === 1 ? '' : 's'}`
}

/** The first letter small, unless the word is an abbreviation or a number with one. */
function lowered(text: string): string {
  return /^(?:[A-Z][a-z]|A )/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text
}

function upper(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
