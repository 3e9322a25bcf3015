/** Measures, colours and small pieces that all of a figure is drawn with. */
import type { Span } from '../model.js'
import { emptyElement } from './markup.js'

/** Width of the picture in its own pixels; a page scales it. */
export const WIDTH = 960
/** Room left of the plots, for labels, and right of them. */
export const LEFT = 96
const RIGHT = 8
/** Width of a plot. */
export const PLOT: number = WIDTH - LEFT - RIGHT
/** Heights: the band of phases, a fault's lane, a plot, the time axis. */
export const BAND = 24
export const LANE = 20
export const PLOT_HEIGHT = 96
export const AXIS = 26
/** Between plots: room for the next one's title. */
export const GAP = 32
/** About what a letter of the labels is wide. */
export const LETTER = 6.3

/** Colours: text and frames, grid, faults (Okabe and Ito's vermillion). */
export const INK = '#1a1a1a'
export const RULE = '#c9c9c9'
export const FAULT = '#d55e00'
/** Okabe and Ito's blue, vermillion, bluish green, reddish purple, each with its own dashes. */
export const TRACES: readonly { readonly colour: string; readonly dash: string | undefined }[] = [
  { colour: '#0072b2', dash: undefined },
  { colour: '#d55e00', dash: '7 3' },
  { colour: '#009e73', dash: '2 3' },
  { colour: '#cc79a7', dash: '9 3 2 3' },
]

/** Where a time is across the picture. */
export type Across = (time: number) => number

/** A straight line. */
export function line(
  x1: number,
  y1: number,
  x2: number,
  y2: number,
  attributes: Readonly<Record<string, string | number | undefined>>,
): string {
  return emptyElement('line', { x1: round(x1), y1: round(y1), x2: round(x2), y2: round(y2), ...attributes })
}

/** A time, moved to the nearest end of a span where it lies outside. */
export function clamp(time: number, { from, to }: Span): number {
  return Math.min(to, Math.max(from, time))
}

/** Text cut to so many letters, the last one then an ellipsis. */
export function cut(text: string, letters: number): string {
  return text.length <= letters ? text : `${text.slice(0, Math.max(1, letters - 1))}…`
}

/** To a tenth of a pixel: finer is only longer. */
export function round(value: number): number {
  return Math.round(value * 10) / 10
}
