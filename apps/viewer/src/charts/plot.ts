/** One plot on a canvas. The only place that knows the plotting library. */
import uPlot from 'uplot'
import 'uplot/dist/uPlot.min.css'
import type { Theme } from '../state/choices.js'
import { formatNumber, markDecimals } from '../state/quantity.js'
import { ticksBetween } from '../state/time.js'
import { type Aligned, extentOf } from './columns.js'
import { FURNITURE, lineStyle } from './palette.js'
import { isSparse, strokePaths } from './strokes.js'

/** A line of a plot. */
export interface Line {
  readonly id: string
  /** Drawn in steps: states, which have nothing in between. */
  readonly stepped: boolean
}

/** A limit where it was applied; in the unit shown, and seconds. */
export interface LimitBand {
  readonly from: number
  readonly to: number
  readonly low: number
  /** Greater than `low` where the stretch between two limits is meant. */
  readonly high: number
}

/** What a plot shows besides its data. */
export interface PlotSpec {
  readonly lines: readonly Line[]
  readonly theme: Theme
  /** Labels of a plot of states, by value. */
  readonly labels: Readonly<Record<string, string>> | null
  readonly bands: readonly LimitBand[]
  /** Least height of the value axis, in the unit shown: noise must not look like a mountain. */
  readonly leastSpan: number
  /** Whether the value axis begins at zero: of counts, where only then heights can be compared. */
  readonly fromZero?: boolean
}

/** A plot that is on the page. */
export interface PlotHandle {
  data(data: Aligned): void
  window(from: number, to: number): void
  size(width: number, height: number): void
  destroy(): void
}

/** Pixels left and right of every plot's area, so that all plots share one axis. */
export const GUTTER = { left: 58, right: 10 } as const
/** Pixels between two marks of the time axis. */
const TICK_ROOM = 90
const FONT = '12px system-ui, "DejaVu Sans", sans-serif'

/** Milliseconds without a new window after which the hand rests. */
const REST = 150

/** Puts a plot into an element. */
export function createPlot(host: HTMLElement, spec: PlotSpec, width: number, height: number): PlotHandle {
  const colors = FURNITURE[spec.theme]
  let shown = { from: 0, to: 1 }
  let data: Aligned = [[]]
  let resting: ReturnType<typeof setTimeout> | undefined
  const rest = (): void => {
    resting = undefined
    plot.redraw()
  }
  const plot = new uPlot(
    {
      width,
      height,
      legend: { show: false },
      cursor: { show: false },
      padding: [6, GUTTER.right, 6, 0],
      scales: {
        x: { time: false, range: () => [shown.from, shown.to] },
        y: { range: () => valueRange(data, shown.from, shown.to, spec) },
      },
      axes: [
        {
          show: true,
          size: 1,
          splits: (self) => [...ticksBetween(shown.from, shown.to, self.bbox.width / devicePixelRatio / TICK_ROOM)],
          values: (_, splits) => splits.map(() => ''),
          grid: { stroke: colors.grid, width: 1 },
          ticks: { show: false },
          border: { show: true, stroke: colors.frame, width: 1 },
        },
        {
          size: GUTTER.left,
          font: FONT,
          stroke: colors.text,
          gap: 6,
          grid: { stroke: colors.grid, width: 1 },
          ticks: { show: true, stroke: colors.frame, width: 1, size: 4 },
          border: { show: true, stroke: colors.frame, width: 1 },
          space: 24,
          ...(spec.labels === null ? {} : { incrs: [1, 2, 5, 10, 50, 100] }),
          values: (_, splits) => splits.map((value) => axisLabel(value, splits, spec)),
        },
      ],
      series: [
        {},
        ...spec.lines.map((line, index) => {
          const { color, dash } = lineStyle(index, spec.theme)
          // On dense screens a little thinner: there thin lines are crisp.
          const width = colors.lineWidth / (devicePixelRatio > 1 ? devicePixelRatio / 1.5 : 1)
          return {
            stroke: color,
            paths: strokePaths({ width, dash, stepped: line.stepped }, () => resting !== undefined),
            // Where samples are far apart they are seen to be: the line between them is only drawn.
            points: {
              size: 5,
              fill: color,
              show: (self: uPlot, _: number, first: number, last: number) => isSparse(self, first, last),
            },
            spanGaps: false,
          }
        }),
      ],
      hooks: { drawAxes: [(self) => drawBands(self, spec)] },
    },
    data as uPlot.AlignedData,
    host,
  )
  return {
    data: (next) => {
      data = next
      plot.setData(next as uPlot.AlignedData, false)
      plot.setScale('x', { min: shown.from, max: shown.to })
    },
    window: (from, to) => {
      shown = { from, to }
      // A line by itself has no dashes: what is left out while it moves is not worth drawing it again.
      if (spec.lines.length > 1 && data[0].length > 0) {
        clearTimeout(resting)
        resting = setTimeout(rest, REST)
      }
      plot.setScale('x', { min: from, max: to })
    },
    size: (nextWidth, nextHeight) => plot.setSize({ width: nextWidth, height: nextHeight }),
    destroy: () => {
      clearTimeout(resting)
      plot.destroy()
    },
  }
}

