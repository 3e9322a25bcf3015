/** Signals and limits as the plots draw them. */
import type { SignalInfo } from '@firstcrank/feed'
import type { UnitChoice } from '../state/choices.js'
import { holdFor } from '../state/hold.js'
import { formatQuantity, scaleOf } from '../state/quantity.js'
import { text } from '../words/text.js'
import type { SheetFacts } from './model.js'
import type { NamedBand, PlotSignal } from './plot-view.js'

/** The signals of one plot. */
export function plotSignals(model: SheetFacts, ids: readonly string[], units: UnitChoice): readonly PlotSignal[] {
  return ids.flatMap((id): PlotSignal[] => {
    const signal = model.table.get(id)
    if (signal === undefined) return []
    const others = model.info.signals.some(
      ({ spn, sa, pgn }) => spn === signal.spn && (sa !== signal.sa || pgn !== signal.pgn),
    )
    const scale = scaleOf(signal.unit, signal.resolution, units)
    return [{ id, signal, scale, hold: holdOf(model, signal), ambiguous: others }]
  })
}

function holdOf({ info }: SheetFacts, { channel, pgn, sa, da }: SignalInfo): number {
  const stream = info.streams.find(
    (candidate) => candidate.channel === channel && candidate.pgn === pgn && candidate.sa === sa && candidate.da === da,
  )
  return holdFor(stream?.period ?? null)
}

/** The limits a check compared this plot's first signal with, where it did. */
export function limitBands(model: SheetFacts, signals: readonly PlotSignal[]): readonly NamedBand[] {
  const [first] = signals
  if (first === undefined || first.signal.unit === null) return []
  const { scale, signal } = first
  const seconds = (micros: number): number => (micros - model.zero) / 1e6
  const bands = new Map<string, NamedBand>()
  for (const { from, to, limit } of model.report?.engines.flatMap(({ figures }) =>
    figures.flatMap(({ plots }) =>
      plots.flatMap((plot) => (plot.traces[0]?.signal.spn === signal.spn ? plot.limits : [])),
    ),
  ) ?? []) {
    if (limit.unit !== signal.unit) continue
    const value = scale.show(limit.value)
    const owner = limit.owner === 'default' ? text.plots.ownDefault : limit.owner.profile
    const values = [formatQuantity(limit.value, { ...scale, decimals: plainDecimals(value) })]
    bands.set(`${from}/${to}/${value}`, {
      from: seconds(from),
      to: seconds(to),
      low: value,
      high: value,
      values,
      owner,
    })
  }
  return between([...bands.values()])
}

/** Two limits over one stretch are a band; a single one is a line. */
function between(limits: readonly NamedBand[]): readonly NamedBand[] {
  const stretches = new Map<string, NamedBand[]>()
  for (const limit of limits) {
    const key = `${limit.from}/${limit.to}`
    stretches.set(key, [...(stretches.get(key) ?? []), limit])
  }
  return [...stretches.values()].flatMap((same) => {
    const [low, high, ...others] = [...same].sort((a, b) => a.low - b.low)
    if (low === undefined || high === undefined || others.length > 0) return same
    return [{ ...low, high: high.high, values: [...low.values, ...high.values] }]
  })
}

/** What the limits of a plot say, each value once: "Limits 50 kPa, 70 kPa (default)". */
export function limitWords(bands: readonly NamedBand[]): string {
  const byOwner = new Map<string, Set<string>>()
  for (const { owner, values } of [...bands].sort((a, b) => a.low - b.low)) {
    const known = byOwner.get(owner) ?? new Set<string>()
    for (const value of values) known.add(value)
    byOwner.set(owner, known)
  }
  return [...byOwner].map(([owner, values]) => text.plots.limits([...values], owner)).join(' · ')
}

/** Decimals a limit is written with: only those it has. */
function plainDecimals(value: number): number {
  return [0, 1, 2].find((decimals) => Math.abs(value - Number(value.toFixed(decimals))) < 1e-6) ?? 2
}
