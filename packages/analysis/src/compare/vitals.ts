/**
 * Vitals of two runs, phase by phase, in the same operating cells: the difference, how sure it is, and
 * whether it is one that counts.
 *
 * Neighbouring samples are not independent: means over ten seconds stand for them, one for each visit
 * to a cell or for each ten seconds of a longer one.
 */
import type { Unit } from '@firstcrank/decoder/catalog'
import { deriveSignal } from '../derived/index.js'
import type { PhaseKind, SignalRef, Span } from '../model.js'
import { NO_PROFILE } from '../profile.js'
import { median, SECOND, valuesAt } from '../series.js'
import { evidenceIn, type RunEvidence, type VitalCell, type VitalComparison } from './comparison.js'
import { cellKey, cellOf, type EngineUse, type Look, STEP, sharedDimensions } from './exposure.js'
import type { Side } from './side.js'
import { type Interval, type SampleStatistics, statisticsOf, studentT } from './statistics.js'

/** One vital: where it comes from, and from which difference on it counts. */
interface VitalDefinition {
  readonly id: string
  readonly title: string
  /** A signal of the bus, or the name of a derived one. */
  readonly from: number | 'air-mass-ratio'
  readonly unit: Unit
  readonly limit: number
  readonly source: string
  /** What of the surroundings moves it. */
  readonly moves?: readonly ('pressure' | 'temperature')[]
}

const PRACTICE = 'common practice'

/** The table. */
export const VITALS: readonly VitalDefinition[] = [
  { id: 'speed', title: 'Engine speed', from: 190, unit: 'rpm', limit: 40, source: PRACTICE },
  { id: 'voltage', title: 'Supply voltage', from: 168, unit: 'V', limit: 0.4, source: PRACTICE },
  { id: 'oil-pressure', title: 'Oil pressure', from: 100, unit: 'kPa', limit: 30, source: PRACTICE },
  { id: 'boost', title: 'Boost', from: 102, unit: 'kPa', limit: 15, source: PRACTICE, moves: ['pressure'] },
  {
    id: 'air-mass',
    title: 'Air mass',
    from: 132,
    unit: 'kg/h',
    limit: 20,
    source: PRACTICE,
    moves: ['pressure', 'temperature'],
  },
  {
    id: 'air-mass-ratio',
    title: 'Air mass, measured to expected',
    from: 'air-mass-ratio',
    unit: 'ratio',
    limit: 0.05,
    source: PRACTICE,
  },
  {
    id: 'intake-temperature',
    title: 'Intake temperature',
    from: 105,
    unit: '°C',
    limit: 10,
    source: PRACTICE,
    moves: ['temperature'],
  },
  {
    id: 'oil-temperature',
    title: 'Oil temperature',
    from: 175,
    unit: '°C',
    limit: 10,
    source: PRACTICE,
    moves: ['temperature'],
  },
  { id: 'rail-pressure', title: 'Rail pressure', from: 157, unit: 'MPa', limit: 8, source: PRACTICE },
  { id: 'fuel-delivery', title: 'Fuel delivery pressure', from: 94, unit: 'kPa', limit: 40, source: PRACTICE },
  { id: 'fuel-rate', title: 'Fuel rate', from: 183, unit: 'L/h', limit: 1, source: PRACTICE },
]

/** Phases that are compared. A run-up lasts two seconds: too short. */
const PHASES: readonly PhaseKind[] = ['key-on', 'preheat', 'cranking', 'idle-settle', 'warm-idle', 'idle', 'load']
/** One mean for so many looks. */
const BLOCK = (10 * SECOND) / STEP
/** Means a cell needs in each run. */
const LEAST = 2
/** kPa and °C from which the surroundings differ. Source: our own choice. */
const OTHER_PRESSURE = 2
const OTHER_TEMPERATURE = 5

interface Block {
  readonly cell: string
  readonly phase: PhaseKind
  readonly mean: number
  readonly from: number
  readonly to: number
}

