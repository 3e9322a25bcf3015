/** What many runs come to, as tables of Markdown. */
import { SCENARIOS } from '@firstcrank/simulator'
import { FIRST_SEED, TUNING_END } from './draws.js'
import { BOUNDARIES, type BoundaryError, type Outcome } from './judge.js'
import { RESULT } from './page.js'

/** Causes first, for one scenario. */
export interface ScenarioScore {
  readonly scenario: string
  readonly cause: string
  readonly runs: number
  /** Runs in which what is wrong shows. */
  readonly shown: number
  /** Of those: root ranked first, root ranked at all. Of all: a wrong root ranked first and called probable. */
  readonly first: number
  readonly ranked: number
  readonly wrongAndSure: number
  /** Root ranked first and called probable. */
  readonly sure: number
  /** What stood first instead, with how often. */
  readonly instead: readonly (readonly [id: string, count: number])[]
  /** Median time to analyse, ms. */
  readonly took: number
}

/** Healthy runs. */
export interface HealthyScore {
  readonly runs: number
  readonly withFail: number
  readonly withCaution: number
  /** By name of the check or cause, with how many runs. */
  readonly names: readonly (readonly [name: string, count: number])[]
}

/** Errors of one boundary, in seconds. */
export interface BoundaryScore {
  readonly boundary: string
  readonly count: number
  readonly missed: number
  readonly median: number | null
  /** 95 of 100 are no further off. */
  readonly most: number | null
  readonly worst: number | null
}

/** Scores of the scenarios with something wrong, in the simulator's order. */
export function scenarioScores(outcomes: readonly Outcome[]): ScenarioScore[] {
  return SCENARIOS.filter(({ cause }) => cause !== 'none').flatMap(({ name, cause }) => {
    const runs = outcomes.filter(({ draw }) => draw.scenario === name)
    if (runs.length === 0) return []
    const shown = runs.filter((run) => run.shows)
    return [
      {
        scenario: name,
        cause,
        runs: runs.length,
        shown: shown.length,
        first: shown.filter(({ rank }) => rank === 1).length,
        ranked: shown.filter(({ rank }) => rank !== null).length,
        wrongAndSure: runs.filter(({ wrongAndSure }) => wrongAndSure).length,
        sure: shown.filter(({ rank, first }) => rank === 1 && first?.confidence === 'probable').length,
        instead: counted(shown.filter(({ rank }) => rank !== 1).map(({ first }) => first?.id ?? 'nothing')),
        took:
          quantile(
            runs.map(({ took }) => took),
            0.5,
          ) ?? 0,
      },
    ]
  })
}

export function healthyScore(outcomes: readonly Outcome[]): HealthyScore {
  return {
    runs: outcomes.length,
    withFail: outcomes.filter(({ fails }) => fails.length > 0).length,
    withCaution: outcomes.filter(({ fails, cautions }) => fails.length === 0 && cautions.length > 0).length,
    names: counted(outcomes.flatMap(({ fails, cautions }) => [...new Set([...fails, ...cautions])])),
  }
}

export function boundaryScores(outcomes: readonly Outcome[]): BoundaryScore[] {
  const all = outcomes.flatMap(({ boundaries }) => boundaries)
  return BOUNDARIES.map((boundary) =>
    scoreOf(
      boundary,
      all.filter((error) => error.boundary === boundary),
    ),
  )
}

function scoreOf(boundary: string, errors: readonly BoundaryError[]): BoundaryScore {
  const found = errors.flatMap(({ error }) => (error === null ? [] : [Math.abs(error)]))
  return {
    boundary,
    count: errors.length,
    missed: errors.length - found.length,
    median: quantile(found, 0.5),
    most: quantile(found, 0.95),
    worst: quantile(found, 1),
  }
}

function counted(names: readonly string[]): (readonly [string, number])[] {
  const counts = new Map<string, number>()
  for (const name of names) counts.set(name, (counts.get(name) ?? 0) + 1)
  return [...counts].sort(([a, m], [b, n]) => n - m || a.localeCompare(b, 'en'))
}

