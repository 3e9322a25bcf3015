/** One plot with its legend, and the same values as a table. */
import type { MomentValue, SignalInfo } from '@firstcrank/feed'
import { useEffect, useMemo, useRef } from 'preact/hooks'
import { type Aligned, align, pointsOf } from '../charts/columns.js'
import { lineStyle } from '../charts/palette.js'
import { createPlot, GUTTER, type LimitBand, type PlotHandle } from '../charts/plot.js'
import type { Theme } from '../state/choices.js'
import { formatQuantity, type Scale } from '../state/quantity.js'
import type { Window } from '../state/route.js'
import { text } from '../words/text.js'
import { limitWords } from './plot-signals.js'
import { PlotTable } from './plot-table.js'
import type { WindowColumns } from './use-window.js'

/** A signal as a plot draws it. */
export interface PlotSignal {
  readonly id: string
  readonly signal: SignalInfo
  readonly scale: Scale
  /** Microseconds after which silence breaks the line. */
  readonly hold: number
  /** Whether other nodes send it too, so that its node has to be named. */
  readonly ambiguous: boolean
}

/** Limits with what they say. */
export interface NamedBand extends LimitBand {
  /** Each with its unit. */
  readonly values: readonly string[]
  /** Whose limits they are. */
  readonly owner: string
}

interface PlotProps {
  readonly signals: readonly PlotSignal[]
  readonly columns: WindowColumns
  readonly values: ReadonlyMap<string, MomentValue | null>
  readonly marked: ReadonlyMap<string, MomentValue | null>
  readonly cursorSet: boolean
  readonly window: Window
  readonly zero: number
  readonly width: number
  readonly height: number
  readonly theme: Theme
  readonly bands: readonly NamedBand[]
  readonly onRemove: (id: string) => void
}

/** The plot. */
export function PlotView(props: PlotProps) {
  const { signals, columns, window, zero, width, height, theme, bands } = props
  const host = useRef<HTMLDivElement>(null)
  const handle = useRef<PlotHandle | null>(null)
  const title = [...new Set(signals.map(({ signal }) => signal.name))].join(', ')
  const [first] = signals
  const data = useMemo<Aligned>(
    () =>
      align(
        signals.map(({ id, scale, hold }) => {
          const entry = columns.entries.get(id)
          return entry === undefined ? { x: [], y: [] } : pointsOf(entry, { zero, hold, show: scale.show })
        }),
      ),
    [columns, signals, zero],
  )
  const ids = signals.map(({ id, scale }) => id + scale.unit).join()
  const bandKey = bands.map(({ from, to, low, high }) => `${from},${to},${low},${high}`).join(';')
  useEffect(() => {
    if (host.current === null || first === undefined || width < 10) return
    const { signal, scale } = first
    const plot = createPlot(
      host.current,
      {
        lines: signals.map(({ id, signal: { kind } }) => ({ id, stepped: kind !== 'numeric' })),
        theme,
        labels: signal.kind === 'state' ? (signal.labels ?? {}) : null,
        bands,
        leastSpan: Math.abs(scale.show(signal.resolution ?? 1) - scale.show(0)) * 6 || 1,
      },
      width,
      height,
    )
    plot.window(window.from, window.to)
    plot.data(data)
    handle.current = plot
    return () => {
      handle.current = null
      plot.destroy()
    }
  }, [ids, theme, bandKey, width, height])
  useEffect(() => handle.current?.data(data), [data])
  useEffect(() => handle.current?.window(window.from, window.to), [window.from, window.to])
  const empty = data[0].length > 0 && signals.every((_, index) => data[index + 1]?.every((value) => value == null))
  return (
    <section class="plot" aria-label={title}>
      <Legend {...props} />
      <div class="plot-area" style={{ height: `${height}px` }}>
        <div ref={host} role="img" aria-label={text.plots.picture(title)} />
        {empty && (
          <p class="plot-empty" style={{ left: `${GUTTER.left}px`, right: `${GUTTER.right}px` }}>
            {text.plots.noData}
          </p>
        )}
      </div>
      <PlotTable title={title} signals={signals} data={data} window={window} bands={bands} host={host} />
    </section>
  )
}

function Legend({ signals, values, marked, cursorSet, theme, onRemove, bands, window }: PlotProps) {
  const inSight = bands.filter(({ from, to }) => from <= window.to && to >= window.from)
  return (
    <ul class="legend">
      {signals.map(({ id, signal, scale, ambiguous }, index) => {
        const { color, dash } = lineStyle(index, theme)
        const now = values.get(id)
        const then = marked.get(id)
        const isNumber = now?.status === 'valid'
        const value = <span class="legend-value">{valueText(now, signal, scale)}</span>
        return (
          <li key={id}>
            <svg class="line-sample" width="26" height="10" aria-hidden="true">
              <line x1="0" y1="5" x2="26" y2="5" stroke={color} stroke-width="2.5" stroke-dasharray={dash.join(' ')} />
            </svg>
            <span class="legend-name">
              {signal.name}
              {ambiguous && <span class="faint"> · {signal.sa}</span>}
            </span>
            {/* As it is said: a number before its unit; what is no number, behind it. */}
            {cursorSet && isNumber && value}
            <span class="legend-unit">{scale.unit}</span>
            {cursorSet && !isNumber && value}
            {then != null && now != null && then.value !== null && now.value !== null && signal.kind === 'numeric' && (
              <span class="legend-change">
                {text.cursor.change} {changeText(now.value, then.value, scale)}
              </span>
            )}
            <button
              type="button"
              class="plain icon"
              aria-label={text.plots.remove(signal.name)}
              onClick={() => onRemove(id)}
            >
              <span aria-hidden="true">×</span>
            </button>
          </li>
        )
      })}
      {inSight.length > 0 && (
        <li class="legend-limits">
          <span class="band-sample" aria-hidden="true" />
          {limitWords(inSight)}
        </li>
      )}
    </ul>
  )
}

/** A value as words: the number, or why there is none. */
export function valueText(moment: MomentValue | null | undefined, signal: SignalInfo, scale: Scale): string {
  if (moment === undefined) return '…'
  if (moment === null) return text.plots.noMessage
  if (moment.status !== 'valid') return text.plots.status[moment.status] ?? moment.status
  if (signal.kind !== 'numeric') return moment.label ?? `${moment.raw ?? moment.value ?? ''}`
  return moment.value === null ? text.plots.noMessage : formatQuantity(moment.value, { ...scale, unit: '' })
}

function changeText(now: number, then: number, scale: Scale): string {
  const change = scale.show(now) - scale.show(then)
  return `${change > 0 ? '+' : ''}${formatQuantity(change, { ...scale, show: (value) => value })}`
}
