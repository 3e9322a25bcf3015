/** How an engine was used: seconds in cells of speed, load and coolant temperature, starts, key cycles. */
import type { EngineView } from '../engine-view.js'
import type { Phase, PhaseKind, Span } from '../model.js'
import { resample, SECOND, touchesAny, valueAt } from '../series.js'
import {
  type Cell,
  type Dimension,
  type EnablingCondition,
  type ExposureComparison,
  evidenceIn,
  type RunEvidence,
  type RunSide,
  type Usage,
  type Use,
} from './comparison.js'

/** Widths of the bins. Source: our own choice. rpm, %, °C */
export const BIN_WIDTH: Readonly<Record<Dimension, number>> = { speed: 250, load: 10, coolant: 10 }
/** Where bins begin: idle speeds are round numbers, and none of them may lie on an edge. Our own choice. */
const ORIGIN: Readonly<Record<Dimension, number>> = { speed: 125, load: 0, coolant: 0 }
export const DIMENSION_SPN: Readonly<Record<Dimension, number>> = { speed: 190, load: 92, coolant: 110 }
export const DIMENSIONS: readonly Dimension[] = ['speed', 'load', 'coolant']
/** Time between two looks at the engine. */
export const STEP: number = SECOND / 2
/** A value counts for so long at least: temperatures are sent once a second or less. */
const HOLD: number = 5 * SECOND
/** Coolant below is a cold start, above a hot one. °C. Common practice. */
const COLD = 40
const HOT = 60
/** Above walking pace. km/h. Common practice. */
const DRIVING = 5
const ROAD_SPEED = 84

/** Shares of the earlier run's conditions below which it was not tested, and from which it is comparable. Our own choice. */
export const COVERED = 0.5
export const COMPARABLE = 0.8

const USES: Readonly<Partial<Record<PhaseKind, Use>>> = {
  'key-on': 'standing',
  preheat: 'standing',
  cranking: 'cranking',
  'run-up': 'running',
  'idle-settle': 'running',
  'warm-idle': 'running',
  idle: 'running',
  load: 'running',
}

/** One look at the engine. */
export interface Look {
  readonly time: number
  readonly use: Use
  readonly phase: PhaseKind
  readonly speed: number | null
  readonly load: number | null
  readonly coolant: number | null
}

/** Every look at an engine in one run, half a second apart; none while the key was off or nobody can tell. */
export function looksOf(engine: EngineView, phases: readonly Phase[]): Look[] {
  return phases.flatMap(({ kind, from, to }): Look[] => {
    const use = USES[kind]
    if (use === undefined) return []
    // A phase's end is the beginning of the next one.
    const end = to - 1
    const columns = DIMENSIONS.map((dimension) => {
      const spn = DIMENSION_SPN[dimension]
      return resample(engine.valid(spn), from, end, STEP, Math.max(HOLD, engine.hold(spn)))
    })
    const times = columns[0]?.time ?? new Float64Array(0)
    return Array.from(times, (time, i): Look => {
      const [speed, load, coolant] = columns.map(({ value }) => known(value[i] as number))
      return { time, use, phase: kind, speed: speed ?? null, load: load ?? null, coolant: coolant ?? null }
    })
  })
}

const known = (value: number): number | null => (Number.isNaN(value) ? null : value)

/** Names the cell of a look; only some dimensions count. */
export function cellKey(look: Look, dimensions: readonly Dimension[]): string {
  const [speed = null, load = null, coolant = null] = DIMENSIONS.map((dimension) =>
    dimensions.includes(dimension) ? bin(look, dimension) : null,
  )
  return nameOf({ use: look.use, speed, load, coolant })
}

type CellName = Omit<Cell, 'before' | 'after' | 'longest'>

const nameOf = ({ use, speed, load, coolant }: CellName): string => [use, speed, load, coolant].join('/')

/** Lower end of a look's bin; null where it has no value. Load of an engine that stands says nothing. */
function bin(look: Look, dimension: Dimension): number | null {
  const value = look[dimension]
  if (value === null || (dimension === 'load' && look.use !== 'running')) return null
  // Full load is 100 %, and belongs to the last bin.
  const capped = dimension === 'load' ? Math.min(value, 99.9) : value
  const [width, origin] = [BIN_WIDTH[dimension], ORIGIN[dimension]]
  return Math.floor((capped - origin) / width) * width + origin
}