/** Every vital that both runs have, phase by phase. */
export function compareVitals(before: Side, after: Side, a: EngineUse, b: EngineUse): VitalComparison[] {
  const because = surroundings(a, b)
  const dimensions = sharedDimensions(a.engine, b.engine)
  return VITALS.flatMap((vital) => {
    // A vital must not choose the cells it is compared in.
    const kept = dimensions.filter((dimension) => !(vital.id === 'speed' && dimension === 'speed'))
    const one = blocksOf(before, a, vital, (look) => cellKey(look, kept))
    const two = blocksOf(after, b, vital, (look) => cellKey(look, kept))
    if (one === undefined || two === undefined) return []
    return PHASES.flatMap((phase) => {
      const compared = inPhase(vital, phase, one, two)
      if (compared === undefined) return []
      const reasons = (vital.moves ?? []).flatMap((what) => because[what] ?? [])
      return [{ ...compared, because: reasons.length === 0 ? null : reasons.join(' ') }]
    })
  })
}

interface VitalBlocks {
  readonly blocks: readonly Block[]
  readonly signals: readonly SignalRef[]
}

function blocksOf(
  side: Side,
  use: EngineUse,
  { from: source }: VitalDefinition,
  key: (look: Look) => string,
): VitalBlocks | undefined {
  const { engine, phases, looks } = use
  const ref = typeof source === 'number' ? engine.signalRef(source) : undefined
  const derived =
    typeof source === 'number'
      ? undefined
      : deriveSignal(source, { engine, phases, profile: side.run.profile ?? NO_PROFILE })
  const samples = typeof source === 'number' ? engine.valid(source) : derived?.samples
  if (samples === undefined || samples.time.length === 0) return undefined
  const hold = typeof source === 'number' ? Math.max(SECOND, engine.hold(source)) : 2 * SECOND
  const values = valuesAt(
    samples,
    Float64Array.from(looks, ({ time }) => time),
    hold,
  )
  return { blocks: blocks(looks, values, key), signals: ref === undefined ? (derived?.signals ?? []) : [ref] }
}

/** Means over looks that follow one another in one cell and phase. */
function blocks(looks: readonly Look[], values: Float64Array, key: (look: Look) => string): Block[] {
  const found: Block[] = []
  let open: { cell: string; phase: PhaseKind; sum: number; count: number; from: number; to: number } | undefined
  const close = (): void => {
    if (open !== undefined) found.push({ ...open, mean: open.sum / open.count })
    open = undefined
  }
  looks.forEach((look, i) => {
    const value = values[i] as number
    const cell = key(look)
    const follows =
      open !== undefined &&
      open.cell === cell &&
      open.phase === look.phase &&
      look.time - open.to <= 2 * STEP &&
      open.count < BLOCK
    if (!follows) close()
    if (Number.isNaN(value)) return
    open ??= { cell, phase: look.phase, sum: 0, count: 0, from: look.time, to: look.time }
    open.sum += value
    open.count++
    open.to = look.time
  })
  close()
  return found
}

function inPhase(
  vital: VitalDefinition,
  phase: PhaseKind,
  one: VitalBlocks,
  two: VitalBlocks,
): VitalComparison | undefined {
  const a = byCell(one.blocks, phase)
  const b = byCell(two.blocks, phase)
  const cells = [...a.keys()].flatMap((key) => {
    const was = statisticsOf((a.get(key) ?? []).map(({ mean }) => mean))
    const is = statisticsOf((b.get(key) ?? []).map(({ mean }) => mean))
    return was === undefined || is === undefined || Math.min(was.count, is.count) < LEAST ? [] : [{ key, was, is }]
  })
  if (cells.length === 0) return undefined
  const weights = cells.map(({ was, is }) => Math.min(was.count, is.count))
  const all = weights.reduce((sum, weight) => sum + weight, 0)
  const pooled = (pick: (cell: (typeof cells)[number]) => number): number =>
    cells.reduce((sum, cell, i) => sum + ((weights[i] as number) / all) * pick(cell), 0)
  const [before, after] = [pooled(({ was }) => was.mean), pooled(({ is }) => is.mean)]
  const parts = cells.flatMap(({ was, is }, i) => [
    { spread: (((weights[i] as number) / all) ** 2 * was.variance) / was.count, freedom: was.count - 1 },
    { spread: (((weights[i] as number) / all) ** 2 * is.variance) / is.count, freedom: is.count - 1 },
  ])
  const difference = after - before
  const interval = around(difference, parts)
  const { id, title, unit, limit, source } = vital
  return {
    id,
    title,
    unit,
    phase,
    before,
    after,
    difference,
    interval,
    matters: mattersOf(interval, limit),
    limit: { value: limit, source },
    because: null,
    cells: cells.map(({ key, was, is }): VitalCell => {
      const { speed, load, coolant } = cellOf(key)
      const longest = { before: longestOf(a.get(key) ?? []), after: longestOf(b.get(key) ?? []) }
      return { speed, load, coolant, before: was.mean, after: is.mean, interval: cellInterval(was, is), longest }
    }),
    evidence: [
      ...evidenceOf('before', title, one, phase, new Set(cells.map(({ key }) => key))),
      ...evidenceOf('after', title, two, phase, new Set(cells.map(({ key }) => key))),
    ],
  }
}

