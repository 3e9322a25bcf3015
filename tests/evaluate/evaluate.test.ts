/** The evaluation in short, on seeds for tuning: `npm run evaluate` is the whole of it. */
import { HYPOTHESES } from '@firstcrank/analysis'
import { SCENARIOS } from '@firstcrank/simulator'
import { describe, expect, it, test } from 'vitest'
import { chance, drawsOf, FIRST_SEED, healthyDraws, TUNING_END } from './draws.js'
import { judge, type Outcome } from './judge.js'
import { PARTS, partsOf, withPart } from './page.js'
import { namesRoot, ROOTS } from './roots.js'
import { boundaryScores, causesPart, healthyScore, scenarioScores } from './tables.js'

const TUNING_SEED = 1
/** Short recordings, one for each kind of trouble. */
const QUICK = [
  'heater-link-open',
  'poor-ground-in-crank',
  'blocked-oil-hose',
  'dry-remote-filter',
  'intake-temperature-unplugged',
  'boost-sensor-drift',
  'terminator-contact',
  'gauge-address-conflict',
]

test.each(QUICK)('%s: the root is ranked first', async (name) => {
  const scenario = SCENARIOS.find((candidate) => candidate.name === name)
  const [draw] = drawsOf(scenario!, 1, TUNING_SEED)
  const { shows, first, rank, wrongAndSure } = await judge(draw)
  expect({ shows, first, rank, wrongAndSure }).toMatchObject({ shows: true, rank: 1, wrongAndSure: false })
})

test.each(healthyDraws(6, TUNING_SEED))('$scenario $options: nothing to complain of', async (draw) => {
  const { fails, cautions, first } = await judge(draw)
  expect({ fails, cautions, first }).toEqual({ fails: [], cautions: [], first: null })
})

describe('what the right answer is', () => {
  const causes = SCENARIOS.map(({ cause }) => cause).filter((cause) => cause !== 'none')

  it('is written down for every cause the simulator builds in', () => {
    expect(causes.filter((cause) => ROOTS[cause] === undefined)).toEqual([])
    expect(Object.keys(ROOTS).filter((cause) => !causes.includes(cause))).toEqual([])
  })

  it('names causes there are, or a circuit of one part', () => {
    const known = new Set(HYPOTHESES.map(({ id }) => id))
    const strange = Object.entries(ROOTS).filter(
      ([, { ids, spn }]) => spn === undefined && !ids.every((id) => known.has(id)),
    )
    expect(strange).toEqual([])
  })

  it('is about the part itself where the cause has no name of its own', () => {
    const finding = (spn: number) => ({ id: 'circuit-open', faults: [{ sa: 0, spn, fmi: 3 }] })
    expect([
      namesRoot(finding(105), 'intake-temperature-open'),
      namesRoot(finding(110), 'intake-temperature-open'),
    ]).toEqual([true, false])
    expect(namesRoot({ id: 'bus-wiring', faults: [] }, 'boost-leak')).toBe(false)
  })
})

describe('draws', () => {
  const [scenario] = SCENARIOS.filter(({ cause }) => cause !== 'none')

  it('are the same each time, and differ from one another', () => {
    expect(drawsOf(scenario, 5, FIRST_SEED)).toEqual(drawsOf(scenario, 5, FIRST_SEED))
    const weathers = drawsOf(scenario, 20, FIRST_SEED).map(({ options }) => options.ambient)
    expect(new Set(weathers).size).toBeGreaterThan(15)
    expect(healthyDraws(30, FIRST_SEED)).toEqual(healthyDraws(30, FIRST_SEED))
  })

  it('use no seed on which anything is tuned', () => {
    const seeds = [...drawsOf(scenario, 25, FIRST_SEED), ...healthyDraws(500, FIRST_SEED)].map(
      ({ options }) => options.seed,
    )
    expect(Math.min(...seeds)).toBeGreaterThanOrEqual(FIRST_SEED)
    expect(FIRST_SEED).toBeGreaterThanOrEqual(TUNING_END)
    expect(new Set(seeds).size).toBe(seeds.length)
  })

  it('judge half of the runs with a profile', () => {
    expect(drawsOf(scenario, 10, FIRST_SEED).filter(({ profile }) => profile.engine.displacement === 3)).toHaveLength(5)
  })

  it('are spread evenly', () => {
    const random = chance('spread')
    const counts = [0, 0, 0, 0]
    for (let i = 0; i < 4000; i++) counts[Math.floor(random() * 4)]++
    for (const count of counts) expect(Math.abs(count - 1000)).toBeLessThan(120)
  })
})