/** Seconds by cell. */
export function secondsByCell(looks: readonly Look[], dimensions: readonly Dimension[]): Map<string, number> {
  const cells = new Map<string, number>()
  for (const look of looks) {
    const key = cellKey(look, dimensions)
    cells.set(key, (cells.get(key) ?? 0) + STEP / SECOND)
  }
  return cells
}

/** The longest stay in each cell, the first of several as long. */
export function longestByCell(looks: readonly Look[], dimensions: readonly Dimension[]): Map<string, Span> {
  const longest = new Map<string, Span>()
  let open: { key: string; from: number; to: number } | undefined
  for (const look of looks) {
    const key = cellKey(look, dimensions)
    if (open === undefined || open.key !== key || look.time - open.to > 2 * STEP) {
      open = { key, from: look.time, to: look.time }
    } else open.to = look.time
    const best = longest.get(key)
    if (best === undefined || open.to - open.from > best.to - best.from) {
      longest.set(key, { from: open.from, to: open.to })
    }
  }
  return longest
}

/**
 * Σ min(before, after) / Σ before over some cells; 0 where there was nothing before. What a cell lacks
 * may come from the cells next to it, see {@link lent}.
 */
export function coverageOf(
  before: ReadonlyMap<string, number>,
  after: ReadonlyMap<string, number>,
  keys: Iterable<string> = before.keys(),
): number {
  const wanted = new Map([...keys].map((key) => [key, before.get(key) ?? 0]))
  const all = sum(wanted)
  return all === 0 ? 0 : sum(lent(wanted, after)) / all
}

/**
 * Seconds of the later run that compare with the earlier: in the cells of the earlier run alone, and in
 * none more than its share of the earlier run, scaled to the later run's length. Idling all day does
 * not make up for a drive.
 */
export function matchedSeconds(before: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): number {
  const scale = Math.max(1, sum(after) / Math.max(1, sum(before)))
  return sum(lent(new Map([...before].map(([key, seconds]) => [key, scale * seconds])), after))
}

/**
 * How much of the wanted time each cell gets: first its own, then what is left over in the cells around
 * it. An edge is only where we drew it: 69 and 71 °C are not different conditions, and nobody drives a road
 * twice with the same load at the same second. Every second counts once.
 */
function lent(wanted: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): Map<string, number> {
  const left = new Map(after)
  const got = new Map<string, number>()
  const take = (key: string, from: string): void => {
    const seconds = Math.min((wanted.get(key) ?? 0) - (got.get(key) ?? 0), left.get(from) ?? 0)
    if (seconds <= 0) return
    got.set(key, (got.get(key) ?? 0) + seconds)
    left.set(from, (left.get(from) ?? 0) - seconds)
  }
  for (const key of wanted.keys()) take(key, key)
  for (const key of wanted.keys()) for (const neighbour of neighboursOf(key)) take(key, neighbour)
  return got
}

/** The cells at most one bin away in each dimension, the nearest first. */
function neighboursOf(key: string): string[] {
  let near: { readonly cell: CellName; readonly steps: number }[] = [{ cell: cellOf(key), steps: 0 }]
  for (const dimension of DIMENSIONS) {
    near = near.flatMap(({ cell, steps }) => {
      const value = cell[dimension]
      if (value === null) return [{ cell, steps }]
      return [-1, 0, 1].map((step) => ({
        cell: { ...cell, [dimension]: value + step * BIN_WIDTH[dimension] },
        steps: steps + Math.abs(step),
      }))
    })
  }
  return near
    .filter(({ steps }) => steps > 0)
    .sort((a, b) => a.steps - b.steps)
    .map(({ cell }) => nameOf(cell))
}

const sum = (cells: ReadonlyMap<string, number>): number => [...cells.values()].reduce((a, b) => a + b, 0)

/** Seconds in which all conditions held. */
export function enabledSeconds(
  engine: EngineView,
  looks: readonly Look[],
  conditions: readonly EnablingCondition[],
): number {
  if (conditions.length === 0) return 0
  const signals = conditions.map((condition) => ({
    ...condition,
    samples: engine.valid(condition.spn),
    hold: Math.max(HOLD, engine.hold(condition.spn)),
  }))
  const count = looks.filter(({ time }) =>
    signals.every(({ samples, hold, from, to }) => {
      const value = valueAt(samples, time, hold)
      return value !== null && value >= from && value <= to
    }),
  ).length
  return (count * STEP) / SECOND
}

