/** Two runs over one another as inline SVG: time counts from the event both were aligned by. */
import { element, textElement } from '../render/markup.js'
import {
  type Across,
  AXIS,
  clamp,
  GAP,
  INK,
  LEFT,
  line,
  PLOT,
  PLOT_HEIGHT,
  RULE,
  round,
  WIDTH,
} from '../render/svg-frame.js'
import { plotMarks, rangeOf } from '../render/svg-plot.js'
import { timeTicks } from '../render/ticks.js'
import { numberText, type Values } from '../render/values.js'
import { SECOND } from '../series.js'
import type { Overlay } from './comparison.js'

/** Room for the title of the first plot. */
const TOP = 22

/** The picture as an `svg` element; `id` is made unique by the caller. */
export function overlaySvg(overlay: Overlay, id: string, values: Values): string {
  const { title, from, to, plots } = overlay
  const across: Across = (time) => LEFT + ((clamp(time, overlay) - from) / (to - from)) * PLOT
  const bottom = TOP + plots.length * (PLOT_HEIGHT + GAP) - GAP + 6
  const ticks = timeTicks(from, to)
  const grid = ticks.map((tick) =>
    line(
      across(tick),
      TOP,
      across(tick),
      bottom,
      tick === 0 ? { stroke: INK, 'stroke-dasharray': '2 2' } : { stroke: RULE },
    ),
  )
  const times = ticks.map((tick) =>
    textElement(
      'text',
      // At the right edge half of it would be cut off.
      { x: round(across(tick)), y: bottom + 16, 'text-anchor': tick === to ? 'end' : 'middle' },
      numberText(tick / SECOND, 0),
    ),
  )
  const height = bottom + AXIS
  return element(
    'svg',
    { viewBox: `0 0 ${WIDTH} ${height}`, role: 'img', 'aria-labelledby': `${id}-title ${id}-text`, class: 'figure' },
    textElement('title', { id: `${id}-title` }, title),
    textElement('desc', { id: `${id}-text` }, describe(overlay, values)),
    ...grid,
    ...plots.map((plot, index) =>
      plotMarks({ ...plot, limits: [] }, overlay, TOP + index * (PLOT_HEIGHT + GAP), across, values),
    ),
    ...times,
    textElement('text', { x: 0, y: bottom + 16, class: 'quiet' }, 'seconds'),
  )
}

/** What the picture shows, in words, for those who do not see it. */
function describe({ plots }: Overlay, values: Values): string {
  return plots
    .map(({ title, unit, traces }) => {
      const ranges = traces.map((trace) => {
        const [low = 0, high = 0] = rangeOf([trace])
        return `${trace.name} from ${values.value(low, unit)} to ${values.value(high, unit)}`
      })
      return `${title}: ${ranges.join('; ')}.`
    })
    .join(' ')
}
