import { describe, expect, it, test } from 'vitest'
import { at, check, engine, group, phase } from '../../../tests/support/invented-report.js'
import { concludeFrom, type Grounds } from './conclusion.js'
import { findingsOf, nextSteps } from './findings.js'
import type { CheckResult, FaultGroup, Phase, Verdict } from './model.js'
import type { Answer } from './report.js'

const START: readonly Phase[] = [
  phase('key-on', 0, 6),
  phase('cranking', 6, 8, { attempt: { number: 1, started: true } }),
  phase('idle', 8, 60),
]

function conclude(
  checks: readonly CheckResult[],
  phases: readonly Phase[] = START,
  faults: readonly FaultGroup[] = [],
  damage: string | null = null,
) {
  const engines = phases.length === 0 && checks.length === 0 ? [] : [engine(checks, phases)]
  const findings = findingsOf(faults, [{ kind: 'check', sa: 0, results: checks }])
  const grounds: Grounds = { engines, bus: [], faults, findings, next: nextSteps(findings), manual: 37, damage }
  const conclusion = concludeFrom(grounds)
  const answer = (wanted: Answer['id']): string => conclusion.answers.find(({ id }) => id === wanted)?.answer ?? ''
  return {
    ...conclusion,
    answer: { start: answer('start'), wrong: answer('wrong'), first: answer('first'), open: answer('open') },
  }
}

const some = (verdict: Verdict, count: number): CheckResult[] =>
  Array.from({ length: count }, (_, i) =>
    check(`${verdict}-${i}`, {
      verdict,
      title: `Check ${i}`,
      evidence: [{ text: '', from: at(9), to: at(9), signals: [] }],
    }),
  )

describe('the verdict', () => {
  it('says in its one sentence that the log is damaged, and what is to be done where there is nothing else', () => {
    const cut = 'The compressed log is damaged or ends early: only what came before was read.'
    const short = conclude(some('pass', 2), START, [], cut)
    expect(short.verdict).toBe(`No fault found in what could be judged: 2 of 2 checks. ${cut}`)
    const empty = conclude([], [], [], 'The log is empty: it holds no frame.')
    expect(empty.verdict).toContain('The log is empty')
    expect(empty.answer.wrong).toBe('Nobody can say: nothing could be judged.')
    expect(empty.answer.first).toBe('The log: is it the right file, and did the recorder run?')
  })

  it('says how much could be judged where nothing was found, and never that all is well', () => {
    const { level, verdict, answer } = conclude([...some('pass', 14), ...some('not-judged', 13)])
    expect(level).toBe('none-found')
    expect(verdict).toBe('No fault found in what could be judged: 14 of 27 checks.')
    expect(answer.open).toBe('13 of 27 checks; and leaks, levels, torque, routing: 37 checks by hand.')
    expect(verdict).not.toMatch(/\b(ok|good|fine|healthy|all)\b/i)
  })

  it('says the same of a run in which everything could be judged: the work by hand stays', () => {
    expect(conclude(some('pass', 3)).answer.open).toContain('37 checks by hand')
  })

  it('counts cautions', () => {
    const { level, verdict } = conclude([...some('pass', 3), ...some('caution', 2)])
    expect([level, verdict]).toEqual([
      'caution',
      'No fault found in what could be judged, 5 of 5 checks, but 2 cautions.',
    ])
  })

  it('names the first thing that is wrong', () => {
    const { level, verdict } = conclude([...some('pass', 3), ...some('fail', 1), ...some('not-judged', 1)])
    expect(level).toBe('fail')
    expect(verdict).toBe('Not in order: check 0 (failed). 1 check failed; 4 of 5 checks could be judged.')
  })

  it('begins with stop where somebody has to', () => {
    expect(conclude(some('pass', 1), START, [group(100, 1)]).verdict).toMatch(
      /^Stop\. Do not run the engine: probably no oil pressure\./,
    )
  })

  it('says why something is wrong where no check failed: a node reports it', () => {
    expect(conclude(some('pass', 1), START, [group(110, 0)]).verdict).toMatch(
      /\. 1 fault reported, no check failed; 1 of 1 checks could be judged\.$/,
    )
  })

  it('never says for certain what is only possible', () => {
    const [cause] = group(110, 0).causes
    const perhaps = { ...group(110, 0), causes: [{ ...cause, title: 'A leak', confidence: 'possible' as const }] }
    const reported = { ...group(110, 0), causes: [{ ...cause, title: 'A leak', confidence: 'unsupported' as const }] }
    expect(conclude([], START, [perhaps]).verdict).toContain(': possibly a leak.')
    expect(conclude([], START, [reported]).answer.wrong).toBe('Reported, but shown by no value: a leak.')
  })

  it('gives what it comes to apart from what it rests on, in whatever numbers and sentences either is', () => {
    const low = check('supply', { verdict: 'fail', title: 'Supply fell to 11.8 V. Charge' })
    const cut = 'The log ends at 11.8 V: 3 of 20 checks could be judged.'
    const { verdict, headline, basis } = conclude([low, ...some('pass', 1)], START, [], cut)
    expect(headline).toBe('Not in order: supply fell to 11.8 V. Charge (failed).')
    expect(basis).toBe(`1 check failed; 2 of 2 checks could be judged. ${cut}`)
    expect(verdict).toBe(`${headline} ${basis}`)
  })

  it('is one sentence where that says already what it rests on, and what is wrong with the log', () => {
    const { verdict, headline, basis } = conclude(some('pass', 2), START, [], 'The log is cut.')
    expect([headline, basis]).toEqual(['No fault found in what could be judged: 2 of 2 checks. The log is cut.', null])
    expect(verdict).toBe(headline)
  })

  it('says when nothing could be judged', () => {
    const { level, verdict } = conclude(some('not-judged', 9))
    expect([level, verdict]).toEqual(['nothing-judged', 'Nothing could be judged: none of 9 checks had what it needs.'])
  })

  it('counts active faults', () => {
    expect(conclude([], START, [group(100, 1), group(110, 0)]).faults).toBe(2)
  })
})

