/** Whether the later run gave a fault the chance to come again. */
import { type ActiveFault, endOf } from '../faults/finding.js'
import { number } from '../faults/sight.js'
import { SECOND, valueAt } from '../series.js'
import type { Dimension, EnablingCondition, FaultExposure, Use } from './comparison.js'
import {
  BIN_WIDTH,
  binAround,
  COMPARABLE,
  COVERED,
  cellKey,
  cellOf,
  coverageOf,
  DIMENSION_SPN,
  type EngineUse,
  enabledSeconds,
  looksIn,
  matchedSeconds,
  STEP,
  secondsByCell,
  sharedDimensions,
  usageOf,
} from './exposure.js'

/** Around an onset, in microseconds: a list is sent once a second. */
const AROUND: number = 1 * SECOND
/** A value counts for so long. */
const HOLD: number = 5 * SECOND
/** Cells not reached that are named. */
const NAMED = 4
/** s of a cell that are worth naming. */
const WORTH = 3

/** The chance a fault had, and how many onsets were seen in the earlier run. */
export interface Chance {
  readonly summary: FaultExposure
  readonly onsets: number
}

/** Compares the use of the engine as far as it matters to one fault. */
export function faultExposure(
  faults: readonly ActiveFault[],
  before: EngineUse,
  after: EngineUse,
  given: readonly EnablingCondition[] | undefined,
): Chance | null {
  const episodes = faults.flatMap((fault) => fault.episodes).sort((a, b) => a.firstSeen - b.firstSeen)
  const spans = episodes.map((episode) => ({ from: episode.firstSeen - AROUND, to: endOf(episode) }))
  const faulted = looksIn(before.looks, spans)
  const uses = new Set<Use>(faulted.map(({ use }) => use))
  const dimensions = sharedDimensions(before.engine, after.engine)
  const earlier = before.looks.filter(({ use }) => uses.has(use))
  const later = after.looks.filter(({ use }) => uses.has(use))
  if (faulted.length === 0 || earlier.length === 0) return null
  const a = secondsByCell(earlier, dimensions)
  const b = secondsByCell(later, dimensions)
  const cells = new Set(faulted.map((look) => cellKey(look, dimensions)))
  const coverage = coverageOf(a, b, cells)
  const first = (episodes[0] as (typeof episodes)[number]).firstSeen
  const enabling =
    given ??
    conditionsAt(
      before,
      episodes.map(({ firstSeen }) => firstSeen),
      dimensions,
    )
  return {
    onsets: episodes.length,
    summary: {
      before: (earlier.length * STEP) / SECOND,
      after: matchedSeconds(a, b),
      coverage,
      verdict: coverage < COVERED ? 'not-tested' : coverage <= COMPARABLE ? 'partial' : 'comparable',
      toFirst: (earlier.filter(({ time }) => time < first).length * STEP) / SECOND,
      reached: (later.length * STEP) / SECOND,
      enabling,
      enabledBefore: enabledSeconds(before.engine, before.looks, enabling),
      enabledAfter: enabledSeconds(after.engine, after.looks, enabling),
      notExercised: notExercised(before, after, a, b, cells),
    },
  }
}

/** Values in force when it came, widened to whole bins. */
function conditionsAt(
  { engine }: EngineUse,
  onsets: readonly number[],
  dimensions: readonly Dimension[],
): EnablingCondition[] {
  return dimensions.flatMap((dimension): EnablingCondition[] => {
    const spn = DIMENSION_SPN[dimension]
    const values = onsets.flatMap((time) => valueAt(engine.valid(spn), time, Math.max(HOLD, engine.hold(spn))) ?? [])
    if (values.length === 0) return []
    const width = BIN_WIDTH[dimension]
    return [
      {
        spn,
        from: binAround(Math.min(...values), width).from,
        to: binAround(Math.max(...values), width).to,
      },
    ]
  })
}

/** What the earlier run had and the later one not: starts first, then the cells it was in longest. */
function notExercised(
  before: EngineUse,
  after: EngineUse,
  a: ReadonlyMap<string, number>,
  b: ReadonlyMap<string, number>,
  cells: ReadonlySet<string>,
): string[] {
  const was = usageOf(before.engine, before.phases, before.looks)
  const is = usageOf(after.engine, after.phases, after.looks)
  const starts = [
    ...(was.coldStarts > 0 && is.coldStarts === 0 ? ['cold start'] : []),
    ...(was.hotStarts > 0 && is.hotStarts === 0 ? ['hot start'] : []),
    ...((was.driving ?? 0) > 10 && (is.driving ?? 0) < 10 ? ['driving'] : []),
  ]
  const missed = [...cells]
    .filter((key) => (a.get(key) ?? 0) >= WORTH && (b.get(key) ?? 0) === 0)
    .sort((one, two) => (a.get(two) ?? 0) - (a.get(one) ?? 0))
  const named = missed.slice(0, NAMED).map(cellWords)
  const more = missed.length - named.length
  return [...starts, ...named, ...(more > 0 ? [`${more} more operating cells`] : [])]
}

/** A cell in words. */
export function cellWords(key: string): string {
  const { use, speed, load, coolant } = cellOf(key)
  const parts = [
    ...(speed === null || use === 'standing' ? [] : [`${number(speed, 0)}–${number(speed + BIN_WIDTH.speed, 0)} rpm`]),
    ...(load === null ? [] : [`load ${number(load, 0)}–${number(load + BIN_WIDTH.load, 0)} %`]),
    ...(coolant === null ? [] : [`coolant ${number(coolant, 0)}–${number(coolant + BIN_WIDTH.coolant, 0)} °C`]),
  ]
  return `${use}${parts.length === 0 ? '' : ` at ${parts.join(', ')}`}`
}