function quantile(values: readonly number[], share: number): number | null {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted.length === 0 ? null : (sorted[Math.ceil(share * sorted.length) - 1] ?? sorted[0])
}

export const percent = (count: number, of: number): string => (of === 0 ? '–' : `${((100 * count) / of).toFixed(1)} %`)
const seconds = (value: number | null): string => (value === null ? '–' : value.toFixed(2))
const list = (names: readonly (readonly [string, number])[]): string =>
  names.map(([name, count]) => `${name} ${count}`).join(', ')

export function table(heads: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  const align = heads.map((_, index) => (index === 0 || index === heads.length - 1 ? '---' : '--:'))
  return [heads, align, ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n')
}

/** The part of the page on causes: what was asked, how, and what came of it. */
export function causesPart(faulty: readonly Outcome[], healthy: readonly Outcome[], firstSeed: number): string {
  const scores = scenarioScores(faulty)
  const score = healthyScore(healthy)
  const shown = sum(scores.map((row) => row.shown))
  const first = sum(scores.map((row) => row.first))
  const sure = sum(scores.map((row) => row.wrongAndSure))
  const rows = scores.map((row) => [
    row.scenario,
    row.runs,
    row.shown,
    percent(row.first, row.shown),
    percent(row.sure, row.shown),
    percent(row.ranked, row.shown),
    row.wrongAndSure,
    list(row.instead) || '–',
  ])
  const boundaries = boundaryScores([...faulty, ...healthy]).map((row) => [
    row.boundary,
    row.count,
    row.missed,
    seconds(row.median),
    seconds(row.most),
    seconds(row.worst),
  ])
  return `## Causes: how it is kept honest

- The rules are tuned on seeds below ${TUNING_END}. These runs use seeds from ${firstSeed} on, and draw air temperature, height and severity anew for each.${firstSeed < FIRST_SEED ? ' **That is below: this is for tuning, not an evaluation.**' : ` Seeds from ${TUNING_END} to ${FIRST_SEED - 1} served evaluations before this one, and were looked at afterwards. None of the recordings counted here was.`}
- What is held out are the numbers, not the kinds of trouble: the rules were written with these kinds in mind, and the simulator's physics is what they were tuned on. The shares say nothing of a trouble that is in none of the scenarios.
- The analysis never sees the simulator: no file of \`packages/analysis\` imports it.
- Every second run is judged with a profile of the engine's size and height, the others with defaults alone.
- A run in which what is wrong does not show (no node reports one of the faults that belong to it, or it never happened) is left out of the shares and counted.

## Is the root ranked first?

${RESULT} The probable root is ranked first in ${first} of ${shown} runs: ${percent(first, shown)}; a wrong root ranked first and called probable: ${sure}.

${table(['scenario', 'runs', 'shown', 'root first', 'and called probable', 'root found', 'wrong and sure', 'what stood first instead, runs'], rows)}

A wide air-mass tube is probable only where a profile tells the size of the engine and the altitude: without them nobody knows how much air there should be, and the ratio alone could be anything. That is as it should be.

## False alarms over healthy runs

${RESULT} ${score.runs} runs with nothing wrong, from −22 to 36 °C (one kind at −29 °C), sea level to 2,400 m, a fifth of them cut short: with a fail ${score.withFail} (${percent(score.withFail, score.runs)}), with a caution ${score.withCaution} (${percent(score.withCaution, score.runs)}).${score.names.length === 0 ? '' : ` Which, and in how many runs: ${list(score.names)}.`}

## Boundaries of phases

Found against true, in seconds, over all runs. Missed: none found within 5 s. A boundary cannot be found finer than the period of the messages it rests on. An engine fires out of cranking, and a shutdown ends in a standstill: a moment without injection that the engine survives is neither, nor is the last turn of the crankshaft after an attempt that failed. An engine that catches, falls back to the starter's speed and then runs has fired, for the analysis, at its last rise; for the simulator at its first: that is where errors of a second or two come from.

${table(['boundary', 'true ones', 'missed', 'median', '95 of 100 within', 'worst'], boundaries)}
`
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0)
}
