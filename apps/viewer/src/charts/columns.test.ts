import type { ColumnEntry } from '@firstcrank/feed'
import { describe, expect, it } from 'vitest'
import { align, extentOf, pointsOf } from './columns.js'

const entry = (columns: ColumnEntry['columns'], from = 0, to = 4_000_000): ColumnEntry => ({
  index: 0,
  columns,
  next: 0,
  lastTime: Number.NaN,
  from,
  to,
  skipped: 0,
})

const samples = (rows: readonly (readonly [time: number, value: number])[]): ColumnEntry =>
  entry({
    form: 'samples',
    time: Float64Array.from(rows, ([time]) => time),
    value: Float64Array.from(rows, ([, value]) => value),
    status: Uint8Array.from(rows, ([, value]) => (Number.isNaN(value) ? 4 : 0)),
  })

const same = { zero: 0, hold: 1_500_000, show: (value: number) => value }

describe('points of samples', () => {
  it('are seconds from the zero, in the unit shown', () => {
    const points = pointsOf(
      samples([
        [2_000_000, 10],
        [3_000_000, 20],
      ]),
      { ...same, zero: 1_000_000, show: (c) => c * 1.8 + 32 },
    )
    expect(points).toEqual({ x: [1, 2], y: [50, 68] })
  })

  it('break where there is no value', () => {
    expect(
      pointsOf(
        samples([
          [0, 1],
          [1_000_000, Number.NaN],
          [2_000_000, 3],
        ]),
        same,
      ).y,
    ).toEqual([1, null, 3])
  })

  it('break at a silence, as long after the last message as a value holds', () => {
    expect(
      pointsOf(
        samples([
          [0, 1],
          [4_000_000, 2],
        ]),
        same,
      ),
    ).toEqual({ x: [0, 1.5, 4], y: [1, null, 2] })
  })

  it('keep the last of two at one time, and no value never hides one', () => {
    expect(
      pointsOf(
        samples([
          [0, 1],
          [0, 2],
        ]),
        same,
      ),
    ).toEqual({ x: [0], y: [2] })
    expect(
      pointsOf(
        samples([
          [0, 1],
          [0, Number.NaN],
        ]),
        same,
      ),
    ).toEqual({ x: [0], y: [1] })
  })
})

describe('points of an overview', () => {
  const overview = (count: readonly number[]): ColumnEntry =>
    entry({
      form: 'overview',
      first: Float64Array.of(5, Number.NaN, Number.NaN, 7),
      least: Float64Array.of(1, Number.NaN, Number.NaN, 7),
      greatest: Float64Array.of(9, Number.NaN, Number.NaN, 7),
      last: Float64Array.of(6, Number.NaN, Number.NaN, 7),
      count: Uint32Array.from(count),
    })

  it('are first, least, greatest and last of each column', () => {
    const { x, y } = pointsOf(overview([9, 0, 0, 1]), { ...same, hold: 5_000_000 })
    expect(x.slice(0, 4)).toEqual([0, 0.25, 0.5, 0.75])
    expect(y).toEqual([5, 1, 9, 6, 7, 7, 7, 7])
  })

  it('break at a silence longer than a value holds', () => {
    expect(pointsOf(overview([9, 0, 0, 1]), same).y).toEqual([5, 1, 9, 6, null, 7, 7, 7, 7])
  })

  it('break where messages came without a value', () => {
    expect(pointsOf(overview([9, 3, 0, 1]), same).y).toEqual([5, 1, 9, 6, null, 7, 7, 7, 7])
  })
})

describe('lines on one axis', () => {
  const data = align([
    { x: [0, 2, 4], y: [1, null, 3] },
    { x: [1, 2], y: [10, 20] },
  ])

  it('share all times, and keep a break apart from a time they do not have', () => {
    expect(data).toEqual([
      [0, 1, 2, 4],
      [1, undefined, null, 3],
      [undefined, 10, 20, undefined],
    ])
  })

  it('have an extent in the window that is shown', () => {
    expect(extentOf(data, 0, 4)).toEqual([1, 20])
    expect(extentOf(data, 3, 5)).toEqual([3, 3])
    expect(extentOf(data, 5, 9)).toBeNull()
  })
})