describe('scores', () => {
  const { name, cause } = SCENARIOS.find((scenario) => scenario.name === 'boost-hose-off')!
  const outcome = (more: Partial<Outcome>): Outcome => ({
    draw: { ...healthyDraws(1, FIRST_SEED)[0], scenario: name },
    cause,
    shows: true,
    first: { id: 'boost-leak', confidence: 'probable' },
    rank: 1,
    wrongAndSure: false,
    cautions: [],
    fails: [],
    boundaries: [],
    took: 100,
    ...more,
  })

  it('leave out what does not show, but never forgive a wrong and sure answer', () => {
    const wrong = { id: 'egr-stuck', confidence: 'probable' } as const
    const [score] = scenarioScores([
      outcome({}),
      outcome({ rank: 2, first: wrong, wrongAndSure: true }),
      outcome({ rank: null, first: null }),
      outcome({ shows: false, rank: null, first: wrong, wrongAndSure: true }),
    ])
    expect(score).toMatchObject({ runs: 4, shown: 3, first: 1, ranked: 2, wrongAndSure: 2 })
    expect(score.instead).toEqual([
      ['egr-stuck', 1],
      ['nothing', 1],
    ])
  })

  it('count a healthy run once, by its worst', () => {
    const score = healthyScore([
      outcome({}),
      outcome({ cautions: ['a'] }),
      outcome({ fails: ['b', 'b'], cautions: ['a'] }),
    ])
    expect(score).toEqual({
      runs: 3,
      withFail: 1,
      withCaution: 1,
      names: [
        ['a', 2],
        ['b', 1],
      ],
    })
  })

  it('give errors of boundaries without their sign, and count the missed', () => {
    const boundaries = [-0.3, 0.1, 0.2, null].map((error) => ({ boundary: 'engine fires' as const, error }))
    const score = boundaryScores([outcome({ boundaries })]).find(({ boundary }) => boundary === 'engine fires')
    expect(score).toEqual({ boundary: 'engine fires', count: 4, missed: 1, median: 0.2, most: 0.3, worst: 0.3 })
  })

  it('become a part that says when it is for tuning only', () => {
    expect(causesPart([outcome({})], [outcome({})], FIRST_SEED)).toContain('1 of 1 runs: 100.0 %')
    expect(causesPart([], [], FIRST_SEED)).not.toContain('for tuning, not an evaluation')
    expect(causesPart([], [], TUNING_SEED)).toContain('for tuning, not an evaluation')
  })
})

describe('boundaries', () => {
  it('count where they are what the word means', async () => {
    // Its injection stops for moments that the engine survives, and once for good.
    const scenario = SCENARIOS.find(({ name }) => name === 'lost-ignition-feed')!
    const [, draw] = drawsOf(scenario, 2, TUNING_SEED)
    const { boundaries } = await judge(draw)
    const times = (boundary: string) => boundaries.filter((error) => error.boundary === boundary).length
    expect([times('crank begins'), times('engine fires'), times('shutdown begins')]).toEqual([2, 2, 2])
    expect(boundaries.filter(({ error }) => error === null)).toEqual([])
  })
})

describe('the page', () => {
  it('keeps the part that was not made anew', () => {
    const page = withPart(withPart('', 'repairs', 'old repairs'), 'causes', 'new causes')
    expect(partsOf(page)).toEqual({ causes: 'new causes', repairs: 'old repairs' })
    expect(partsOf(withPart(page, 'repairs', 'new repairs'))).toEqual({ causes: 'new causes', repairs: 'new repairs' })
    expect(page.indexOf('new causes')).toBeLessThan(page.indexOf('old repairs'))
    expect(PARTS.every((name) => page.includes(`<!-- part: ${name} -->`))).toBe(true)
  })
})
