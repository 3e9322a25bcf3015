/** What the page that compares two runs is made of: both runs, and addresses of places in them. Pure. */
import type { Evidence, RunSide } from '@firstcrank/analysis'
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
export function evidenceHref(side: CompareSide, { from, to, signals }: Evidence): string {
  const { zero, length } = side.model
  const [start, end] = [(from - zero) / 1e6, (to - zero) / 1e6]
  return placeHref(side, {
    window: windowAround(start, end, length),
    at: Math.max(0, start),
    plots: evidencePlots(side.model, signals),
  })
}

/** Address of a fault in a run, from its first appearance on. */
export function faultHref(
  side: CompareSide,
  fault: { readonly sa: number; readonly spn: number; readonly fmi: number },
  time: number,
): string {
  const { zero, length } = side.model
  const start = (time - zero) / 1e6
  return placeHref(side, {
    open: faultKey(fault),
    window: windowAround(start, start, length),
    at: Math.max(0, start),
  })
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

/** Address of a whole run with the signals its operating cells are made of. */
export function cellsHref(side: CompareSide, sa: number): string {
  const { info } = side.model
  const found = CELL_SPNS.flatMap((spn) => bestSignal(info.signals, spn, sa) ?? [])
  return placeHref(side, { plots: found.map((signal) => [signalId(info, signal)]) })
}

/** A time of a run as the run's own page shows it. */
export function timeIn({ model }: CompareSide, time: number): string {
  return formatTime(Math.max(0, (time - model.zero) / 1e6), 1)
}
