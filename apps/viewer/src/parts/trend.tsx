/** The last minute of one vital. */
import { useEffect, useRef } from 'preact/hooks'
import { createPlot, type PlotHandle } from '../charts/plot.js'
import type { LiveVital } from '../recording/use-live.js'
import { formatNumber, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { text } from '../words/text.js'
import { useWidth } from './use-width.js'

const HEIGHT = 110
/** Milliseconds between pictures: a line of a minute hardly moves in less. */
const REDRAW = 250
/** Seconds shown. */
const SPAN = 60

/** The strip, with its least and greatest in words. */
export function Trend({ vital, name }: { readonly vital: LiveVital; readonly name: string }) {
  const [host, width] = useWidth()
  const canvas = useRef<HTMLDivElement>(null)
  const handle = useRef<PlotHandle | null>(null)
  const { theme, units } = useSettings()
  const { signal, trend } = vital
  const scale = scaleOf(signal.unit, signal.resolution, units)
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
    drawn.current = 0
    return () => {
      handle.current = null
      plot.destroy()
    }
  }, [width, theme, units, signal.unit])
  const drawn = useRef(0)
  useEffect(() => {
    const end = trend.x.at(-1)
    const now = performance.now()
    if (end === undefined || now - drawn.current < REDRAW) return
    drawn.current = now
    handle.current?.window(end - SPAN, end)
    handle.current?.data([trend.x, trend.y.map((value) => (value === null ? null : scale.show(value)))])
  }, [trend, width, theme, units])
  const values = trend.y.filter((value) => value !== null)
  const words = (value: number): string => `${formatNumber(scale.show(value), scale.decimals)} ${scale.unit}`
  return (
    <figure class="trend">
      <figcaption>
        {name}, {scale.unit}{' '}
        {values.length > 0 && (
          <span class="faint">
            {text.plots.tableLeast} {words(Math.min(...values))} · {text.plots.tableGreatest}{' '}
            {words(Math.max(...values))}
          </span>
        )}
      </figcaption>
      <div ref={host}>
        <div ref={canvas} role="img" aria-label={`${name}: ${text.live.trend}`} style={{ height: `${HEIGHT}px` }} />
      </div>
    </figure>
  )
}
