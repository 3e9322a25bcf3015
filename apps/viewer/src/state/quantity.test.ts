import { expect, it } from 'vitest'
import { decimalsOf, formatNumber, markDecimals } from './quantity.js'

it.each([
  [0, 1],
  [0, 20],
  [1, 2.5],
  [1, 0.5],
  [2, 0.25],
  [2, 0.05],
  [4, 0.0025],
  [4, 1 / 3],
])('%i decimals show every mark of an axis in steps of %d', (decimals, step) => {
  expect(markDecimals(step)).toBe(decimals)
})

it('marks of an axis are the numbers where they stand', () => {
  for (const step of [0.001, 0.0025, 0.05, 0.25, 0.5, 2.5, 25]) {
    for (let mark = -3; mark <= 3; mark++) {
      const shown = formatNumber(mark * step, markDecimals(step)).replace('−', '-')
      expect(Number(shown)).toBeCloseTo(mark * step, 9)
    }
  }
})

it.each([
  [0, 1],
  [1, 0.5],
  [3, 1 / 256],
  [4, 1e-7],
])('%i decimals are worth a resolution of %d', (decimals, step) => {
  expect(decimalsOf(step)).toBe(decimals)
})
