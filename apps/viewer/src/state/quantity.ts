/** Numbers and units as they are shown. */
import { shownUnit, shownValue, US_UNITS } from '@firstcrank/analysis'
import type { Unit } from '@firstcrank/decoder/catalog'
import type { UnitChoice } from './choices.js'

/** What a value of a signal is shown as. */
export interface Scale {
  readonly unit: string
  show(value: number): number
  /** Decimals that the signal's resolution is worth. */
  readonly decimals: number
}

/** How values of a signal are shown: `unit` as the recording names it; null of states and flags. */
export function scaleOf(unit: string | null, resolution: number | null, units: UnitChoice): Scale {
  if (unit === null) return { unit: '', show: (value) => value, decimals: 0 }
  const known = unit as Unit
  const factor = units === 'us' ? (US_UNITS[known]?.factor ?? 1) : 1
  return {
    unit: shownUnit(known, units),
    show: (value) => shownValue(value, known, units),
    decimals: decimalsOf((resolution ?? 0.1) * factor),
  }
}

/** How a difference of two values is shown: in another unit it has another size, but no offset. */
export function differenceScale(scale: Scale): Scale {
  return { ...scale, show: (value) => scale.show(value) - scale.show(0) }
}

/** Decimals that show a step of this size, at most four. */
export function decimalsOf(step: number): number {
  if (!(step > 0)) return 0
  return Math.min(4, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9)))
}

/** Decimals that marks of an axis need so that none is rounded, at most four: 1 for steps of 2.5. */
export function markDecimals(step: number): number {
  const digits = [0, 1, 2, 3].find((decimals) => {
    const shifted = step * 10 ** decimals
    return Math.abs(shifted - Math.round(shifted)) < 1e-6
  })
  return digits ?? 4
}

const formats = new Map<number, Intl.NumberFormat>()

/** A number with so many decimals; a minus sign is a minus sign. */
export function formatNumber(value: number, decimals: number): string {
  let format = formats.get(decimals)
  if (format === undefined) {
    format = new Intl.NumberFormat('en', { minimumFractionDigits: decimals, maximumFractionDigits: decimals })
    formats.set(decimals, format)
  }
  return format.format(Object.is(value, -0) ? 0 : value).replace(/^-/, '−')
}

/** A value with its unit. */
export function formatQuantity(value: number, scale: Scale): string {
  const number = formatNumber(scale.show(value), scale.decimals)
  return scale.unit === '' ? number : `${number} ${scale.unit}`
}

/** Bytes in the unit that keeps the number short. */
export function formatBytes(bytes: number): string {
  if (bytes < 1_000) return `${bytes} B`
  if (bytes < 1_000_000) return `${formatNumber(bytes / 1_000, 0)} kB`
  return `${formatNumber(bytes / 1_000_000, 1)} MB`
}
