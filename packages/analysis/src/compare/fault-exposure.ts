/** Whether the later run gave a fault the chance to come again. */
import { type ActiveFault, endOf } from '../faults/finding.js'
import { number } from '../faults/sight.js'
import type { PhaseKind } from '../model.js'
import { SECOND, valueAt, windowOf } from '../series.js'
import {
  type Dimension,
  type EnablingCondition,
  evidenceIn,
  type FaultExposure,
  type RunEvidence,
  type RunSide,
  type Use,
} from './comparison.js'
import {
  BIN_WIDTH,
  COMPARABLE,
  COVERED,
  cellKey,
  cellOf,
  coverageOf,
  DIMENSION_SPN,
  type EngineUse,
  enabledSeconds,
  type Look,
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
/** s in the conditions of an onset that count. Source: our own choice. */
const LEAST_ENABLED = 5
/** Nothing is below. */
const LOWEST: Readonly<Record<Dimension, number>> = { speed: 0, load: 0, coolant: -273 }
/** Conditions are rounded to this part of a bin. */
const ROUND = 5
/** rpm above which a run counts as more than idling. Source: US heavy-duty diagnosis rules, from memory. */
const FAST = 1150
/** rpm below which no engine runs by itself. Common practice. */
const LEAST_SPEED = 300
const IDLES: ReadonlySet<PhaseKind> = new Set<PhaseKind>(['idle-settle', 'idle', 'warm-idle'])
/** Cells not reached that are named. */
const NAMED = 4
/** s of a cell that are worth naming. */
const WORTH = 3

/** The chance a fault had, and how many onsets were seen in the earlier run. */
export interface Chance {
  readonly summary: FaultExposure
  readonly onsets: number
  /** Where the time that counts is in both runs. */
  readonly evidence: readonly RunEvidence[]
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
  // A fault must not choose the cells it is looked for in: an engine that overheats is hot only with it.
  const dimensions = sharedDimensions(before.engine, after.engine).filter((dimension) =>
    faults.every(({ spn }) => spn !== DIMENSION_SPN[dimension]),
  )
  const earlier = before.looks.filter(({ use }) => uses.has(use))
  const later = after.looks.filter(({ use }) => uses.has(use))
  if (faulted.length === 0 || earlier.length === 0) return null
  const a = secondsByCell(earlier, dimensions)
  const b = secondsByCell(later, dimensions)
  const cells = new Set(faulted.map((look) => cellKey(look, dimensions)))
  const coverage = coverageOf(a, b, cells)
  const first = (episodes[0] as (typeof episodes)[number]).firstSeen
  const each = episodes.map(({ firstSeen }) => conditionsAt(before, [firstSeen], dimensions))
  const enabling = given ?? spanOf(each)
  const wanted = given === undefined ? each : [given]
  const again = wanted.filter((conditions) => isHadAgain(before, after, conditions)).length
  return {
    onsets: episodes.length,
    evidence: [placeOf('before', before, earlier), ...(later.length === 0 ? [] : [placeOf('after', after, later)])],
    summary: {
      before: (earlier.length * STEP) / SECOND,
      after: matchedSeconds(a, b),
      coverage,
      verdict: coverage < COVERED ? 'not-tested' : coverage <= COMPARABLE ? 'partial' : 'comparable',
      toFirst: (earlier.filter(({ time }) => time < first).length * STEP) / SECOND,
      reached: (later.length * STEP) / SECOND,
      run: runOf(after.looks),
      enabling,
      enabledBefore: enabledSeconds(before.engine, before.looks, enabling),
      enabledAfter: enabledSeconds(after.engine, after.looks, enabling),
      onsets: { of: wanted.length, again },
      notExercised: notExercised(before, after, a, b, cells),
    },
  }
}

/** Where the looks are that count. */
function placeOf(run: RunSide, { engine }: EngineUse, looks: readonly Look[]): RunEvidence {
  const [first, last] = [looks[0] as Look, looks.at(-1) as Look]
  const uses = [...new Set(looks.map(({ use }) => use))].join(', ')
  const seconds = (looks.length * STEP) / SECOND
  const text = `Counted for it: ${number(seconds, 0)} s ${uses}.`
  return evidenceIn(run, text, first.time, last.time, [
    engine.signalRef(190),
    engine.signalRef(92),
    engine.signalRef(110),
  ])
}

/** How long the later run is, whatever the fault cares for. */
function runOf(looks: readonly Look[]): FaultExposure['run'] {
  const seconds = (holds: (look: Look) => boolean): number =>
    (looks.filter((look) => look.use === 'running' && holds(look)).length * STEP) / SECOND
  return {
    running: seconds(() => true),
    fast: seconds(({ speed }) => speed !== null && speed > FAST),
    idling: seconds(({ phase }) => IDLES.has(phase)),
  }
}

/** Values in force when it came, give or take a bin's width: at an edge of a bin nothing changes. */
function conditionsAt(
  use: EngineUse,
  onsets: readonly number[],
  dimensions: readonly Dimension[],
): EnablingCondition[] {
  return dimensions.flatMap((dimension): EnablingCondition[] => {
    const spn = DIMENSION_SPN[dimension]
    const values = onsets.flatMap((time) => valueWhen(use, dimension, time) ?? [])
    if (values.length === 0) return []
    const width = BIN_WIDTH[dimension]
    const round = (value: number, to: (value: number) => number): number =>
      Math.max(LOWEST[dimension], to((value / width) * ROUND) * (width / ROUND))
    return [
      {
        spn,
        from: round(Math.min(...values) - width, Math.floor),
        to: round(Math.max(...values) + width, Math.ceil),
      },
    ]
  })
}

/**
 * The value in force at a time. A running engine has no speed below {@link LEAST_SPEED}: where a fault of the
 * speed itself made one, the speed before it counts.
 */
function valueWhen({ engine, looks }: EngineUse, dimension: Dimension, time: number): number | null {
  const samples = engine.valid(DIMENSION_SPN[dimension])
  const hold = Math.max(HOLD, engine.hold(DIMENSION_SPN[dimension]))
  const value = valueAt(samples, time, hold)
  const isRunning = looks.findLast((look) => look.time <= time)?.use === 'running'
  if (dimension !== 'speed' || !isRunning || value === null || value >= LEAST_SPEED) return value
  return windowOf(samples, time - hold, time).value.findLast((rpm) => rpm >= LEAST_SPEED) ?? value
}

/** Conditions that hold all of several. */
function spanOf(all: readonly (readonly EnablingCondition[])[]): EnablingCondition[] {
  const spans = new Map<number, EnablingCondition>()
  for (const { spn, from, to } of all.flat()) {
    const known = spans.get(spn)
    spans.set(spn, { spn, from: Math.min(from, known?.from ?? from), to: Math.max(to, known?.to ?? to) })
  }
  return [...spans.values()]
}

/** Whether the later run had some conditions for a while: five seconds, or as long as the earlier run, and at least one look. */
function isHadAgain(before: EngineUse, after: EngineUse, conditions: readonly EnablingCondition[]): boolean {
  if (conditions.length === 0) return true
  const [was, is] = [before, after].map(({ engine, looks }) => enabledSeconds(engine, looks, conditions))
  return (is as number) >= Math.max(STEP / SECOND, Math.min(LEAST_ENABLED, was as number))
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
  return [...starts, ...named, ...(more > 0 ? [`${more} more operating ${more === 1 ? 'cell' : 'cells'}`] : [])]
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
