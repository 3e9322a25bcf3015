import { describe, expect, it } from 'vitest'
import { scaleOf, toPhysical } from './scale.js'

const physical = (raw: number, resolution: number, offset: number): number =>
  toPhysical(raw, scaleOf({ resolution, offset }))

describe('a scale', () => {
  // As decimal fractions; the smallest whole numbers that give the same.
  it.each([
    [1, 0, { numerator: 1, shift: 0, denominator: 1 }],
    [10, 0, { numerator: 10, shift: 0, denominator: 1 }],
    [0.125, 0, { numerator: 1, shift: 0, denominator: 8 }],
    [1 / 32, -273, { numerator: 1, shift: -8736, denominator: 32 }],
    [0.05, 0, { numerator: 1, shift: 0, denominator: 20 }],
    [0.4, 0, { numerator: 2, shift: 0, denominator: 5 }],
    [1, -40, { numerator: 1, shift: -40, denominator: 1 }],
    [1 / 16, -7.8125, { numerator: 1, shift: -125, denominator: 16 }],
    [1e-7, -210, { numerator: 1, shift: -2_100_000_000, denominator: 10_000_000 }],
    [0.000514, -12, { numerator: 257, shift: -6_000_000, denominator: 500_000 }],
  ])('%d, offset %d', (resolution, offset, wanted) => {
    expect(scaleOf({ resolution, offset })).toEqual(wanted)
  })
})

describe('a physical value', () => {
  // The number a person would write, not the nearest a product of two rounded numbers comes to.
  it.each([
    [3, 0.05, 0, 0.15],
    [7, 0.1, 0, 0.7],
    [250, 0.4, 0, 100],
    [0x12d1, 0.125, 0, 602.125],
    [64255, 1 / 256, 0, 250.99609375],
    [0x2540, 1 / 32, -273, 25],
    [64255, 0.125, 0, 8031.875],
    [4211081215, 0.05, 0, 210554060.75],
    [0, 1 / 128, -250, -250],
    [26000, 0.000514, -12, 1.364],
  ])('%i × %d + %d', (raw, resolution, offset, wanted) => {
    expect(physical(raw, resolution, offset)).toBe(wanted)
  })
})
