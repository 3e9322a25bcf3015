/** How busy the bus was: in figures, and messages a second over time. */
import type { ColumnEntry, RecordingInfo, SignalInfo } from '@firstcrank/feed'
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import { createPlot } from '../charts/plot.js'
import type { Source } from '../recording/open.js'
import { refOf } from '../recording/signals.js'
import { formatNumber } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'
import { useWidth } from './use-width.js'

/** Streams that are counted over time at most: as many as one request takes. */
const MOST_STREAMS = 64
/** Stretches of the picture. */
const COLUMNS = 240
const HEIGHT = 200

/** The part of the bus page. */
export function LoadPart({ source, info }: { readonly source: Source | null; readonly info: RecordingInfo }) {
  const { loadColumns: columns } = text.bus
  const zero = info.from ?? 0
  const percent = (share: number | null): string => (share === null ? '–' : `${formatNumber(share * 100, 1)} %`)
  return (
    <>
      {info.loads.length === 0 ? (
        <p class="note">{text.bus.loadNone}</p>
      ) : (
        <table class="card-table">
          <thead>
            <tr>
              <th scope="col">{columns.channel}</th>
              <th scope="col" class="number-cell">
                {columns.rate}
              </th>
              <th scope="col" class="number-cell">
                {columns.frames}
              </th>
              <th scope="col" class="number-cell">
                {columns.mean}
              </th>
              <th scope="col" class="number-cell">
                {columns.maximum}
              </th>
            </tr>
          </thead>
          <tbody>
            {info.loads.map(({ channel, bitRate, basis, frames, mean, maximum, maximumAt }) => (
              <tr key={channel}>
                <th scope="row">{channel}</th>
                <td class="number-cell" data-name={columns.rate}>
                  {formatNumber(bitRate / 1_000, 0)} kbit/s <span class="faint">{text.bus.basis[basis]}</span>
                </td>
                <td class="number-cell" data-name={columns.frames}>
                  {frames.toLocaleString('en')}
                </td>
                <td class="number-cell" data-name={columns.mean}>
                  {percent(mean)}
                </td>
                <td class="number-cell" data-name={columns.maximum}>
                  {percent(maximum)}{' '}
                  <span class="faint">
                    {columns.at} {formatTime(Math.max(0, (maximumAt - zero) / 1e6), 1)}
                  </span>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <h2>{text.bus.loadOver}</h2>
      {source !== null && <RatePlot source={source} info={info} />}
    </>
  )
}

function RatePlot({ source, info }: { readonly source: Source; readonly info: RecordingInfo }) {
  const [host, width] = useWidth()
  const canvas = useRef<HTMLDivElement>(null)
  const { theme } = useSettings()
  const [rates, setRates] = useState<readonly number[]>([])
  const [from, to] = [info.from ?? 0, info.to ?? 0]
  const length = Math.max(0.01, (to - from) / 1e6)
  const signals = useMemo(() => oneOfEachStream(info), [info])
  useEffect(() => {
    let gone = false
    if (signals.length === 0) return
    source.window({ signals: signals.map(refOf), from, to, columns: COLUMNS }).then(
      (entries) => !gone && setRates(ratesOf(entries, from, to)),
      () => undefined,
    )
    return () => {
      gone = true
    }
  }, [source, signals, from, to])
  useEffect(() => {
    if (canvas.current === null || width < 10 || rates.length === 0) return
    const plot = createPlot(
      canvas.current,
      { lines: [{ id: 'rate', stepped: true }], theme, labels: null, bands: [], leastSpan: 10, fromZero: true },
      width,
      HEIGHT,
    )
    plot.window(0, length)
    plot.data([rates.map((_, index) => (index * length) / COLUMNS), rates])
    return () => plot.destroy()
  }, [rates, width, theme, length])
  const greatest = Math.max(0, ...rates)
  const least = rates.length === 0 ? 0 : Math.min(...rates)
  return (
    <div ref={host} class="rate-plot">
      <div
        ref={canvas}
        role="img"
        aria-label={text.plots.picture(text.bus.loadOver)}
        style={{ height: `${HEIGHT}px` }}
      />
      <p class="faint">
        {text.plots.tableLeast} {formatNumber(least, 0)}/s · {text.plots.tableGreatest} {formatNumber(greatest, 0)}/s ·{' '}
        {formatTime(0, 1)} – {formatTime(length, 1)}
      </p>
      {rates.length > 0 && <RateTable rates={rates} length={length} />}
    </div>
  )
}

/** Rows of the table. */
const ROWS = 12

function RateTable({ rates, length }: { readonly rates: readonly number[]; readonly length: number }) {
  const [open, setOpen] = useState(false)
  const each = COLUMNS / ROWS
  const stretches = Array.from({ length: ROWS }, (_, row) => rates.slice(row * each, (row + 1) * each))
  return (
    <details class="plot-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{text.plots.table}</summary>
      {open && (
        <table>
          <caption class="hidden">{text.bus.loadOver}</caption>
          <thead>
            <tr>
              <th scope="col">{text.plots.tableTime}</th>
              {[text.plots.tableLeast, text.bus.loadColumns.mean, text.plots.tableGreatest].map((name) => (
                <th key={name} scope="col" class="number-cell">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {stretches.map((stretch, row) => (
              <tr key={row}>
                <th scope="row">
                  {formatTime((row * length) / ROWS, 0.1)} – {formatTime(((row + 1) * length) / ROWS, 0.1)}
                </th>
                {[
                  Math.min(...stretch),
                  stretch.reduce((sum, rate) => sum + rate, 0) / stretch.length,
                  Math.max(...stretch),
                ].map((rate, column) => (
                  <td key={column} class="number-cell">
                    {formatNumber(rate, 0)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </details>
  )
}

/** One signal of each stream, those with the most messages: what counts its messages. */
function oneOfEachStream(info: RecordingInfo): readonly SignalInfo[] {
  const streams = new Map<string, SignalInfo>()
  for (const signal of info.signals) {
    const key = `${signal.channel}/${signal.pgn}/${signal.sa}`
    if (!streams.has(key) && signal.instance === undefined) streams.set(key, signal)
  }
  return [...streams.values()].sort((a, b) => b.count - a.count).slice(0, MOST_STREAMS)
}

/** Messages a second in each stretch. */
function ratesOf(entries: readonly ColumnEntry[], from: number, to: number): readonly number[] {
  const counts = new Float64Array(COLUMNS)
  for (const { columns } of entries) {
    if (columns.form === 'overview')
      for (let i = 0; i < COLUMNS; i++) counts[i] = (counts[i] ?? 0) + (columns.count[i] ?? 0)
    else {
      for (const time of columns.time) {
        const column = Math.min(COLUMNS - 1, Math.floor(((time - from) / (to - from)) * COLUMNS))
        counts[column] = (counts[column] ?? 0) + 1
      }
    }
  }
  const seconds = Math.max(1e-6, (to - from) / 1e6 / COLUMNS)
  return Array.from(counts, (count) => count / seconds)
}
