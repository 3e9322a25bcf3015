/** The evaluation of repairs in short, on seeds for tuning: `npm run evaluate -- repairs` is the whole of it. */
import { describe, expect, it, test } from 'vitest'
import { FIRST_SEED } from './draws.js'
import { DEEDS, type Deed, pairOf, rightGrades, STORIES } from './pair-kinds.js'
import { repairsPart } from './pair-tables.js'
import { judgePair, type PairOutcome } from './pairs.js'

/** A tuning seed at which a deed tells a story. */
function seedOf(deed: Deed, story: string): number {
  for (let seed = 1; seed < 100; seed++) if (pairOf(deed, seed).story === story) return seed
  throw new Error(`${deed} has no story ${story}`)
}

const QUICK: readonly (readonly [Deed, string, readonly string[]])[] = [
  ['mended', 'egr-valve-stuck', ['proved']],
  ['mended', 'water-in-fuel', ['supported']],
  ['mended', 'terminator-contact', ['supported']],
  ['mended-elsewhere', 'heater-link-open', ['proved']],
  ['mended-and-new', 'boost-sensor-drift', ['proved']],
  ['not-exercised', 'crank-sensor-gap', ['not-tested']],
  ['cleared-only', 'intake-temperature-unplugged', ['came-back']],
  ['cleared-only', 'boost-sensor-drift', ['came-back']],
]

test.each(QUICK)(
  '%s, %s: %j',
  async (deed, story, grades) => {
    const outcome = await judgePair(pairOf(deed, seedOf(deed, story)))
    expect(outcome).toMatchObject({
      shows: true,
      isRight: true,
      why: '',
      wronglyProved: false,
      wronglySupported: false,
    })
    expect([...new Set(outcome.grades)]).toEqual(grades)
  },
  60_000,
)

describe('what the right answer is', () => {
  const pair = (deed: Deed, story: string) => pairOf(deed, seedOf(deed, story))

  it('follows from what was done and how a repair can show', () => {
    expect(rightGrades(pair('mended', 'egr-valve-stuck'), false, 0)).toEqual(['proved'])
    expect(rightGrades(pair('mended', 'water-in-fuel'), false, 0)).toEqual(['supported'])
    expect(rightGrades(pair('mended', 'five-volt-short'), false, 2)).toEqual(['supported'])
    expect(rightGrades(pair('mended', 'five-volt-short'), false, 0.5)).not.toContain('supported')
    expect(rightGrades(pair('cleared-only', 'egr-valve-stuck'), true, 0)).toEqual(['came-back'])
    expect(rightGrades(pair('not-exercised', 'five-volt-short'), false, 9)).toEqual(['not-tested'])
  })

  it('never has a repair where nothing was mended', () => {
    for (const { deed } of DEEDS.filter(({ deed: name }) => !name.startsWith('mended'))) {
      for (const story of STORIES.filter((other) => DEEDS.find((row) => row.deed === deed)?.suits(other))) {
        const right = rightGrades(pair(deed, story.name), false, 9)
        expect(right).not.toContain('proved')
        expect(right).not.toContain('supported')
      }
    }
  })

  it('is asked of every story, with seeds of its own', () => {
    const seeds = Array.from({ length: 50 }, (_, index) => FIRST_SEED + index)
    expect(new Set(seeds.map((seed) => pairOf('mended', seed).story)).size).toBe(STORIES.length)
    for (const seed of seeds) {
      const { before, after } = pairOf('mended', seed)
      expect(after.options.seed).not.toBe(before.options.seed)
      expect(after.scenario.failures).toEqual([])
    }
  })
})

test('the part counts what is wrong, and what is claimed without right', () => {
  const outcome = (more: Partial<PairOutcome>): PairOutcome => ({
    pair: 'cleared-only egr-valve-stuck',
    deed: 'cleared-only',
    story: 'egr-valve-stuck',
    proof: 'direct',
    seed: FIRST_SEED,
    shows: true,
    grades: ['came-back'],
    isRight: true,
    why: '',
    wronglyProved: false,
    wronglySupported: false,
    ...more,
  })
  const part = repairsPart(
    [
      outcome({}),
      outcome({ grades: ['proved'], isRight: false, why: '0/27 proved, right is came-back', wronglyProved: true }),
      outcome({ shows: false, grades: [] }),
    ],
    FIRST_SEED,
  )
  expect(part).toContain('The grade is right in 1 of 2 pairs: 50.0 %. “Proved” of something that was not mended: 1;')
  expect(part).toContain('0/27 proved, right is came-back (1)')
})
