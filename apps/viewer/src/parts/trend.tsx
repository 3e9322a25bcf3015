/** The last minute of one vital. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import { createPlot, type PlotHandle } from '../charts/plot.js'
import type { LiveVital } from '../recording/use-live.js'
import type { UnitChoice } from '../state/choices.js'
import { formatNumber, type Scale, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { text } from '../words/text.js'
import { useWidth } from './use-width.js'

const HEIGHT = 110
/** Milliseconds between pictures: a line of a minute hardly moves in less. */
const REDRAW = 250
/** Seconds shown, and from row to row of the table. */
const SPAN = 60
const ROW = 5

interface TrendProps {
  /** Undefined before anything of it came: its room is kept. */
  readonly vital: LiveVital | undefined
  readonly name: string
}

/** The strip, with its least and greatest in words, and its values as a table. */
export function Trend({ vital, name }: TrendProps) {
  const shown = useSlowly(vital)
  const { units } = useSettings()
  // What has not changed is not even compared: values come 20 times a second.
  return useMemo(() => <TrendFigure vital={shown} name={name} units={units} />, [shown, name, units])
}

/** A value as it was at the last picture. */
function useSlowly<T>(value: T | undefined): T | undefined {
  const held = useRef<{ value: T | undefined; at: number }>({ value: undefined, at: 0 })
  const now = performance.now()
  if (held.current.value === undefined || now - held.current.at >= REDRAW) held.current = { value, at: now }
  return held.current.value
}

function TrendFigure({ vital, name, units }: TrendProps & { readonly units: UnitChoice }) {
  const values = vital?.trend.y.filter((value) => value !== null) ?? []
  const scale = scaleOf(vital?.signal.unit ?? null, vital?.signal.resolution ?? null, units)
  const words = (value: number): string => `${formatNumber(scale.show(value), scale.decimals)} ${scale.unit}`
  return (
    <figure class="trend">
      <figcaption>
        {name} <span class="faint">{scale.unit}</span>
        <span class="trend-range faint">
          {values.length > 0 &&
            `${text.plots.tableLeast} ${words(Math.min(...values))} · ${text.plots.tableGreatest} ${words(Math.max(...values))}`}
        </span>
      </figcaption>
      <div class="trend-area" style={{ height: `${HEIGHT}px` }}>
        {vital !== undefined && <Strip vital={vital} name={name} scale={scale} />}
      </div>
      <TrendTable vital={vital} name={name} scale={scale} />
    </figure>
  )
}

interface StripProps {
  readonly vital: LiveVital
  readonly name: string
  readonly scale: Scale
}

function Strip({ vital, name, scale }: StripProps) {
  const [host, width] = useWidth()
  const canvas = useRef<HTMLDivElement>(null)
  const handle = useRef<PlotHandle | null>(null)
  const { theme, units } = useSettings()
  const { signal, trend } = vital
  useEffect(() => {
    if (canvas.current === null || width < 10) return
    const leastSpan = Math.abs(scale.show(signal.resolution ?? 1) - scale.show(0)) * 20
    const plot = createPlot(
      canvas.current,
      { lines: [{ id: name, stepped: false }], theme, labels: null, bands: [], leastSpan },
      width,
      HEIGHT,
    )
    handle.current = plot
    return () => {
      handle.current = null
      plot.destroy()
    }
  }, [width, theme, units, signal.unit])
  useEffect(() => {
    const end = trend.x.at(-1)
    if (end === undefined) return
    handle.current?.window(end - SPAN, end)
    handle.current?.data([trend.x, trend.y.map((value) => (value === null ? null : scale.show(value)))])
  }, [trend, width, theme, units])
  return (
    <div ref={host}>
      <div ref={canvas} role="img" aria-label={text.plots.picture(`${name}, ${text.live.trend}`)} />
    </div>
  )
}

function TrendTable({ vital, name, scale }: TrendProps & Pick<StripProps, 'scale'>) {
  const [open, setOpen] = useState(false)
  return (
    <details class="plot-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {text.plots.table}
        <span class="hidden">: {name}</span>
      </summary>
      {open && (
        <table>
          <caption class="hidden">{text.plots.tableCaption(name)}</caption>
          <thead>
            <tr>
              <th scope="col" class="number-cell">
                {text.live.ago}
              </th>
              <th scope="col" class="number-cell">
                {name} <span class="faint">{scale.unit}</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {Array.from({ length: SPAN / ROW + 1 }, (_, row) => row * ROW).map((ago) => (
              <tr key={ago}>
                <th scope="row" class="number-cell">
                  {ago}
                </th>
                <td class="number-cell">{valueAgo(vital, ago, scale)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </details>
  )
}

/** What it was so many seconds before its last value. */
function valueAgo(vital: LiveVital | undefined, ago: number, scale: Scale): string {
  const { x, y } = vital?.trend ?? { x: [], y: [] }
  const at = (x.at(-1) ?? 0) - ago
  const value = y[x.findLastIndex((seconds) => seconds <= at)] ?? null
  return value === null ? '–' : formatNumber(scale.show(value), scale.decimals)
}
