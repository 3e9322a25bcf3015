/** Makes pairs of runs, compares them, and looks whether the grades are right. */
import { analyse, type Comparison, compareRuns, type Grade, type Run } from '@firstcrank/analysis'
import { openRecording } from '@firstcrank/decoder'
import { SCENARIOS, type Scenario, simulate, type Truth } from '@firstcrank/simulator'
import { FIRST_SEED } from './draws.js'
import { bytes } from './judge.js'
import { DEEDS, type Deed, type Pair, type PairRun, pairOf, rightGrades } from './pair-kinds.js'
import { repairsPart } from './pair-tables.js'

export interface PairOptions {
  /** Seeds of each deed. */
  readonly seeds: number
  /** Where seeds begin; {@link FIRST_SEED} where not given. */
  readonly firstSeed?: number
  /** Only deeds or stories with one of these in their name. */
  readonly only?: readonly string[]
  /** Called after each pair. */
  readonly onPair?: (outcome: PairOutcome, done: number, of: number) => void
}

/** What came of one pair. */
export interface PairOutcome {
  readonly pair: string
  readonly deed: Deed
  readonly story: string
  readonly proof: Pair['proof']
  readonly seed: number
  /** Whether a root fault showed before: without one there is nothing to compare. */
  readonly shows: boolean
  /** Grades of the root faults, in the order of the comparison. */
  readonly grades: readonly Grade[]
  /** Every root fault has a right grade, and new faults are those that are. */
  readonly isRight: boolean
  /** What was not right; empty where all was. */
  readonly why: string
  /** Some fault that is not mended is called proved; or called supported. */
  readonly wronglyProved: boolean
  readonly wronglySupported: boolean
}

/** Compares as many pairs as asked for. */
export async function evaluatePairs({
  seeds,
  firstSeed = FIRST_SEED,
  only,
  onPair,
}: PairOptions): Promise<{ readonly outcomes: readonly PairOutcome[]; readonly part: string }> {
  const pairs = DEEDS.flatMap(({ deed }) =>
    Array.from({ length: seeds }, (_, index) => pairOf(deed, firstSeed + index)),
  )
  const wanted = pairs.filter(({ deed, story }) => only?.some((part) => `${deed} ${story}`.includes(part)) ?? true)
  const outcomes: PairOutcome[] = []
  for (const pair of wanted) {
    const outcome = await judgePair(pair)
    outcomes.push(outcome)
    onPair?.(outcome, outcomes.length, wanted.length)
  }
  return { outcomes, part: repairsPart(outcomes, firstSeed) }
}

/** One run made and analysed. */
async function made({ scenario, options }: PairRun): Promise<{ readonly run: Run; readonly truth: Truth }> {
  const simulation = simulating(scenario, options)
  const recording = await openRecording(bytes(simulation.chunks), { summary: true })
  const title = scenario.name
  return {
    run: { recording, report: analyse(recording, undefined, { name: title }), title },
    truth: simulation.truth(),
  }
}

/** The simulator finds scenarios by name in its own list: this one stands there for the moment of asking. */
function simulating(scenario: Scenario, options: PairRun['options']): ReturnType<typeof simulate> {
  const list = SCENARIOS as Scenario[]
  list.unshift(scenario)
  try {
    return simulate(scenario.name, options)
  } finally {
    list.shift()
  }
}

export async function judgePair(pair: Pair): Promise<PairOutcome> {
  const before = await made(pair.before)
  const after = await made(pair.after)
  return outcomeOf(pair, compareRuns(before.run, after.run), before.truth, after.truth)
}

/** Looks at a comparison with the truth of both runs in hand. */
export function outcomeOf(pair: Pair, { faults }: Comparison, before: Truth, after: Truth): PairOutcome {
  const roots = before.expectedFaults.filter(({ root }) => root)
  const judged = faults.filter(
    ({ sa, spn, grade }) => grade !== null && roots.some((root) => root.sa === sa && root.spn === spn),
  )
  const wrong = judged.flatMap(({ sa, spn, grade }) => {
    const right = rightGrades(pair, isIn(after, sa, spn), enoughOf(before, after, sa, spn))
    return grade === null || right.includes(grade) ? [] : [`${sa}/${spn} ${grade}, right is ${right.join(' or ')}`]
  })
  const fresh = [...new Set(faults.filter(({ change }) => change === 'new').map(({ spn }) => spn))]
  const strange = fresh.filter((spn) => spn !== pair.fresh && !after.episodes.some((episode) => episode.spn === spn))
  const missing = pair.fresh !== null && !fresh.includes(pair.fresh) ? [pair.fresh] : []
  const why = [
    ...wrong,
    ...strange.map((spn) => `new ${spn} is not there`),
    ...missing.map((spn) => `new ${spn} is not told`),
  ]
  const claimed = (grade: Grade): boolean => !pair.isMended && faults.some((fault) => fault.grade === grade)
  return {
    pair: `${pair.deed} ${pair.story}`,
    deed: pair.deed,
    story: pair.story,
    proof: pair.proof,
    seed: pair.seed,
    shows: judged.length > 0,
    grades: judged.flatMap(({ grade }) => grade ?? []),
    isRight: why.length === 0,
    why: why.join('; '),
    wronglyProved: claimed('proved'),
    wronglySupported: claimed('supported'),
  }
}

const isIn = ({ episodes }: Truth, sa: number, spn: number): boolean =>
  episodes.some((episode) => episode.sa === sa && episode.spn === spn)

/**
 * x times in the earlier run, and none in the later, rule chance out at one in twenty where the later run
 * is longer than (20^(1/x) − 1) times the earlier: how often it is that long. By the running time of the
 * truth, not by anything the comparison counts.
 */
function enoughOf(before: Truth, after: Truth, sa: number, spn: number): number {
  const times = before.episodes.filter((episode) => episode.sa === sa && episode.spn === spn).length
  return running(after) / ((20 ** (1 / Math.max(1, times)) - 1) * running(before))
}

/** s of running. */
function running({ phases }: Truth): number {
  const runs = phases.filter(({ phase }) => ['run-up', 'idle', 'load'].includes(phase))
  return runs.reduce((sum, { from, to }) => sum + to - from, 0)
}
