import { describe, expect, it } from 'vitest'
import { check, episode, group, redLamp, step } from '../../../tests/support/invented-report.js'
import { findingsOf, nextSteps } from './findings.js'
import type { FaultGroup } from './model.js'

const judged = (...results: ReturnType<typeof check>[]) => [{ kind: 'check' as const, sa: 0, results }]
const ref = (spn: number) => ({ channel: 'can0', sa: 0, pgn: 65263, spn })
const evidence = (...spns: number[]) => [{ text: 'Seen.', from: 1, to: 2, signals: spns.map(ref) }]
const cause = (more: Partial<FaultGroup['causes'][0]> = {}): FaultGroup['causes'] => [
  {
    id: 'a',
    title: 'A',
    confidence: 'probable',
    supported: { facts: 1, of: 1 },
    supports: [],
    contradicts: [],
    steps: [step('Look.')],
    ...more,
  },
]
/** A group whose cause says nothing of stopping. */
const mild = (spn: number, more: Partial<FaultGroup> = {}): FaultGroup => group(spn, 3, { causes: cause(), ...more })

describe('the order of findings', () => {
  it('is stop, fail, caution; then probable, possible, unsupported; then checks', () => {
    const groups = [
      mild(1, { causes: cause({ id: 'unsupported', confidence: 'unsupported' }) }),
      mild(2, { causes: cause({ id: 'possible', confidence: 'possible' }) }),
      mild(3, { causes: cause({ id: 'probable' }) }),
      mild(4, { faults: [], causes: cause({ id: 'only-a-caution' }) }),
      group(100, 1),
    ]
    const found = findingsOf(
      groups,
      judged(check('check-caution', { verdict: 'caution' }), check('check-fail', { verdict: 'fail' }), check('fine')),
    )
    expect(found.map(({ id, urgency }) => [id, urgency])).toEqual([
      ['oil-pressure-missing', 'stop'],
      ['probable', 'fail'],
      ['possible', 'fail'],
      ['unsupported', 'fail'],
      ['check-fail', 'fail'],
      ['only-a-caution', 'caution'],
      ['check-caution', 'caution'],
    ])
  })

  it('puts what began first before what came later', () => {
    const groups = [
      mild(1, { from: 20, causes: cause({ id: 'late' }) }),
      mild(2, { from: 10, causes: cause({ id: 'early' }) }),
    ]
    expect(findingsOf(groups, []).map(({ id }) => id)).toEqual(['early', 'late'])
  })
})

describe('urgency', () => {
  it('is stop where a node lit the red lamp', () => {
    const [fault] = mild(110).faults
    const lit = mild(110, { faults: [{ ...fault, episodes: [episode(110, 0, { lamps: redLamp })] }] })
    expect(findingsOf([lit], [])[0].urgency).toBe('stop')
  })

  it('is no stop where the fault is only a stored one', () => {
    const [fault] = group(100, 1).faults
    const stored = group(100, 1, {
      faults: [{ ...fault, episodes: [episode(100, 1, { state: 'previously-active' })] }],
    })
    expect(findingsOf([stored], [])[0].urgency).toBe('caution')
  })

  it('is stop for a failed check that says so, and not for one that is only a caution', () => {
    const of = (verdict: 'fail' | 'caution') =>
      findingsOf([], judged(check('oil', { verdict, cautions: ['no-oil-pressure'] })))[0].urgency
    expect([of('fail'), of('caution')]).toEqual(['stop', 'caution'])
  })
})

describe('checks that a cause explains', () => {
  const bad = check('boost', { verdict: 'fail', evidence: evidence(102, 190) })

  it('are not told again where the group names them', () => {
    const found = findingsOf([mild(157, { checks: ['boost'] })], judged(bad))
    expect(found.map(({ id, checks }) => [id, checks])).toEqual([['a', ['boost']]])
  })

  it('are not told again where they judge the signal of the fault', () => {
    expect(findingsOf([mild(102)], judged(bad)).map(({ id }) => id)).toEqual(['a'])
  })

  it('stand for themselves where the signal of the fault is only a condition of theirs', () => {
    expect(findingsOf([mild(190)], judged(bad)).map(({ id }) => id)).toEqual(['a', 'boost'])
  })

  it('stand for themselves where nothing supports the cause', () => {
    const found = findingsOf([mild(102, { causes: cause({ confidence: 'unsupported' }) })], judged(bad))
    expect(found.map(({ id }) => id)).toEqual(['a', 'boost'])
  })

  it('stand for themselves where they say stop', () => {
    const stop = { ...bad, evidence: evidence(100), cautions: ['no-oil-pressure'] }
    expect(findingsOf([mild(100)], judged(stop)).map(({ id }) => id)).toEqual(['boost', 'a'])
  })

  it('that compare signals are explained by a fault of any of them', () => {
    const soak = check('cold-soak-spread', { verdict: 'fail', evidence: evidence(110, 105, 175) })
    expect(findingsOf([mild(105)], judged(soak)).map(({ id }) => id)).toEqual(['a'])
  })
})

describe('what to do next', () => {
  it('follows the findings and says nothing twice', () => {
    const found = findingsOf(
      [
        group(100, 1),
        mild(3, { causes: cause({ steps: [step('Follow the hoses of the remote filter.'), step('Look.')] }) }),
      ],
      judged(check('idle', { verdict: 'caution', advice: 'Listen.' })),
    )
    expect(nextSteps(found).map(({ text, finding }) => [text, finding])).toEqual([
      ['Stop the engine. Measure with a mechanical gauge.', 'oil-pressure-missing'],
      ['Follow the hoses of the remote filter.', 'oil-pressure-missing'],
      ['Look.', 'a'],
      ['Listen.', 'idle'],
    ])
  })
})

describe('what is said of a cause', () => {
  it('counts its facts, its contradictions and the faults that follow, and names another', () => {
    const [fault] = mild(1).faults
    const [first] = cause()
    const found = findingsOf(
      [
        mild(1, {
          faults: [fault, { ...fault, spn: 2, follows: { spn: 1, fmi: 3 } }],
          causes: [
            { ...first, supported: { facts: 3, of: 5 }, contradicts: group(100, 1).causes[0].contradicts },
            { ...first, title: 'B' },
          ],
        }),
      ],
      [],
    )
    expect(found[0].text).toBe(
      'Probable root: 3 of 5 facts support it, 1 speaks against it. It explains 1 more fault. If not: B.',
    )
  })

  it('says when nothing but the controller says so', () => {
    expect(findingsOf([mild(1, { causes: cause({ confidence: 'unsupported' }) })], [])[0].text).toBe(
      'The controller says so; nothing else in the recording shows it.',
    )
  })
})
