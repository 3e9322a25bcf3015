/** Vitals of both runs around the same event, in time from that event: to be laid over one another. */
import { traceOf, unitOf } from '../figures.js'
import type { Span } from '../model.js'
import type { Trace } from '../report.js'
import { SECOND } from '../series.js'
import type { AlignedEvent, Overlay, OverlayPlot } from './comparison.js'
import type { EngineUse } from './exposure.js'

interface OverlayDefinition extends Span {
  readonly title: string
  /** SPNs to draw; of several in a list, the first that both runs have. */
  readonly plots: readonly (readonly [title: string, ...spns: number[]])[]
}

const SPEED = ['Engine speed', 190] as const
const VOLTAGE = ['Supply voltage', 168, 158] as const
const OIL = ['Oil pressure', 100] as const

/** The table: how much of the time around each event is shown, in microseconds, and what. */
const OVERLAYS: Readonly<Record<AlignedEvent['event'], OverlayDefinition>> = {
  'key-on': { title: 'From key-on', from: -2 * SECOND, to: 30 * SECOND, plots: [SPEED, VOLTAGE] },
  'first-crank': {
    title: 'Around the first crank',
    from: -5 * SECOND,
    to: 15 * SECOND,
    plots: [SPEED, VOLTAGE, OIL],
  },
  'engine-start': {
    title: 'After the engine started',
    from: -5 * SECOND,
    to: 120 * SECOND,
    plots: [SPEED, OIL, VOLTAGE, ['Coolant temperature', 110], ['Air mass', 132], ['Rail pressure', 157]],
  },
}

/** One picture for the first of each kind of event that both runs of an engine have. */
export function overlaysOf(a: EngineUse, b: EngineUse, events: readonly AlignedEvent[]): Overlay[] {
  return (Object.keys(OVERLAYS) as AlignedEvent['event'][]).flatMap((kind): Overlay[] => {
    const aligned = events.find(({ event, number }) => event === kind && number === 1)
    if (aligned === undefined) return []
    const { title, from, to, plots } = OVERLAYS[kind]
    const drawn = plots.flatMap((definition) => plotOf(a, b, aligned, { from, to }, definition))
    return drawn.length === 0 ? [] : [{ event: aligned, title, from, to, plots: drawn }]
  })
}

function plotOf(
  a: EngineUse,
  b: EngineUse,
  { before, after }: AlignedEvent,
  { from, to }: Span,
  [title, ...spns]: OverlayDefinition['plots'][number],
): OverlayPlot[] {
  const spn = spns.find((candidate) => a.engine.has(candidate) && b.engine.has(candidate))
  if (spn === undefined) return []
  const one = a.engine.signal(spn)
  const two = b.engine.signal(spn)
  const unit = one === undefined ? undefined : unitOf(one)
  if (one === undefined || two === undefined || unit === undefined || unitOf(two) !== unit) return []
  const traces: readonly [Trace, Trace] = [
    traceOf(a.engine, 'before', one, { from: before + from, to: before + to }),
    traceOf(b.engine, 'after', two, { from: after + from, to: after + to }),
  ]
  const isEmpty = traces.some(({ least }) => least.every((value) => value === null))
  return isEmpty ? [] : [{ title, unit, traces }]
}
