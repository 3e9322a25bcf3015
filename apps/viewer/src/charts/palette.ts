/**
 * Colours of lines and of the plots' furniture, by theme. From the set of Okabe and Ito (2008), "Color
 * universal design": on white only those with a contrast of 3 to 1 (WCAG 1.4.11), on black the light
 * ones. Dashes repeat what colour says.
 */
import type { Theme } from '../state/choices.js'

/** How a line is drawn. */
export interface LineStyle {
  readonly color: string
  readonly dash: readonly number[]
}

const ON_LIGHT = ['#0072b2', '#b34700', '#00735a', '#9c4a7d', '#1b1a17'] as const
const ON_DARK = ['#56b4e9', '#e69f00', '#2fc49a', '#e39ac4', '#f0e442'] as const
const DASHES: readonly (readonly number[])[] = [[], [7, 4], [2, 3], [10, 3, 2, 3], [4, 2]]

/** Style of the n-th line of a plot. */
export function lineStyle(index: number, theme: Theme): LineStyle {
  const colors = theme === 'night' ? ON_DARK : ON_LIGHT
  return {
    color: colors[index % colors.length] as string,
    dash: DASHES[index % DASHES.length] as readonly number[],
  }
}

/** What is not a line. */
export interface Furniture {
  readonly grid: string
  readonly frame: string
  readonly text: string
  readonly band: string
  readonly limit: string
  readonly lineWidth: number
}

/** Grid, frame and text of plots. */
export const FURNITURE: Readonly<Record<Theme, Furniture>> = {
  day: { grid: '#e2dccc', frame: '#8c8677', text: '#3d3a33', band: '#d55e0021', limit: '#a33f00', lineWidth: 1.6 },
  night: { grid: '#2c2f31', frame: '#6f756f', text: '#cfcabd', band: '#e69f0026', limit: '#f0a53c', lineWidth: 1.6 },
  sun: { grid: '#cfcfcf', frame: '#000000', text: '#000000', band: '#d55e0030', limit: '#8a3300', lineWidth: 2.4 },
}
