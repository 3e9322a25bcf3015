/**
 * Raw → physical as one division of integers, so that 3 × 0.05 is 0.15 and not 0.15000000000000002:
 * a quotient of exact integers is rounded once, to the number whose decimal form is the shortest.
 */
import type { NumericDefinition } from '../catalog/definition.js'

/** value = (raw × numerator + shift) / denominator; all three are integers. */
export interface Scale {
  readonly numerator: number
  readonly shift: number
  readonly denominator: number
}

/** Digits after the decimal point, also of numbers written with an exponent (1e-7). */
function decimals(value: number): number {
  const [mantissa, exponent = '0'] = String(value).split('e')
  const fraction = mantissa.split('.')[1] ?? ''
  return Math.max(0, fraction.length - Number(exponent))
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b)
}

/** The scale of a numeric signal. */
export function scaleOf(definition: Pick<NumericDefinition, 'resolution' | 'offset'>): Scale {
  const { resolution, offset } = definition
  const power = 10 ** Math.max(decimals(resolution), decimals(offset))
  const numerator = Math.round(resolution * power)
  const shift = Math.round(offset * power)
  const divisor = greatestCommonDivisor(greatestCommonDivisor(Math.abs(numerator), Math.abs(shift)), power)
  return { numerator: numerator / divisor, shift: shift / divisor, denominator: power / divisor }
}

/** The physical value of a raw one. */
export function toPhysical(raw: number, scale: Scale): number {
  return (raw * scale.numerator + scale.shift) / scale.denominator
}
