import { describe, expect, it } from 'vitest'
import { clamp, exp, interpolate, lagShare, ln, power, sine } from './math.js'

const relative = (got: number, wanted: number): number => Math.abs(got - wanted) / Math.abs(wanted)

describe('functions agree with the engine’s own to its last digits', () => {
  it.each([-700, -40, -1.5, -1e-9, 0, 1e-9, 0.34, 1, 2.5, 40, 700])('exp(%f)', (x) => {
    expect(relative(exp(x), Math.exp(x))).toBeLessThan(1e-13)
  })
  it.each([1e-300, 1e-9, 0.3, 0.9999, 1.0001, 2, 7.389, 1e9, 1e300])('ln(%f)', (x) => {
    expect(relative(ln(x), Math.log(x))).toBeLessThan(1e-12)
  })
  it.each([
    [0.8244, 5.2559],
    [2, 10],
    [9, 0.5],
    [3, -2],
  ])('power(%f, %f)', (base, exponent) => {
    expect(relative(power(base, exponent), base ** exponent)).toBeLessThan(1e-12)
  })
  it.each([-1000, -3.2, -1.6, -0.1, 0, 0.5, 1.5, 1.6, 3.14, 4.7, 6.3, 12345.6])('sine(%f)', (x) => {
    expect(Math.abs(sine(x) - Math.sin(x))).toBeLessThan(1e-9)
  })
})

describe('interpolate', () => {
  const points = [
    [0, 10],
    [10, 30],
    [20, 20],
  ] as const
  it.each([
    [-5, 10],
    [0, 10],
    [5, 20],
    [10, 30],
    [15, 25],
    [20, 20],
    [99, 20],
  ])('at %f is %f', (x, y) => {
    expect(interpolate(points, x)).toBe(y)
  })
})

it('clamp holds a number between two others', () => {
  expect([clamp(-1, 0, 2), clamp(1, 0, 2), clamp(3, 0, 2)]).toEqual([0, 1, 2])
})

it('a lag with its share reaches 63 % after one time constant', () => {
  let value = 0
  for (let i = 0; i < 100; i++) value += (1 - value) * lagShare(0.01, 1)
  expect(value).toBeCloseTo(1 - 1 / Math.E, 2)
})
