/** What the sheet shows, put together from the recording, its report and the address. */
import type { FaultFinding, FaultGroup, Finding, Phase, Report } from '@firstcrank/analysis'
import type { FaultInfo, RecordingInfo, SignalInfo, SignalRef } from '@firstcrank/feed'
import { useMemo } from 'preact/hooks'
import { bestSignal, refOf, signalId, signalTable } from '../recording/signals.js'
import { PLAIN_SHEET, type SheetState, type Window } from '../state/route.js'
import { clampWindow } from '../state/window.js'
import { PRESETS, type PresetId, plotsByUnit, presetPlots } from './presets.js'

/** One stretch in which a fault was on. Seconds. */
export interface LaneSpan {
  readonly from: number
  readonly to: number
  readonly cleared: boolean
  readonly count: number | null
}

/** One fault along the time axis. */
export interface Lane {
  /** As in an address: `fault:0.157.18`. */
  readonly key: string
  readonly name: string
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly follows: boolean
  readonly spans: readonly LaneSpan[]
}

/** Faults with one probable root. */
export interface LaneGroup {
  readonly title: string | null
  readonly probable: boolean
  readonly lanes: readonly Lane[]
}

/** What does not change while a hand moves the window. */
export interface SheetFacts {
  readonly info: RecordingInfo
  readonly report: Report | null
  /** Microseconds of the axis' zero, and seconds in all. */
  readonly zero: number
  readonly length: number
  readonly table: ReadonlyMap<string, SignalInfo>
  readonly groups: readonly LaneGroup[]
  readonly phases: readonly Phase[]
}

/** Which signals are plotted, and why. */
export interface SheetPlots {
  readonly preset: PresetId | null
  readonly plots: readonly (readonly string[])[]
  readonly missing: readonly string[]
}

/** Everything the sheet needs. */
export interface SheetModel extends SheetFacts, SheetPlots {
  readonly window: Window
}

/** Shortest axis, in seconds; a recording of one frame has one too. */
const LEAST_LENGTH = 0.01

/** What is known of the run. */
export function sheetFacts(info: RecordingInfo, report: Report | null): SheetFacts {
  const zero = info.from ?? 0
  const length = Math.max(LEAST_LENGTH, ((info.to ?? zero) - zero) / 1e6)
  const phases = report?.engines.flatMap((engine) => engine.phases) ?? []
  return { info, report, zero, length, table: signalTable(info), groups: laneGroups(info, report, zero), phases }
}

/** The plots an address asks for, of signals the run has. */
export function sheetPlots({ info, table }: SheetFacts, state: Pick<SheetState, 'plots' | 'preset'>): SheetPlots {
  const preset = state.plots === null ? presetOf(state.preset) : null
  const { plots, missing } = preset === null ? { plots: state.plots ?? [], missing: [] } : presetPlots(info, preset)
  return {
    preset,
    plots: plots.map((ids) => ids.filter((id) => table.has(id))).filter((ids) => ids.length > 0),
    missing,
  }
}

/** The model of a view; its parts stay the same for as long as what they are made of does. */
export function useSheetModel(facts: SheetFacts | null, state: SheetState): SheetModel | null {
  const plots = useMemo(() => facts && sheetPlots(facts, state), [facts, state.plots, state.preset])
  return useMemo(() => {
    if (facts === null || plots === null) return null
    return { ...facts, ...plots, window: clampWindow(state.window ?? { from: 0, to: facts.length }, facts.length) }
  }, [facts, plots, state.window])
}

/** The model of a whole run with its first plots. */
export function plainModel(info: RecordingInfo, report: Report | null): SheetModel {
  const facts = sheetFacts(info, report)
  return { ...facts, ...sheetPlots(facts, PLAIN_SHEET), window: { from: 0, to: facts.length } }
}

/** The preset of an address; the whole run where it names none. */
function presetOf(chosen: string | null): PresetId {
  return chosen !== null && chosen in PRESETS ? (chosen as PresetId) : 'vitals'
}

/** The stretch a preset is about: the start, where it was recorded; null is the whole run. */
export function presetWindow({ report, zero, length }: SheetModel, preset: PresetId): Window | null {
  const figures = report?.engines.flatMap((engine) => engine.figures) ?? []
  const start = figures.find(({ id }) => id === 'start')
  if (start === undefined || (preset !== 'first-start' && preset !== 'charging')) return null
  return clampWindow({ from: (start.from - zero) / 1e6, to: (start.to - zero) / 1e6 }, length)
}

/** Key of a fault in an address. */
export function faultKey({
  sa,
  spn,
  fmi,
}: {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
}): string {
  return `fault:${sa}.${spn}.${fmi}`
}

