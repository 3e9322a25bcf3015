/** What is shown of a fault on the time sheet: which fault, which moment, which plots. Pure. */
import type { SignalRef } from '@firstcrank/feed'
import type { SheetState } from '../state/route.js'
import { evidencePlots, faultSignals, type Lane, momentWindow, openFault, type SheetFacts } from './model.js'

/** Plots that a finding with much evidence opens at once. */
const MOST_PLOTS = 6

/** The plots of some signals; what is plotted stays where none of them is in the recording. */
export function plotsOf(model: SheetFacts, signals: readonly SignalRef[]): Partial<SheetState> {
  const shown = evidencePlots(model, signals)
  return shown === null ? {} : { plots: shown.slice(0, MOST_PLOTS), preset: null }
}

/** A moment of a fault, with the signals that have to do with it. */
export function faultView(model: SheetFacts, key: string, at: number | null): Partial<SheetState> {
  const place = at === null ? {} : { window: momentWindow(model, at), at }
  return { ...place, ...plotsOf(model, faultSignals(model, key)) }
}

/**
 * The fault to look at: the one that is open, or else the one the others of the first group probably
 * follow from, or else the first. Null where no node listed a fault.
 */
export function askedFault({ groups }: Pick<SheetFacts, 'groups'>, open: string | null): Lane | null {
  const lanes = groups.flatMap((group) => group.lanes)
  const [first] = groups
  return (
    lanes.find(({ key }) => key === open) ?? first?.lanes.find(({ follows }) => !follows) ?? first?.lanes[0] ?? null
  )
}

/** When a fault began, in seconds; null of one that is not in the recording. */
export function faultOnset(
  { report, groups, zero }: Pick<SheetFacts, 'report' | 'groups' | 'zero'>,
  key: string,
): number | null {
  const onset = openFault(report, key)?.fault.onset.time
  if (onset !== undefined) return Math.max(0, (onset - zero) / 1e6)
  const lane = groups.flatMap(({ lanes }) => lanes).find((candidate) => candidate.key === key)
  return lane?.spans[0]?.from ?? null
}
