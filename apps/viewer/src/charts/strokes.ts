/**
 * How lines get onto the canvas. Without a graphics processor a line of many points that is wider than one
 * pixel of the screen takes 10 to 100 times as long to draw as one of just one: its outline has to be
 * worked out first. So a wide line is drawn as several thin ones, side by side. Few points are drawn as wide
 * as they are meant to be: then it costs nothing, and slanted lines look better.
 */
import uPlot from 'uplot'

/** What a line looks like. */
export interface Stroke {
  /** In pixels of the page. */
  readonly width: number
  readonly dash: readonly number[]
  /** Drawn in steps, with nothing in between. */
  readonly stepped: boolean
}

/** Pixels of the page between samples from which on each is marked, and the line drawn at its full width. */
const SPARSE = 14

/** Whether samples stand so far apart that each is seen. */
export function isSparse(plot: uPlot, first: number, last: number): boolean {
  return last - first < plot.bbox.width / devicePixelRatio / SPARSE
}

/**
 * Makes the paths of a line.
 *
 * @param isMoving whether the plot follows a hand just now: what costs the most, dashes and the full width
 *   of steep stretches, waits until it rests
 */
export function strokePaths({ width, dash, stepped }: Stroke, isMoving: () => boolean): uPlot.Series.PathBuilder {
  const build = (stepped ? uPlot.paths.stepped?.({ align: 1 }) : uPlot.paths.linear?.()) as uPlot.Series.PathBuilder
  return (plot, index, first, last) => {
    const paths = build(plot, index, first, last)
    const series = plot.series[index] as uPlot.Series
    const isWide = isSparse(plot, first, last)
    const isHasty = isMoving() && !isWide
    series.width = isWide ? width : 1 / devicePixelRatio
    series.dash = isHasty ? [] : [...dash]
    if (isWide || !(paths?.stroke instanceof Path2D)) return paths
    const pixels = Math.round(width * devicePixelRatio)
    return { ...paths, stroke: repeated(paths.stroke, isHasty ? 1 : pixels, pixels) }
  }
}

/**
 * The same path again beside and above itself, until it is so many pixels of the screen wide and high. Not
 * below: many a line rests on the lower edge, and what is below that is not shown.
 */
function repeated(path: Path2D, across: number, up: number): Path2D {
  const all = new Path2D(path)
  for (let x = 1; x < across; x++) all.addPath(path, new DOMMatrix([1, 0, 0, 1, x, 0]))
  for (let y = 1; y < up; y++) all.addPath(path, new DOMMatrix([1, 0, 0, 1, 0, -y]))
  return all
}
