import { describe, expect, it } from 'vitest'
import { Random } from './random.js'

const draw = (random: Random, count: number): number[] => Array.from({ length: count }, () => random.unit())

describe('Random', () => {
  it('gives the published sequence of xoshiro128**', () => {
    // Outputs from state 1, 2, 3, 4, made by the authors' reference implementation (version 1.1).
    const random = Random.fromState([1, 2, 3, 4])
    const wanted = [11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804]
    expect(wanted.map(() => random.bits())).toEqual(wanted)
  })

  it('repeats itself for the same seed and differs for another', () => {
    expect(draw(new Random(7), 20)).toEqual(draw(new Random(7), 20))
    expect(draw(new Random(7), 20)).not.toEqual(draw(new Random(8), 20))
  })

  it('gives forks that depend on seed and name, not on what was drawn before', () => {
    const drawn = new Random(3)
    drawn.bits()
    expect(draw(drawn.fork('oil'), 5)).toEqual(draw(new Random(3).fork('oil'), 5))
    expect(draw(new Random(3).fork('oil'), 5)).not.toEqual(draw(new Random(3).fork('air'), 5))
    expect(draw(new Random(3).fork('oil'), 5)).not.toEqual(draw(new Random(4).fork('oil'), 5))
  })

  it('has the moments of what it claims to be', () => {
    const random = new Random(11)
    const units = draw(random, 20_000)
    const normals = units.map(() => random.normal())
    const mean = (values: number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length
    // Four standard errors of 20,000 draws: 0.0082 and 0.028.
    expect(Math.abs(mean(units) - 0.5)).toBeLessThan(0.0082)
    expect(Math.abs(mean(normals))).toBeLessThan(0.028)
    expect(Math.abs(mean(normals.map((value) => value ** 2)) - 1)).toBeLessThan(0.05)
    expect(Math.max(...normals.map(Math.abs))).toBeLessThan(3.5)
  })
})