function laneGroups(info: RecordingInfo, report: Report | null, zero: number): readonly LaneGroup[] {
  const active = info.faults.filter(({ state }) => state === 'active')
  if (report === null) {
    const lanes = lanesOf(active, zero)
    return lanes.length === 0 ? [] : [{ title: null, probable: false, lanes }]
  }
  const named = new Set<string>()
  const groups = report.faults.flatMap((group): LaneGroup[] => {
    const keys = new Map(group.faults.map((fault) => [faultKey(fault), fault]))
    const lanes = lanesOf(
      active.filter((fault) => keys.has(faultKey(fault))),
      zero,
      keys,
    )
    for (const key of keys.keys()) named.add(key)
    const [best] = group.causes
    if (lanes.length === 0) return []
    return [{ title: best?.title ?? null, probable: best?.confidence === 'probable', lanes }]
  })
  const rest = lanesOf(
    active.filter((fault) => !named.has(faultKey(fault))),
    zero,
  )
  return rest.length === 0 ? groups : [...groups, { title: null, probable: false, lanes: rest }]
}

function lanesOf(
  faults: readonly FaultInfo[],
  zero: number,
  found?: ReadonlyMap<string, FaultFinding>,
): readonly Lane[] {
  const lanes = new Map<string, Lane & { spans: LaneSpan[] }>()
  for (const fault of faults) {
    const key = faultKey(fault)
    const finding = found?.get(key)
    const lane = lanes.get(key) ?? {
      key,
      name: finding?.name ?? fault.name ?? `SPN ${fault.spn}`,
      sa: fault.sa,
      spn: fault.spn,
      fmi: fault.fmi,
      follows: finding?.follows != null,
      spans: [],
    }
    lane.spans.push({
      from: (fault.firstSeen - zero) / 1e6,
      to: ((fault.clearedAt ?? fault.lastSeen) - zero) / 1e6,
      cleared: fault.clearedAt !== null,
      count: fault.counts.at(-1)?.count ?? null,
    })
    lanes.set(key, lane)
  }
  return [...lanes.values()]
}

/** The fault an address opens, with the group it belongs to. */
export function openFault(
  report: Report | null,
  open: string | null,
): { readonly fault: FaultFinding; readonly group: FaultGroup } | null {
  for (const group of report?.faults ?? []) {
    const fault = group.faults.find((candidate) => faultKey(candidate) === open)
    if (fault !== undefined) return { fault, group }
  }
  return null
}

/** What to plot to see a fault: its own signal, what speaks for and against it, what shows its root. */
export function faultSignals(model: SheetFacts, key: string): readonly SignalRef[] {
  const [sa, spn] = key.replace('fault:', '').split('.').map(Number)
  const own = spn === undefined ? undefined : bestSignal(model.info.signals, spn, sa)
  const { fault, group } = openFault(model.report, key) ?? {}
  const facts = [...(fault?.supports ?? []), ...(fault?.contradicts ?? []), ...(group?.causes[0]?.supports ?? [])]
  return [...(own === undefined ? [] : [refOf(own)]), ...facts.flatMap(({ signals }) => signals)]
}

/** Seconds shown before and after a moment of a fault: what it is about comes before a node lists it. Our own choice. */
const AROUND = 10

/** The moment to look at of a fault first: what speaks for it most, or else its onset. Seconds; null of no fault. */
export function faultMoment(model: SheetFacts, key: string): number | null {
  const { fault } = openFault(model.report, key) ?? {}
  const lane = model.groups.flatMap(({ lanes }) => lanes).find((candidate) => candidate.key === key)
  const best = fault?.supports[0]?.from ?? fault?.onset.time
  return best === undefined ? (lane?.spans[0]?.from ?? null) : Math.max(0, (best - model.zero) / 1e6)
}

/** A moment of a fault with what came before and after it. */
export function momentWindow({ length }: SheetFacts, at: number): Window {
  return clampWindow({ from: at - AROUND, to: at + AROUND }, length)
}

/** The finding an address opens, from 1; null for anything else. */
export function openFinding(
  report: Report | null,
  open: string | null,
): { readonly number: number; readonly finding: Finding } | null {
  const number = Number(open?.match(/^finding:(\d+)$/)?.[1])
  const finding = report?.findings[number - 1]
  return finding === undefined ? null : { number, finding }
}

/** Plots that show some signals of the analysis, with engine speed beside them. */
export function evidencePlots(model: SheetFacts, signals: readonly SignalRef[]): readonly (readonly string[])[] | null {
  const known = signals.flatMap((ref) => {
    const id = signalId(model.info, ref)
    const signal = model.table.get(id)
    return signal === undefined ? [] : [{ id, unit: signal.unit }]
  })
  if (known.length === 0) return null
  const speed = presetPlots(model.info, 'vitals').plots[0]?.[0]
  const unit = speed === undefined ? null : (model.table.get(speed)?.unit ?? null)
  return plotsByUnit(speed === undefined || unit === null ? known : [...known, { id: speed, unit }])
}