/** Starts, key cycles and time by use. */
export function usageOf(engine: EngineView, phases: readonly Phase[], looks: readonly Look[]): Usage {
  const starts = phases.filter(({ attempt }) => attempt?.started === true)
  const coolant = starts.map(({ from }) => valueAt(engine.valid(110), from, Math.max(HOLD, engine.hold(110))))
  const cold = coolant.filter((value) => value !== null && value < COLD).length
  const hot = coolant.filter((value) => value !== null && value > HOT).length
  const seconds = (use: Use): number => (looks.filter((look) => look.use === use).length * STEP) / SECOND
  const road = engine.valid(ROAD_SPEED)
  const driving = looks.filter(({ time }) => (valueAt(road, time, HOLD) ?? 0) > DRIVING).length
  return {
    keyCycles: new Set(phases.filter(({ kind }) => USES[kind] !== undefined).map(({ cycle }) => cycle)).size,
    coldStarts: cold,
    hotStarts: hot,
    otherStarts: starts.length - cold - hot,
    standing: seconds('standing'),
    cranking: seconds('cranking'),
    running: seconds('running'),
    driving: road.time.length === 0 ? null : (driving * STEP) / SECOND,
  }
}

/** One engine in one run. */
export interface EngineUse {
  readonly engine: EngineView
  readonly phases: readonly Phase[]
  readonly looks: readonly Look[]
}

/** Dimensions that both runs have values of. */
export function sharedDimensions(before: EngineView, after: EngineView): Dimension[] {
  return DIMENSIONS.filter((dimension) => before.has(DIMENSION_SPN[dimension]) && after.has(DIMENSION_SPN[dimension]))
}

/** How one engine was used in both runs. */
export function compareExposure(before: EngineUse, after: EngineUse): ExposureComparison {
  const dimensions = sharedDimensions(before.engine, after.engine)
  const a = secondsByCell(before.looks, dimensions)
  const b = secondsByCell(after.looks, dimensions)
  const stays = {
    before: longestByCell(before.looks, dimensions),
    after: longestByCell(after.looks, dimensions),
  }
  return {
    channel: before.engine.channel,
    sa: before.engine.sa,
    before: usageOf(before.engine, before.phases, before.looks),
    after: usageOf(after.engine, after.phases, after.looks),
    coverage: coverageOf(a, b),
    dimensions,
    missing: DIMENSIONS.filter((dimension) => !dimensions.includes(dimension)),
    cells: [...new Set([...a.keys(), ...b.keys()])].map((key) => ({
      ...cellOf(key),
      before: a.get(key) ?? 0,
      after: b.get(key) ?? 0,
      longest: { before: stays.before.get(key) ?? null, after: stays.after.get(key) ?? null },
    })),
    evidence: [...placesOf('before', before), ...placesOf('after', after)],
  }
}

/** Where a run's starts and its stretches of running are. */
function placesOf(run: RunSide, { engine, phases }: EngineUse): RunEvidence[] {
  const starts = phases.filter(({ attempt }) => attempt?.started === true)
  const coolantAt = (time: number): string => {
    const value = valueAt(engine.valid(DIMENSION_SPN.coolant), time, Math.max(HOLD, engine.hold(DIMENSION_SPN.coolant)))
    return value === null ? 'coolant not known' : `coolant at ${value.toFixed(0).replace('-', '−')} °C`
  }
  const running: { from: number; to: number }[] = []
  for (const { kind, from, to } of phases) {
    if (USES[kind] !== 'running') continue
    const open = running.at(-1)
    if (open !== undefined && open.to === from) open.to = to
    else running.push({ from, to })
  }
  return [
    ...starts.map(({ from, to }, index) =>
      evidenceIn(run, `Start ${index + 1}, ${coolantAt(from)}.`, from, to, [
        engine.signalRef(190),
        engine.signalRef(110),
      ]),
    ),
    ...running.map(({ from, to }) =>
      evidenceIn(run, `Running for ${((to - from) / SECOND).toFixed(0)} s.`, from, to, [engine.signalRef(190)]),
    ),
  ]
}

/** A cell from its name. */
export function cellOf(key: string): CellName {
  const [use, ...bins] = key.split('/')
  const [speed, load, coolant] = bins.map((text) => (text === '' ? null : Number(text)))
  return { use: use as Use, speed: speed ?? null, load: load ?? null, coolant: coolant ?? null }
}

/** Looks that lie in any of some spans. */
export function looksIn(looks: readonly Look[], spans: readonly Span[]): Look[] {
  const isInside = touchesAny(spans)
  return looks.filter(({ time }) => isInside(time, time))
}