function byCell(list: readonly Block[], phase: PhaseKind): Map<string, Block[]> {
  const cells = new Map<string, Block[]>()
  for (const block of list) {
    if (block.phase !== phase) continue
    const others = cells.get(block.cell)
    if (others === undefined) cells.set(block.cell, [block])
    else others.push(block)
  }
  return cells
}

/** The longest of some means, the first of several as long. */
function longestOf(list: readonly Block[]): Span | null {
  const [best] = [...list].sort((one, two) => two.to - two.from - (one.to - one.from))
  return best === undefined ? null : { from: best.from, to: best.to }
}

const cellInterval = (was: SampleStatistics, is: SampleStatistics): Interval =>
  around(is.mean - was.mean, [
    { spread: was.variance / was.count, freedom: was.count - 1 },
    { spread: is.variance / is.count, freedom: is.count - 1 },
  ])

/** 95 % around a difference of means with unequal variances, after Welch and Satterthwaite. */
function around(difference: number, parts: readonly { readonly spread: number; readonly freedom: number }[]): Interval {
  const spread = parts.reduce((sum, part) => sum + part.spread, 0)
  if (spread === 0) return { from: difference, to: difference }
  const freedom = spread ** 2 / parts.reduce((sum, part) => sum + part.spread ** 2 / part.freedom, 0)
  const half = studentT(freedom) * Math.sqrt(spread)
  return { from: difference - half, to: difference + half }
}

function mattersOf({ from, to }: Interval, limit: number): VitalComparison['matters'] {
  if (from > limit || to < -limit) return 'yes'
  return from >= -limit && to <= limit ? 'no' : 'perhaps'
}

/** The longest stretch of each run that it rests on. */
function evidenceOf(
  run: 'before' | 'after',
  title: string,
  { blocks: list, signals }: VitalBlocks,
  phase: PhaseKind,
  cells: ReadonlySet<string>,
): RunEvidence[] {
  const used = list.filter((block) => block.phase === phase && cells.has(block.cell))
  const first = used[0]
  const last = used.at(-1)
  if (first === undefined || last === undefined) return []
  return [evidenceIn(run, `${title}: ${used.length} means over up to 10 s.`, first.from, last.to, signals)]
}

/** How the air around the vehicle differs, in words. */
function surroundings(a: EngineUse, b: EngineUse): { pressure?: string; temperature?: string } {
  const differ = (spn: number): number | null => {
    const [was, is] = [median(a.engine.valid(spn).value), median(b.engine.valid(spn).value)]
    return was === null || is === null ? null : is - was
  }
  const pressure = differ(108)
  const temperature = differ(171)
  return {
    ...(pressure !== null && Math.abs(pressure) >= OTHER_PRESSURE
      ? { pressure: `The air pressure was ${Math.abs(pressure).toFixed(0)} kPa ${pressure > 0 ? 'higher' : 'lower'}.` }
      : {}),
    ...(temperature !== null && Math.abs(temperature) >= OTHER_TEMPERATURE
      ? { temperature: `The air was ${Math.abs(temperature).toFixed(0)} °C ${temperature > 0 ? 'warmer' : 'colder'}.` }
      : {}),
  }
}
