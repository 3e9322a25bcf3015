/** One signal of two runs in one plot, with the values of both at the cursor, and the same as a table. */
import type { RunSide } from '@firstcrank/analysis'
import type { MomentValue } from '@firstcrank/feed'
import { useEffect, useMemo, useRef } from 'preact/hooks'
import { type Aligned, align, type Points, pointsOf } from '../charts/columns.js'
import { createPlot, GUTTER, type PlotHandle } from '../charts/plot.js'
import type { Theme } from '../state/choices.js'
import { formatQuantity } from '../state/quantity.js'
import type { Window } from '../state/route.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'
import { LineSample } from './compare-chooser.js'
import { PlotTable } from './plot-table.js'
import { type PlotSignal, valueText } from './plot-view.js'
import type { WindowColumns } from './use-window.js'

/** One signal as each run has it. */
export interface PlotPair {
  readonly key: string
  readonly before: PlotSignal | null
  readonly after: PlotSignal | null
}

type BySide<T> = Readonly<Record<RunSide, T>>
type Values = ReadonlyMap<string, MomentValue | null>

interface PlotProps {
  readonly plot: PlotPair
  readonly columns: BySide<WindowColumns>
  /** Microseconds of the event in each run. */
  readonly zeros: BySide<number>
  readonly values: BySide<Values>
  /** Whether the cursor lies where the run was recorded. */
  readonly recorded: BySide<boolean>
  readonly cursorSet: boolean
  readonly window: Window
  readonly width: number
  readonly height: number
  readonly theme: Theme
  readonly onRemove: (() => void) | null
}

/** The run after is the whole line, drawn first; the one before lies over it, broken. */
const DRAWN: readonly RunSide[] = ['after', 'before']
const NO_POINTS: Points = { x: [], y: [] }
const NO_BANDS: readonly never[] = []

/** The plot. */
export function ComparePlot(props: PlotProps) {
  const { plot, columns, zeros, window, width, height, theme } = props
  const host = useRef<HTMLDivElement>(null)
  const handle = useRef<PlotHandle | null>(null)
  const shown = (plot.after ?? plot.before) as PlotSignal
  const { signal, scale } = shown
  const data = useMemo<Aligned>(
    () =>
      align(
        DRAWN.map((side) => {
          const own = plot[side]
          const entry = own === null ? undefined : columns[side].entries.get(own.id)
          if (own === null || entry === undefined) return NO_POINTS
          return pointsOf(entry, { zero: zeros[side], hold: own.hold, show: own.scale.show })
        }),
      ),
    [columns.before, columns.after, plot, zeros],
  )
  useEffect(() => {
    if (host.current === null || width < 10) return
    const created = createPlot(
      host.current,
      {
        lines: DRAWN.map((side) => ({ id: side, stepped: signal.kind !== 'numeric' })),
        theme,
        labels: signal.kind === 'state' ? (signal.labels ?? {}) : null,
        bands: NO_BANDS,
        leastSpan: Math.abs(scale.show(signal.resolution ?? 1) - scale.show(0)) * 6 || 1,
      },
      width,
      height,
    )
    created.window(window.from, window.to)
    created.data(data)
    handle.current = created
    return () => {
      handle.current = null
      created.destroy()
    }
  }, [plot.key, scale.unit, theme, width, height])
  useEffect(() => handle.current?.data(data), [data])
  useEffect(() => handle.current?.window(window.from, window.to), [window.from, window.to])
  const empty = data[0].length > 0 && DRAWN.every((_, index) => data[index + 1]?.every((value) => value == null))
  const tableSignals = DRAWN.map((side) => ({
    ...(plot[side] ?? shown),
    id: side,
    signal: { ...signal, name: compareText.overlay.tableOf(signal.name, compareText.sides[side].toLowerCase()) },
  }))
  return (
    <section class="plot" aria-label={signal.name}>
      <Legend {...props} />
      <div class="plot-area" style={{ height: `${height}px` }}>
        <div ref={host} role="img" aria-label={text.plots.picture(signal.name)} />
        {empty && (
          <p class="plot-empty" style={{ left: `${GUTTER.left}px`, right: `${GUTTER.right}px` }}>
            {text.plots.noData}
          </p>
        )}
      </div>
      <PlotTable title={signal.name} signals={tableSignals} data={data} window={window} bands={NO_BANDS} host={host} />
    </section>
  )
}

function Legend({ plot, values, recorded, cursorSet, onRemove }: PlotProps) {
  const { signal, scale } = (plot.after ?? plot.before) as PlotSignal
  const difference = differenceOf(plot, values, recorded)
  return (
    <ul class="legend">
      <li>
        <span class="legend-name">{signal.name}</span>
        <span class="legend-unit">{scale.unit}</span>
        {onRemove !== null && (
          <button type="button" class="plain icon" aria-label={text.plots.remove(signal.name)} onClick={onRemove}>
            <span aria-hidden="true">×</span>
          </button>
        )}
      </li>
      {(['before', 'after'] as const).map((side) => (
        <li key={side} class="legend-side">
          <LineSample side={side} />
          <span class="legend-unit">{compareText.sides[side]}</span>
          {(cursorSet || plot[side] === null) && (
            <span class="legend-value">{sideValue(plot, side, values, recorded)}</span>
          )}
        </li>
      ))}
      {cursorSet && difference !== null && (
        <li class="legend-change">
          {compareText.overlay.difference} {difference}
        </li>
      )}
    </ul>
  )
}

function sideValue(plot: PlotPair, side: RunSide, values: BySide<Values>, recorded: BySide<boolean>): string {
  const own = plot[side]
  if (own === null) return compareText.overlay.notSent
  if (!recorded[side]) return compareText.overlay.outside
  return valueText(values[side].get(own.id), own.signal, own.scale)
}

/** After minus before; null where either has no number. */
function differenceOf(plot: PlotPair, values: BySide<Values>, recorded: BySide<boolean>): string | null {
  const numbers = DRAWN.map((side) => {
    const own = plot[side]
    if (own === null || !recorded[side] || own.signal.kind !== 'numeric') return null
    const value = values[side].get(own.id)?.value ?? null
    return value === null ? null : own.scale.show(value)
  })
  const [after, before] = numbers
  const scale = (plot.after ?? plot.before)?.scale
  if (after == null || before == null || scale === undefined) return null
  const change = after - before
  return `${change > 0 ? '+' : ''}${formatQuantity(change, { ...scale, show: (value) => value })}`
}

/** A signal at the cursor in words: its name and both values. */
export function valueAt(plot: PlotPair, values: BySide<Values>, recorded: BySide<boolean>): string {
  const { signal, scale } = (plot.after ?? plot.before) as PlotSignal
  const both = (['before', 'after'] as const).map(
    (side) => `${compareText.sides[side].toLowerCase()} ${sideValue(plot, side, values, recorded)}`,
  )
  return `${signal.name} ${scale.unit} ${both.join(', ')}`
}
