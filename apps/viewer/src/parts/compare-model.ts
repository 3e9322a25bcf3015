/** What the page that compares two runs is made of: both runs, and addresses of places in them. Pure. */
import type { Evidence, Phase, PhaseKind, RunSide, Span, Usage } from '@firstcrank/analysis'
import { bestSignal, signalId } from '../recording/signals.js'
import { formatRoute, PLAIN_BUS, PLAIN_SHEET, type SheetState } from '../state/route.js'
import { formatTime } from '../state/time.js'
import { windowAround } from '../state/window.js'
import { evidencePlots, faultKey, type SheetModel } from './model.js'

/** One of the two runs, ready to be shown. */
export interface CompareSide {
  readonly id: string
  readonly model: SheetModel
}

/** Both runs. */
export type CompareSides = Readonly<Record<RunSide, CompareSide>>

/** Address of a place in a run. */
function placeHref({ id }: CompareSide, sheet: Partial<SheetState>): string {
  return formatRoute({ page: 'run', run: id, view: 'sheet', sheet: { ...PLAIN_SHEET, ...sheet }, bus: PLAIN_BUS })
}

/** Address of what a piece of evidence rests on: its stretch of time and its signals. */
export function evidenceHref(side: CompareSide, { from, to, signals }: Omit<Evidence, 'text'>): string {
  return placeHref(side, { ...stretchOf(side, { from, to }), plots: evidencePlots(side.model, signals) })
}

/** Address of a fault in a run, from its first appearance on. */
export function faultHref(
  side: CompareSide,
  fault: { readonly sa: number; readonly spn: number; readonly fmi: number },
  time: number,
): string {
  return placeHref(side, { open: faultKey(fault), ...stretchOf(side, { from: time, to: time }) })
}

/** Address of a stretch of a run with some of its signals; microseconds. */
export function stretchHref(side: CompareSide, from: number, to: number, keys: readonly string[]): string {
  const { zero, length } = side.model
  const window = { from: Math.max(0, (from - zero) / 1e6), to: Math.min(length, (to - zero) / 1e6) }
  return placeHref(side, {
    window: window.to > window.from ? window : null,
    plots: keys.length === 0 ? null : keys.map((key) => [key]),
  })
}

/** SPNs of engine speed, load and coolant temperature: what operating cells are made of. */
const CELL_SPNS = [190, 92, 110] as const

/** Address of a run with the signals its operating cells are made of: of one stay in a cell, or of the whole run. */
export function cellsHref(side: CompareSide, sa: number, stay: Span | null = null): string {
  return placeHref(side, { plots: plotsOf(side, sa, CELL_SPNS), ...(stay === null ? {} : stretchOf(side, stay)) })
}

function plotsOf({ model: { info } }: CompareSide, sa: number | undefined, spns: readonly number[]): string[][] {
  return spns.flatMap((spn) => bestSignal(info.signals, spn, sa) ?? []).map((signal) => [signalId(info, signal)])
}

/** A stretch with room around it, and the cursor where it begins. */
function stretchOf({ model: { zero, length } }: CompareSide, { from, to }: Span): Partial<SheetState> {
  const [start, end] = [(from - zero) / 1e6, (to - zero) / 1e6]
  return { window: windowAround(start, end, length), at: Math.max(0, start) }
}

/** Phases that count as each use of the engine. */
const USE_PHASES: Readonly<Partial<Record<keyof Usage, readonly PhaseKind[]>>> = {
  standing: ['key-on', 'preheat'],
  cranking: ['cranking'],
  running: ['run-up', 'idle-settle', 'warm-idle', 'idle', 'load'],
}
const ROAD_SPEED = 84

/** Address of the first stretch of such use of an engine; null where a run has none. */
export function usageHref(side: CompareSide, sa: number, use: keyof Usage): string | null {
  if (use === 'driving') return placeHref(side, { plots: plotsOf(side, undefined, [ROAD_SPEED, ...CELL_SPNS]) })
  const phases = side.model.report?.engines.find((engine) => engine.sa === sa)?.phases ?? []
  const belongs = ({ kind }: Phase): boolean => USE_PHASES[use]?.includes(kind) ?? false
  const first = phases.findIndex(belongs)
  const next = phases.findIndex((phase, index) => index > first && !belongs(phase))
  const [from, to] = [phases[first]?.from, phases.at(next === -1 ? -1 : next - 1)?.to]
  return from === undefined || to === undefined ? null : cellsHref(side, sa, { from, to })
}

/** A time of a run as the run's own page shows it. */
export function timeIn({ model }: CompareSide, time: number): string {
  return formatTime(Math.max(0, (time - model.zero) / 1e6), 1)
}
