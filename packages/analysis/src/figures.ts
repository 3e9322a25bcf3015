/** The pictures of a report as data: vitals over the start and over the whole run, with phases, faults and limits. */
import type { Signal } from '@firstcrank/decoder'
import type { Unit } from '@firstcrank/decoder/catalog'
import { type EngineView, refOf } from './engine-view.js'
import type { CheckResult, FaultFinding, FaultGroup, Phase, Span } from './model.js'
import type { FaultLane, Figure, Plot, Trace } from './report.js'
import { resolutionOf, SECOND } from './series.js'

/** One plot: what is in it. The first of the signals with a value decides the unit. */
interface PlotDefinition {
  readonly title: string
  readonly traces: readonly TraceDefinition[]
}

interface TraceDefinition {
  readonly name: string
  /** The first of these that holds a value. */
  readonly spns: readonly number[]
}

const trace = (name: string, ...spns: number[]): TraceDefinition => ({ name, spns })
const plot = (title: string, ...traces: TraceDefinition[]): PlotDefinition => ({ title, traces })

const SPEED: PlotDefinition = plot('Engine speed', trace('speed', 190))
const VOLTAGE: PlotDefinition = plot('Supply voltage', trace('battery', 168, 158))
const OIL: PlotDefinition = plot('Oil pressure', trace('oil pressure', 100))
const RAIL: PlotDefinition = plot('Rail pressure', trace('measured', 157), trace('wanted', 5313))

const START_PLOTS: readonly PlotDefinition[] = [SPEED, VOLTAGE, OIL, RAIL]
const RUN_PLOTS: readonly PlotDefinition[] = [
  SPEED,
  plot('Pedal and load', trace('load', 92), trace('pedal', 91)),
  OIL,
  plot('Temperatures', trace('coolant', 110), trace('oil', 175), trace('intake', 105)),
  plot('Boost', trace('boost', 102)),
  plot('Air mass', trace('air mass', 132)),
  RAIL,
  VOLTAGE,
]

/** Stretch of the start's picture, in microseconds: at most so much before the crank, so much after its end. */
const BEFORE_CRANK = 20 * SECOND
const AFTER_CRANK = 25 * SECOND
/** Columns of a picture: about what a page or a screen can show. */
const COLUMNS = 300

/** Limits that are a level of the signal itself, by the end of their names. */
const DRAWN_LIMITS: ReadonlySet<string> = new Set([
  'pass-from',
  'pass-to',
  'caution-from',
  'caution-to',
  'level',
  'knee-from',
  'knee-to',
  'plateau-from',
  'never-above',
])

/** The pictures of one engine. */
export function figuresOf(
  engine: EngineView,
  phases: readonly Phase[],
  checks: readonly CheckResult[],
  groups: readonly FaultGroup[],
): readonly Figure[] {
  const { first, last } = engine.recording.clock
  if (first === undefined || last === undefined || last <= first) return []
  const lanes = groups.flatMap(({ faults }) => faults.flatMap(laneOf))
  const draw = (id: Figure['id'], title: string, span: Span, plots: readonly PlotDefinition[]): Figure => ({
    id,
    title,
    ...span,
    phases: phases.filter((phase) => touches(phase, span)),
    lanes: lanes.filter(({ spans }) => spans.some((part) => touches(part, span))),
    plots: plots.flatMap((definition) => plotOf(engine, definition, span, checks)),
    missing: plots.flatMap(({ traces }) => missingOf(engine, traces[0] as TraceDefinition)),
  })
  const start = startSpan(phases, { from: first, to: last })
  const run = draw('run', 'The whole recording', { from: first, to: last }, RUN_PLOTS)
  return start === undefined ? [run] : [draw('start', 'The first start', start, START_PLOTS), run]
}

/** Around the first attempt that started the engine, or the first attempt; undefined where nobody cranked. */
function startSpan(phases: readonly Phase[], all: Span): Span | undefined {
  const attempts = phases.filter(({ kind }) => kind === 'cranking')
  const crank = attempts.find(({ attempt }) => attempt?.started) ?? attempts[0]
  if (crank === undefined) return undefined
  const cycle = phases.find((phase) => phase.cycle === crank.cycle && phase.kind !== 'unknown') ?? crank
  return {
    from: Math.max(all.from, cycle.from, crank.from - BEFORE_CRANK),
    to: Math.min(all.to, crank.to + AFTER_CRANK),
  }
}

function touches(a: Span, b: Span): boolean {
  return a.from <= b.to && b.from <= a.to
}

function laneOf({ sa, spn, fmi, name, episodes }: FaultFinding): FaultLane[] {
  const spans = episodes
    .filter(({ state }) => state === 'active')
    .map(({ firstSeen, lastSeen, clearedAt }) => ({ from: firstSeen, to: clearedAt ?? lastSeen }))
  return spans.length === 0 ? [] : [{ sa, spn, fmi, name, spans }]
}

function missingOf(engine: EngineView, { name, spns }: TraceDefinition): string[] {
  if (spns.some((spn) => engine.has(spn))) return []
  const sent = spns.some((spn) => engine.signal(spn) !== undefined)
  return [`${name} (SPN ${spns.join(' or ')}): ${sent ? 'sent without a value' : 'not on this bus'}`]
}

function plotOf(
  engine: EngineView,
  { title, traces }: PlotDefinition,
  span: Span,
  checks: readonly CheckResult[],
): Plot[] {
  const drawn = traces.flatMap(({ name, spns }) => {
    const spn = spns.find((candidate) => engine.has(candidate))
    const signal = spn === undefined ? undefined : engine.signal(spn)
    return signal === undefined ? [] : [{ name, signal }]
  })
  const unit = drawn[0] && unitOf(drawn[0].signal)
  if (unit === undefined) return []
  const same = drawn.filter(({ signal }) => unitOf(signal) === unit)
  const shown = same.map(({ name, signal }) => traceOf(engine, name, signal, span))
  return [{ title, unit, traces: shown, limits: limitsIn(checks, shown, unit, span) }]
}

/** The unit of a signal that is a number; undefined of others. */
export function unitOf({ definition }: Signal): Unit | undefined {
  return definition.kind === 'numeric' ? definition.unit : undefined
}

/** A signal over a stretch, in equal columns. */
export function traceOf(engine: EngineView, name: string, signal: Signal, { from, to }: Span): Trace {
  const { least, greatest } = signal.overview(from, to, COLUMNS)
  const digits = Math.max(0, Math.ceil(-Math.log10(resolutionOf(signal))))
  const plain = (values: Float64Array): (number | null)[] =>
    Array.from(values, (value) => (Number.isNaN(value) ? null : Number(value.toFixed(digits))))
  const hold = Math.round(engine.hold(signal.spn))
  return { name, signal: refOf(engine.recording, signal), hold, least: plain(least), greatest: plain(greatest) }
}

/** The limits that were compared with one of these signals, each where the comparison was made. */
function limitsIn(checks: readonly CheckResult[], traces: readonly Trace[], unit: Unit, span: Span): Plot['limits'] {
  const [first] = traces
  if (first === undefined) return []
  return checks.flatMap(({ id, evidence, limits, verdict }) => {
    if (verdict === 'not-judged') return []
    const used = limits.filter(
      ({ id: name, unit: own, per, difference }) =>
        own === unit && per === undefined && !difference && DRAWN_LIMITS.has(name.slice(name.indexOf('.') + 1)),
    )
    const parts = evidence.filter(({ signals, ...part }) => signals[0]?.spn === first.signal.spn && touches(part, span))
    return parts.flatMap(({ from, to }) => used.map((limit) => ({ from, to, limit, check: id })))
  })
}
