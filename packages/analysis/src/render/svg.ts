/**
 * A figure as inline SVG: one time axis, the phases as a band along it, a lane for each fault, the plots
 * below. Words carry the meaning; colour and dashes repeat it. Colours are from the set of Okabe and
 * Ito ("Color Universal Design", 2008); lines use the five of them that reach a contrast of 3:1 on white.
 */
import type { PhaseKind, Span } from '../model.js'
import type { FaultLane, Figure } from '../report.js'
import { element, emptyElement, textElement } from './markup.js'
import {
  type Across,
  AXIS,
  BAND,
  clamp,
  cut,
  FAULT,
  GAP,
  INK,
  LANE,
  LEFT,
  LETTER,
  line,
  PLOT,
  PLOT_HEIGHT,
  RULE,
  round,
  WIDTH,
} from './svg-frame.js'
import { plotMarks, rangeOf } from './svg-plot.js'
import { timeTicks } from './ticks.js'
import { clock, type Values } from './values.js'
import { faultWords, PHASE_LABELS, PHASE_WORDS } from './words.js'

/** Tints of the same set, light enough for black words on them. */
const PHASE_FILLS: Readonly<Record<PhaseKind, string>> = {
  'key-on': '#eeeeee',
  preheat: '#f7ddb0',
  cranking: '#f3c3a3',
  'run-up': '#f8f1a6',
  'idle-settle': '#dcedf8',
  'warm-idle': '#bfe0f5',
  idle: '#bfe0f5',
  load: '#9fc9e4',
  shutdown: '#dddddd',
  stall: '#f3c3a3',
  'after-run': '#eeeeee',
  unknown: '#ffffff',
}

/**
 * The figure as an `svg` element.
 *
 * @param id made unique by the caller; the picture's own title and description are named after it
 */
export function figureSvg(figure: Figure, id: string, origin: number, values: Values): string {
  const across: Across = (time) => LEFT + ((clamp(time, figure) - figure.from) / (figure.to - figure.from)) * PLOT
  const lanesTop = BAND + 6
  const plotsTop = lanesTop + figure.lanes.length * LANE + GAP
  const bottom = plotsTop + figure.plots.length * (PLOT_HEIGHT + GAP) - GAP + 6
  const ticks = timeTicks(figure.from - origin, figure.to - origin)
  const grid = ticks.map((tick) => line(across(origin + tick), BAND, across(origin + tick), bottom, { stroke: RULE }))
  const times = ticks.map((tick) =>
    textElement(
      'text',
      { x: round(across(origin + tick)), y: bottom + 16, 'text-anchor': 'middle' },
      clock(tick).replace(/\.0$/, ''),
    ),
  )
  const height = bottom + AXIS
  return element(
    'svg',
    { viewBox: `0 0 ${WIDTH} ${height}`, role: 'img', 'aria-labelledby': `${id}-title ${id}-text`, class: 'figure' },
    textElement('title', { id: `${id}-title` }, figure.title),
    textElement('desc', { id: `${id}-text` }, describe(figure, values)),
    HATCH,
    ...grid,
    ...figure.phases.map((phase) => phaseBox(phase, across)),
    ...figure.lanes.flatMap((lane, index) => laneMarks(lane, lanesTop + index * LANE, across, bottom, figure)),
    ...figure.plots.map((plot, index) =>
      plotMarks(plot, figure, plotsTop + index * (PLOT_HEIGHT + GAP), across, values),
    ),
    ...times,
    textElement('text', { x: 0, y: bottom + 16, class: 'quiet' }, 'minutes:s'),
  )
}

/** What the picture shows, in words, for those who do not see it. */
function describe({ phases, lanes, plots }: Figure, values: Values): string {
  const band = phases.map(({ kind, from, to }) => `${PHASE_WORDS[kind]} ${values.span({ from, to })}`).join(', ')
  const faults = lanes.map(
    (lane) => `${faultWords(lane, values)} active ${lane.spans.map((span) => values.span(span)).join(', ')}`,
  )
  const ranges = plots.map(({ title, unit, traces }) => {
    const numbers = traces.flatMap(({ name, least, greatest }) => {
      const [low, high] = rangeOf([{ least, greatest }])
      return low === undefined || high === undefined
        ? []
        : [`${name} from ${values.value(low, unit)} to ${values.value(high, unit)}`]
    })
    return `${title}: ${numbers.join('; ')}.`
  })
  return [`Phases: ${band}.`, ...(faults.length === 0 ? [] : [`Faults: ${faults.join('; ')}.`]), ...ranges].join(' ')
}

/** For what nobody knows. */
const HATCH =
  '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">' +
  `<rect width="6" height="6" fill="#fff"/><path d="M0 0V6" stroke="${RULE}" stroke-width="2"/></pattern></defs>`

function phaseBox({ kind, from, to }: Span & { kind: PhaseKind }, across: Across): string {
  const x = across(from)
  const width = Math.max(1, across(to) - x)
  const fill = kind === 'unknown' ? 'url(#hatch)' : PHASE_FILLS[kind]
  const box = emptyElement('rect', {
    x: round(x),
    y: 1,
    width: round(width),
    height: BAND - 2,
    fill,
    stroke: INK,
    'stroke-width': 0.6,
  })
  const label = [PHASE_WORDS[kind], PHASE_LABELS[kind]].find((words) => words.length * LETTER + 6 <= width)
  const text =
    label === undefined
      ? ''
      : textElement('text', { x: round(x + width / 2), y: BAND - 8, 'text-anchor': 'middle' }, label)
  return `${box}${text}`
}

function laneMarks(lane: FaultLane, top: number, across: Across, bottom: number, figure: Figure): string[] {
  const label = textElement(
    'text',
    { x: LEFT - 8, y: top + 14, 'text-anchor': 'end', class: 'strong' },
    `${lane.spn}/${lane.fmi} at ${lane.sa}`,
  )
  const bars = lane.spans
    .filter(({ from, to }) => to >= figure.from && from <= figure.to)
    .map(({ from, to }) => ({
      x: across(from),
      end: Math.max(across(to), across(from) + 2),
      begins: from >= figure.from,
    }))
  const marks = bars.flatMap(({ x, end, begins }) => [
    emptyElement('rect', { x: round(x), y: top + 4, width: round(end - x), height: LANE - 9, fill: FAULT }),
    begins ? line(x, top + 4, x, bottom, { stroke: FAULT, 'stroke-dasharray': '1 4' }) : '',
  ])
  return [
    label,
    line(LEFT, top + LANE - 2, LEFT + PLOT, top + LANE - 2, { stroke: RULE }),
    ...marks,
    laneName(lane.name, bars, top),
  ]
}

/** The fault's name in the first stretch without a bar that has room for it, the widest one else. */
function laneName(name: string, bars: readonly { readonly x: number; readonly end: number }[], top: number): string {
  const ends = [LEFT, ...bars.map(({ end }) => end)]
  const starts = [...bars.map(({ x }) => x), LEFT + PLOT]
  const gaps = ends
    .map((from, index) => ({ from, width: (starts[index] as number) - from }))
    .sort((a, b) => a.from - b.from)
  const wanted = name.length * LETTER + 12
  // Behind the first bar rather than before it: there the eye looks next.
  const fit = [...gaps.slice(1), gaps[0]].find((gap) => gap !== undefined && gap.width >= wanted)
  const widest = gaps.reduce((most, gap) => (gap.width > most.width ? gap : most))
  const { from, width } = fit ?? widest
  return textElement(
    'text',
    { x: round(from + 6), y: top + 14, class: 'halo' },
    cut(name, Math.floor((width - 12) / LETTER)),
  )
}
