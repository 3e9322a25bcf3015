/** Runs an evaluation: makes, judges and scores as many recordings as asked for. */
import { SCENARIOS } from '@firstcrank/simulator'
import { type Draw, drawsOf, FIRST_SEED, healthyDraws } from './draws.js'
import { judge, type Outcome } from './judge.js'
import { causesPart } from './tables.js'

export interface EvaluationOptions {
  /** Runs of each scenario with something wrong. */
  readonly seeds: number
  /** Where seeds begin; {@link FIRST_SEED} where not given. */
  readonly firstSeed?: number
  /** Healthy runs. */
  readonly healthy: number
  /** Only scenarios with one of these in their name; all where not given. */
  readonly only?: readonly string[]
  /** Called after each run. */
  readonly onRun?: (outcome: Outcome, done: number, of: number) => void
}

export interface Evaluation {
  readonly faulty: readonly Outcome[]
  readonly healthy: readonly Outcome[]
  /** The part `causes` of the page, Markdown. */
  readonly part: string
}

export async function evaluate({
  seeds,
  firstSeed = FIRST_SEED,
  healthy,
  only,
  onRun,
}: EvaluationOptions): Promise<Evaluation> {
  const wanted = SCENARIOS.filter(
    ({ cause, name }) => cause !== 'none' && (only?.some((part) => name.includes(part)) ?? true),
  )
  const faultyDraws = wanted.flatMap((scenario) => drawsOf(scenario, seeds, firstSeed))
  const draws: readonly Draw[] = [...faultyDraws, ...healthyDraws(healthy, firstSeed)]
  const outcomes: Outcome[] = []
  for (const draw of draws) {
    const outcome = await judge(draw)
    outcomes.push(outcome)
    onRun?.(outcome, outcomes.length, draws.length)
  }
  const faulty = outcomes.slice(0, faultyDraws.length)
  const rest = outcomes.slice(faultyDraws.length)
  return { faulty, healthy: rest, part: causesPart(faulty, rest, firstSeed) }
}
