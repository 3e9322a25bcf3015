import { describe, expect, it, test } from 'vitest'
import { cellKey, cellOf, coverageOf, DIMENSIONS, type Look, longestByCell, matchedSeconds } from './exposure.js'

const look = (speed: number, load: number, coolant: number, use: Look['use'] = 'running'): Look => ({
  time: 0,
  use,
  phase: 'idle',
  speed,
  load,
  coolant,
})
const key = (speed: number, load: number, coolant: number): string => cellKey(look(speed, load, coolant), DIMENSIONS)
const seconds = (...cells: readonly (readonly [string, number])[]): Map<string, number> => new Map(cells)

describe('a cell', () => {
  it('has a round idle speed in its middle, not on its edge', () => {
    for (const idle of [650, 700, 750, 800, 850]) expect(key(idle - 10, 15, 75)).toBe(key(idle + 10, 15, 75))
    expect(cellOf(key(750, 15, 75))).toEqual({ use: 'running', speed: 625, load: 10, coolant: 70 })
  })

  it('of an engine that stands has no load; full load is in the last bin; what is unknown is null', () => {
    expect(cellOf(cellKey(look(0, 40, 5, 'standing'), DIMENSIONS))).toMatchObject({ load: null, coolant: 0 })
    expect(cellOf(key(2000, 100, 80)).load).toBe(90)
    expect(cellOf(cellKey(look(2000, 50, 80), ['speed']))).toMatchObject({ load: null, coolant: null })
  })
})

describe('coverage', () => {
  const [a, beside, corner, far] = [key(750, 15, 75), key(750, 25, 75), key(1000, 25, 85), key(750, 15, 95)]

  test.each<[string, [string, number][], number]>([
    ['nothing', [], 0],
    ['all of it', [[a, 40]], 1],
    ['more than all of it', [[a, 400]], 1],
    ['half of it', [[a, 20]], 0.5],
    ['a cell beside', [[beside, 40]], 1],
    ['a cell at the corner', [[corner, 10]], 0.25],
    [
      'its own and one beside',
      [
        [a, 20],
        [beside, 10],
      ],
      0.75,
    ],
    ['one two bins away', [[far, 40]], 0],
  ])('of forty seconds by %s', (_, after, share) => {
    expect(coverageOf(seconds([a, 40]), seconds(...after))).toBe(share)
  })

  it('counts every second once', () => {
    // Both want the time of the cell between them.
    const [low, middle, high] = [key(750, 5, 75), key(750, 15, 75), key(750, 25, 75)]
    expect(coverageOf(seconds([low, 10], [high, 10]), seconds([middle, 10]))).toBe(0.5)
    expect(coverageOf(seconds([low, 10], [middle, 10]), seconds([middle, 10]))).toBe(0.5)
  })

  it('is asked of some cells alone, and is none of nothing', () => {
    expect(coverageOf(seconds([a, 40], [far, 40]), seconds([a, 40]), [a])).toBe(1)
    expect(coverageOf(seconds([a, 40], [far, 40]), seconds([a, 40]))).toBe(0.5)
    expect(coverageOf(seconds(), seconds([a, 40]))).toBe(0)
  })
})

test('idling all day does not make up for a drive', () => {
  const [idle, drive] = [key(750, 15, 75), key(2000, 65, 85)]
  const before = seconds([idle, 100], [drive, 100])
  // A run of 600 s: each half may count for 300 at most.
  expect(matchedSeconds(before, seconds([idle, 600]))).toBe(300)
  expect(matchedSeconds(before, seconds([idle, 300], [drive, 300]))).toBe(600)
  expect(matchedSeconds(before, seconds([idle, 50], [drive, 20]))).toBe(70)
})

describe('the longest stay in a cell', () => {
  /** Speeds half a second apart, from a time on. */
  const looks = (from: number, ...speeds: number[]): Look[] =>
    speeds.map((speed, index) => ({ ...look(speed, 15, 75), time: from + index * 500_000 }))
  const [slow, fast] = [key(750, 15, 75), key(1500, 15, 75)]

  it('ends where the engine leaves the cell, and the first of two as long is kept', () => {
    const stays = longestByCell(looks(1_000_000, 750, 760, 1500, 750, 750, 740, 1500), DIMENSIONS)
    expect(stays.get(slow)).toEqual({ from: 2_500_000, to: 3_500_000 })
    expect(stays.get(fast)).toEqual({ from: 2_000_000, to: 2_000_000 })
    expect(stays.size).toBe(2)
  })

  it('ends at a gap in the looks', () => {
    const stays = longestByCell([...looks(0, 750, 750), ...looks(60_000_000, 750, 750, 750)], DIMENSIONS)
    expect(stays.get(slow)).toEqual({ from: 60_000_000, to: 61_000_000 })
  })
})
