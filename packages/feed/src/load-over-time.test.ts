import { expect, test } from 'vitest'
import { loadOverTime } from './load-over-time.js'

const S = 1_000_000
const series = (rows: readonly (readonly [second: number, load: number])[]) => ({
  time: Float64Array.from(rows, ([second]) => second * S),
  load: Float64Array.from(rows, ([, load]) => load),
})

test('one column a second, without the seconds that are only begun or ended', () => {
  const over = loadOverTime(
    series([
      [10, 0.1],
      [11, 0.3],
      [12, 0.5],
      [13, 0.2],
    ]),
    10.4 * S,
    13.7 * S,
  )
  expect(over).toEqual({ from: 11 * S, step: S, mean: [0.3, 0.5], greatest: [0.3, 0.5] })
})

test('a second without a frame has no load', () => {
  const over = loadOverTime(
    series([
      [1, 0.25],
      [4, 0.5],
    ]),
    0,
    5 * S,
  )
  expect(over.mean).toEqual([0.25, null, null, 0.5])
})

test('a long recording in stretches of whole seconds, mean and busiest of each', () => {
  const over = loadOverTime(series(Array.from({ length: 600 }, (_, n) => [n, n % 3 === 0 ? 0.6 : 0.3])), 0, 600 * S)
  expect(over.step).toBe(3 * S)
  expect(over.mean).toHaveLength(200)
  expect(over.mean.every((share) => share !== null && Math.abs(share - 0.4) < 1e-12)).toBe(true)
  expect(new Set(over.greatest)).toEqual(new Set([0.6]))
})

test('less than a whole second, and nothing at all', () => {
  expect(loadOverTime(series([[7, 0.05]]), 7.2 * S, 7.6 * S)).toEqual({
    from: 7 * S,
    step: S,
    mean: [0.05],
    greatest: [0.05],
  })
  expect(loadOverTime(series([]), 0, 0).mean.every((share) => share === null)).toBe(true)
})
