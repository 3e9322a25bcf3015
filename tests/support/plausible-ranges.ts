/**
 * What a signal of a diesel vehicle can be worth at all, by unit, with the exceptions by SPN. Wide on
 * purpose: a value outside was read from the wrong place or with the wrong scale. Source: common
 * practice, except where a row says otherwise.
 */
import type { Unit } from '@firstcrank/decoder/catalog'

export type Range = readonly [lowest: number, highest: number]

/** By unit; units that no recording has shown yet are not listed. */
export const PLAUSIBLE_BY_UNIT: Partial<Record<Unit, Range>> = {
  '%': [-125, 250],
  '1/km': [-200, 200],
  '°C': [-60, 900],
  'g/h': [0, 20_000],
  h: [0, 200_000],
  'kg/h': [0, 4_000],
  'kg·m²': [0, 50],
  km: [0, 5_000_000],
  'km/h': [0, 150],
  'km/L': [0, 126],
  kPa: [-30, 1_300],
  kW: [0, 1_000],
  L: [0, 3_000_000],
  'L/h': [0, 150],
  m: [0, 5_000_000_000],
  MPa: [0, 260],
  N·m: [0, 6_000],
  ppm: [-200, 3_100],
  ratio: [0, 250],
  rev: [0, 50_000_000_000],
  rpm: [0, 3_500],
  s: [0, 4_000_000],
  step: [0, 250],
  V: [0, 33],
}

/** By SPN, where the unit's range says too much or too little. */
export const PLAUSIBLE_BY_SPN: Readonly<Record<number, Range>> = {
  // Temperatures of fluids and intake air
  52: [-50, 120],
  105: [-50, 150],
  110: [-50, 125],
  171: [-50, 60],
  172: [-50, 80],
  174: [-50, 120],
  175: [-50, 160],
  3031: [-50, 90],
  // Pressures
  100: [0, 800],
  102: [0, 400],
  106: [50, 400],
  108: [50, 106],
  3563: [50, 500],
  // Speeds: a turbocharger; a speed limit at the top of its range says that there is none; wheels against their axle
  103: [0, 250_000],
  898: [0, 8_031.875],
  905: [-8, 8],
  906: [-8, 8],
  907: [-8, 8],
  908: [-8, 8],
  909: [-8, 8],
  910: [-8, 8],
  // Shares of a whole
  51: [0, 100],
  91: [0, 100],
  96: [0, 100],
  111: [0, 100],
  1761: [0, 100],
}

/** The range a value of a signal must lie in; undefined where none is known. */
export function plausibleRange(spn: number, unit: Unit): Range | undefined {
  return PLAUSIBLE_BY_SPN[spn] ?? PLAUSIBLE_BY_UNIT[unit]
}
