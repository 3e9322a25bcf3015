/** The load of each channel over time: its mean, and the busiest second, as a picture and as a table. */
import type { RecordingInfo } from '@firstcrank/feed'
import { useEffect, useRef, useState } from 'preact/hooks'
import { align, type Points } from '../charts/columns.js'
import { lineStyle } from '../charts/palette.js'
import { createPlot } from '../charts/plot.js'
import { formatNumber } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'
import { useWidth } from './use-width.js'

const HEIGHT = 200
/** Rows of the table. */
const ROWS = 12

type Load = RecordingInfo['loads'][number]

/** One line of the picture, in per cent. */
interface Line {
  readonly name: string
  readonly points: Points
}

/** The picture, what its lines are, and its table. */
export function LoadPlot({ info }: { readonly info: RecordingInfo }) {
  const [host, width] = useWidth()
  const canvas = useRef<HTMLDivElement>(null)
  const { theme } = useSettings()
  const zero = info.from ?? 0
  const length = Math.max(1, ((info.to ?? 0) - zero) / 1e6)
  const lines = info.loads.flatMap((load) => linesOf(load, zero, info.loads.length > 1))
  useEffect(() => {
    if (canvas.current === null || width < 10) return
    const plot = createPlot(
      canvas.current,
      {
        lines: lines.map(({ name }) => ({ id: name, stepped: true })),
        theme,
        labels: null,
        bands: [],
        leastSpan: 10,
        fromZero: true,
      },
      width,
      HEIGHT,
    )
    plot.window(0, length)
    plot.data(align(lines.map(({ points }) => points)))
    return () => plot.destroy()
  }, [info.loads, width, theme, length])
  return (
    <div ref={host} class="rate-plot">
      <ul class="legend">
        {lines.map(({ name }, index) => {
          const { color, dash } = lineStyle(index, theme)
          return (
            <li key={name}>
              <svg class="line-sample" width="26" height="10" aria-hidden="true">
                <line
                  x1="0"
                  y1="5"
                  x2="26"
                  y2="5"
                  stroke={color}
                  stroke-width="2.5"
                  stroke-dasharray={dash.join(' ')}
                />
              </svg>
              <span class="legend-name">{name}</span> <span class="legend-unit">%</span>
            </li>
          )
        })}
      </ul>
      <div
        ref={canvas}
        role="img"
        aria-label={text.plots.picture(text.bus.loadOver)}
        style={{ height: `${HEIGHT}px` }}
      />
      <p class="plot-ends faint">
        <span>{formatTime(0, 1)}</span> <span>{formatTime(length, 1)}</span>
      </p>
      <LoadTable lines={lines} length={length} />
    </div>
  )
}

/** Mean and busiest second; one line where both are the same second. A stretch lasts until the next begins. */
function linesOf({ channel, over }: Load, zero: number, named: boolean): Line[] {
  const { mean, maximum } = text.bus.loadColumns
  const line = (name: string, shares: readonly (number | null)[]): Line => ({
    name: named ? `${channel}: ${name}` : name,
    points: {
      x: [...shares, null].map((_, index) => (over.from + index * over.step - zero) / 1e6),
      y: [...shares, shares.at(-1) ?? null].map((share) => share && share * 100),
    },
  })
  const means = line(mean, over.mean)
  return over.step === 1e6 ? [line(text.bus.loadSecond, over.mean)] : [means, line(maximum, over.greatest)]
}

function LoadTable({ lines, length }: { readonly lines: readonly Line[]; readonly length: number }) {
  const [open, setOpen] = useState(false)
  const percent = (share: number | null): string => (share === null ? '–' : `${formatNumber(share, 1)} %`)
  return (
    <details class="plot-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{text.plots.table}</summary>
      {open && (
        <table>
          <caption class="hidden">{text.bus.loadOver}</caption>
          <thead>
            <tr>
              <th scope="col">{text.plots.tableTime}</th>
              {lines.map(({ name }) => (
                <th key={name} scope="col" class="number-cell">
                  {name}, {text.plots.tableGreatest}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {Array.from(
              { length: ROWS },
              (_, row) => [(row * length) / ROWS, ((row + 1) * length) / ROWS] as const,
            ).map(([from, to]) => (
              <tr key={from}>
                <th scope="row">
                  {formatTime(from, 0.1)} to {formatTime(to, 0.1)}
                </th>
                {lines.map(({ name, points }) => (
                  <td key={name} class="number-cell">
                    {percent(greatestIn(points, from, to))}
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

function greatestIn({ x, y }: Points, from: number, to: number): number | null {
  let greatest: number | null = null
  for (const [index, at] of x.entries()) {
    const share = y[index] ?? null
    if (share !== null && at >= from && at < to) greatest = Math.max(greatest ?? 0, share)
  }
  return greatest
}
