/** One plot of a figure: its axis, its traces, and the limits where they were applied. */
import type { Limit, Span } from '../model.js'
import type { Plot, Trace } from '../report.js'
import { shownUnit, shownValue } from '../units.js'
import { element, emptyElement, textElement } from './markup.js'
import { type Across, INK, LEFT, LETTER, line, PLOT, PLOT_HEIGHT, RULE, round, TRACES } from './svg-frame.js'
import { axisTicks } from './ticks.js'
import { limitTitle, numberText, type Values } from './values.js'

/** A plot below its title. */
export function plotMarks(
  { title, unit, traces, limits }: Plot,
  figure: Span,
  top: number,
  across: Across,
  values: Values,
): string {
  const shown = (value: number): number => shownValue(value, unit, values.units)
  const [low = 0, high = 1] = rangeOf(traces)
  const lines = limits.map(({ limit }) => limit.value)
  const { from, to, ticks, digits } = axisTicks(shown(Math.min(low, ...lines)), shown(Math.max(high, ...lines)))
  const up = (value: number): number => top + PLOT_HEIGHT - ((shown(value) - from) / (to - from)) * PLOT_HEIGHT
  const frame = emptyElement('rect', {
    x: LEFT,
    y: top,
    width: PLOT,
    height: PLOT_HEIGHT,
    fill: 'none',
    stroke: INK,
    'stroke-width': 0.8,
  })
  const scale = ticks.flatMap((tick) => {
    const y = top + PLOT_HEIGHT - ((tick - from) / (to - from)) * PLOT_HEIGHT
    return [
      line(LEFT, y, LEFT + PLOT, y, { stroke: RULE }),
      textElement('text', { x: LEFT - 8, y: round(y + 4), 'text-anchor': 'end' }, numberText(tick, digits)),
    ]
  })
  const name = `${title}, ${shownUnit(unit, values.units)}`
  const heading = [
    textElement('text', { x: LEFT, y: top - 7, class: 'strong' }, name),
    ...(traces.length > 1 ? keys(traces, LEFT + name.length * LETTER * 1.15 + 24, top - 7) : []),
  ]
  const marks = limits.map(({ limit, ...span }) =>
    limitMark(across(span.from), across(span.to), up(limit.value), limit),
  )
  const drawn = traces.map((trace, index) => traceMarks(trace, index, figure, up))
  return element('g', {}, ...heading, ...scale, frame, ...marks, ...drawn)
}

/** The traces' names, each behind a piece of its line. */
function keys(traces: readonly Trace[], left: number, y: number): string[] {
  let x = left
  return traces.flatMap(({ name }, index) => {
    const { colour, dash } = TRACES[index % TRACES.length] as (typeof TRACES)[0]
    const start = x
    x += name.length * LETTER + 48
    return [
      line(start, y - 4, start + 22, y - 4, { stroke: colour, 'stroke-width': 2, 'stroke-dasharray': dash }),
      textElement('text', { x: round(start + 27), y }, name),
    ]
  })
}

/** A limit over the stretch it was applied to, with a word on what lies beyond it where there is room. */
function limitMark(x1: number, x2: number, y: number, limit: Limit): string {
  const end = Math.max(x2, x1 + 8)
  const kind = limit.id.slice(limit.id.indexOf('.') + 1)
  const [word, dash] = kind.startsWith('pass') ? ['pass', '7 3'] : ['fail', '3 3']
  const isNamed = end - x1 > 70 && (kind.startsWith('pass') || kind.startsWith('caution'))
  return element(
    'g',
    {},
    textElement('title', {}, limitTitle(limit)),
    line(x1, y, end, y, { stroke: INK, 'stroke-width': 1.2, 'stroke-dasharray': dash }),
    line(x1, y - 3, x1, y + 3, { stroke: INK }),
    line(end, y - 3, end, y + 3, { stroke: INK }),
    isNamed
      ? textElement(
          'text',
          // The two kinds at two ends, since their lines may lie close together.
          {
            ...(word === 'pass' ? { x: round(x1 + 6) } : { x: round(end - 6), 'text-anchor': 'end' }),
            y: round(y + 3.5),
            class: 'halo small',
          },
          `${word} ${kind.endsWith('from') === (word === 'pass') ? '≥' : '≤'}`,
        )
      : '',
  )
}

/**
 * A trace: the area between the least and the greatest value of each column, so that no spike is lost,
 * and a line through the middle. Both are broken where a value was no longer in force.
 */
function traceMarks(trace: Trace, index: number, figure: Span, up: (value: number) => number): string {
  const { colour, dash } = TRACES[index % TRACES.length] as (typeof TRACES)[0]
  const runs = runsOf(trace, figure, up)
  const area = runs.map((run) => {
    const upper = run.map(({ x, high }) => `${x} ${high}`)
    const lower = run.map(({ x, low }) => `${x} ${low}`).reverse()
    return run.some(({ low, high }) => low !== high) ? `M${[...upper, ...lower].join('L')}Z` : ''
  })
  const middle = runs.map((run) => {
    const [first] = run
    // A single point draws nothing: give it the width of a column.
    if (run.length === 1 && first !== undefined) return `M${first.x} ${first.high}h${round(PLOT / trace.least.length)}`
    return `M${run.map(({ x, low, high }) => `${x} ${round((low + high) / 2)}`).join('L')}`
  })
  const areas = area.join('')
  return [
    areas === ''
      ? ''
      : emptyElement('path', {
          d: areas,
          fill: colour,
          'fill-opacity': index === 0 ? 0.3 : 0.12,
          stroke: colour,
          'stroke-width': 0.4,
        }),
    emptyElement('path', {
      d: middle.join(''),
      fill: 'none',
      stroke: colour,
      'stroke-width': 1.5,
      'stroke-linejoin': 'round',
      'stroke-dasharray': dash,
    }),
  ].join('')
}

/** Points of a trace, a run for each stretch without a break. */
function runsOf(
  { least, greatest, hold }: Trace,
  { from, to }: Span,
  up: (value: number) => number,
): { x: number; low: number; high: number }[][] {
  const columns = least.length
  const reach = Math.max(1.5, (hold / (to - from)) * columns + 1)
  const runs: { x: number; low: number; high: number }[][] = []
  let last = Number.NEGATIVE_INFINITY
  for (let column = 0; column < columns; column++) {
    const low = least[column] ?? null
    const high = greatest[column] ?? null
    if (low === null || high === null) continue
    if (column - last > reach) runs.push([])
    runs
      .at(-1)
      ?.push({ x: round(LEFT + ((column + 0.5) / columns) * PLOT), low: round(up(low)), high: round(up(high)) })
    last = column
  }
  return runs
}

/** Least and greatest value of all traces; undefined without values. */
export function rangeOf(
  traces: readonly Pick<Trace, 'least' | 'greatest'>[],
): [number | undefined, number | undefined] {
  const low = traces.flatMap(({ least }) => least.filter((value) => value !== null))
  const high = traces.flatMap(({ greatest }) => greatest.filter((value) => value !== null))
  return low.length === 0 ? [undefined, undefined] : [Math.min(...low), Math.max(...high)]
}