/** The value axis: what is drawn and the limits in sight, with a little room. */
function valueRange(data: Aligned, from: number, to: number, spec: PlotSpec): [number, number] {
  if (spec.labels !== null) {
    const [least, greatest] = extentOf(data, from, to) ?? [0, 1]
    return [least - 0.5, Math.max(greatest, least + 1) + 0.5]
  }
  const seen = extentOf(data, from, to)
  const limits = spec.bands.filter((band) => band.from <= to && band.to >= from).flatMap(({ low, high }) => [low, high])
  if (seen === null && limits.length === 0) return [0, 1]
  const all = [...(seen ?? []), ...limits, ...(spec.fromZero ? [0] : [])]
  const least = Math.min(...all)
  const greatest = Math.max(...all)
  const missing = Math.max(0, spec.leastSpan - (greatest - least)) / 2
  const room = Math.max(greatest - least, spec.leastSpan) * 0.06
  const low = least - missing - room
  // A value that never goes below nothing gets no axis below nothing.
  return [least >= 0 && low < 0 ? 0 : low, greatest + missing + room]
}

function axisLabel(value: number, splits: readonly number[], spec: PlotSpec): string {
  if (spec.labels !== null) return Number.isInteger(value) ? shortened(spec.labels[`${value}`] ?? `${value}`) : ''
  const step = splits.length > 1 ? Math.abs((splits[1] as number) - (splits[0] as number)) : 1
  return formatNumber(value, markDecimals(step))
}

/** What fits beside the axis; the whole label stands in the legend under the cursor. */
function shortened(label: string): string {
  return label.length > 8 ? `${label.slice(0, 7)}…` : label
}

function drawBands(self: uPlot, { bands, theme }: PlotSpec): void {
  const { ctx, bbox } = self
  const { band: fill, limit: stroke } = FURNITURE[theme]
  ctx.save()
  ctx.beginPath()
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height)
  ctx.clip()
  for (const { from, to, low, high } of bands) {
    const left = self.valToPos(from, 'x', true)
    const right = Math.max(left + 6 * devicePixelRatio, self.valToPos(to, 'x', true))
    const top = self.valToPos(high, 'y', true)
    const bottom = self.valToPos(low, 'y', true)
    ctx.fillStyle = fill
    ctx.fillRect(left, top, right - left, Math.max(bottom - top, 0))
    ctx.strokeStyle = stroke
    ctx.lineWidth = 1.5 * devicePixelRatio
    ctx.setLineDash([6 * devicePixelRatio, 3 * devicePixelRatio])
    for (const y of new Set([top, bottom])) {
      ctx.beginPath()
      ctx.moveTo(left, y)
      ctx.lineTo(right, y)
      ctx.stroke()
    }
  }
  ctx.restore()
}