describe('was the first start good?', () => {
  const failed = phase('cranking', 6, 12, { attempt: { number: 1, started: false } })

  test.each<[string, readonly Phase[], readonly CheckResult[], RegExp]>([
    [
      'a good one',
      START,
      some('pass', 1),
      /^Good, as far as could be judged: it started after 2\.0 s of cranking, and nothing was wrong in its first minute\.$/,
    ],
    [
      'a fault in its first minute',
      START,
      some('fail', 1),
      /^Not good: it started after 2\.0 s of cranking, but something was wrong before its first minute was over\.$/,
    ],
    [
      'two faults',
      START,
      some('fail', 2),
      /^Not good: it started after 2\.0 s of cranking, but 2 things were wrong before its first minute was over\.$/,
    ],
    [
      'a caution',
      START,
      some('caution', 1),
      /^Good but for 1 caution up to its first minute: it started after 2\.0 s of cranking\.$/,
    ],
    [
      'nothing judged',
      START,
      some('not-judged', 1),
      /^It started after 2\.0 s of cranking; whether it was good could not be judged\.$/,
    ],
    [
      'at the second attempt',
      [failed, phase('cranking', 40, 44, { attempt: { number: 2, started: true } })],
      some('pass', 1),
      /it started at attempt 2, after 10\.0 s of cranking,/,
    ],
    ['never', [failed], some('pass', 1), /^No: the engine did not start, 1 attempt, 6\.0 s of cranking\.$/],
    ['running already', [phase('idle', 0, 60)], some('pass', 1), /^Not seen: the engine was already running/],
    ['never cranked', [phase('key-on', 0, 60)], some('pass', 1), /^Not seen: the engine was never cranked/],
    ['no engine', [], [], /^Not seen: no engine controller speaks/],
  ])('%s', (_, phases, checks, words) => {
    expect(conclude(checks, phases).answer.start).toMatch(words)
  })

  it('answers for each of two engines, and leaves out what is the other’s', () => {
    const good = engine(some('pass', 1), START)
    const bad = { ...engine(some('fail', 1), START), sa: 1, title: 'Engine 2 (address 1)' }
    const findings = findingsOf([], [{ kind: 'check', sa: 1, results: bad.checks }])
    const { answers } = concludeFrom({
      engines: [good, bad],
      bus: [],
      faults: [],
      findings,
      next: nextSteps(findings),
      manual: 37,
      damage: null,
    })
    expect(answers[0].answer).toMatch(/^Engine 1 \(address 0\): Good, .+ Engine 2 \(address 1\): Not good: /)
  })

  it('does not count what came later than a minute after the start', () => {
    const late = check('late', { verdict: 'fail', evidence: [{ text: '', from: at(200), to: at(201), signals: [] }] })
    expect(conclude([late]).answer.start).toContain('nothing was wrong in its first minute')
  })
})

describe('the other answers', () => {
  it('name what is wrong and the first step', () => {
    const { answer } = conclude([], START, [group(100, 1)])
    expect(answer.wrong).toBe('Probably no oil pressure.')
    expect(answer.first).toBe('Key off: stop the engine. Measure with a mechanical gauge.')
  })

  it('cut a long list and a long step', () => {
    const long = `Measure ${'one thing, '.repeat(30)}and stop.`
    const checks = some('fail', 6).map((one) => ({ ...one, advice: long }))
    const { answer } = conclude(checks)
    expect(answer.wrong).toMatch(/; and 3 more\.$/)
    expect(answer.first.length).toBeLessThan(120)
    expect(answer.first).toMatch(/ …$/)
  })

  it('send a person to the list by hand where nothing was found', () => {
    expect(conclude(some('pass', 1)).answer.first).toMatch(/^Leaks, levels, torque and routing/)
  })
})
