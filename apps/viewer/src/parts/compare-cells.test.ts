import type { Cell } from '@firstcrank/analysis'
import { describe, expect, it } from 'vitest'
import { coolantBars, depthOf, type Seconds, useMap } from './compare-cells.js'

const cell = (
  use: Cell['use'],
  speed: number | null,
  load: number | null,
  coolant: number | null,
  before: number,
  after: number,
): Cell => ({
  use,
  speed,
  load,
  coolant,
  before,
  after,
  longest: { before: stay(before, 100), after: stay(after, 200) },
})
/** A stay of so many seconds from a time on; none of none. */
const stay = (seconds: number, from: number) => (seconds === 0 ? null : { from, to: from + seconds })
const seconds = ({ before, after }: Seconds): Seconds => ({ before, after })

const CELLS = [
  cell('running', 750, 20, 40, 3, 1),
  cell('running', 750, 20, 50, 4, 2),
  cell('running', 1500, 40, 60, 0, 5),
  cell('running', 1500, null, 60, 7, 0),
  cell('standing', 0, null, 20, 11, 13),
]

describe('a map of use', () => {
  it('adds up what differs in temperature alone, and leaves out an engine that stands', () => {
    const map = useMap(CELLS)
    expect(map?.speeds).toEqual([750, 1000, 1250, 1500])
    expect(map?.loads).toEqual([40, 30, 20, null])
    // Of what is added up, the longest stay is the one to be looked at.
    expect(map?.at(750, 20)).toEqual({
      before: 7,
      after: 3,
      longest: { before: { from: 100, to: 104 }, after: { from: 200, to: 202 } },
    })
    expect(map?.at(1500, null)).toEqual({
      before: 7,
      after: 0,
      longest: { before: { from: 100, to: 107 }, after: null },
    })
    expect(map?.at(1000, 30)).toEqual({ before: 0, after: 0, longest: { before: null, after: null } })
    expect(map?.most).toBe(7)
  })

  it('keeps bins that do not begin at zero', () => {
    expect(useMap([cell('running', 625, 5, 20, 1, 1), cell('running', 1125, 15, 20, 1, 1)])).toMatchObject({
      speeds: [625, 875, 1125],
      loads: [15, 5],
    })
  })

  it('is none where the engine never ran', () => {
    expect(useMap([cell('standing', 0, null, 20, 11, 13)])).toBeNull()
    expect(useMap([])).toBeNull()
  })
})

describe('bars of temperature', () => {
  it('hold all uses, and every bin between', () => {
    expect(coolantBars(CELLS).map((bar) => ({ coolant: bar.coolant, ...seconds(bar) }))).toEqual([
      { coolant: 20, before: 11, after: 13 },
      { coolant: 30, before: 0, after: 0 },
      { coolant: 40, before: 3, after: 1 },
      { coolant: 50, before: 4, after: 2 },
      { coolant: 60, before: 7, after: 5 },
    ])
    expect(coolantBars([cell('running', 750, 20, null, 1, 1)])).toEqual([])
  })
})

it.each([
  [0, 900, 0],
  [0.5, 900, 1],
  [10, 900, 2],
  [60, 900, 3],
  [500, 900, 4],
  [900, 900, 4],
])('%d s of at most %d s are tinted %d deep', (seconds, most, depth) => {
  expect(depthOf(seconds, most)).toBe(depth)
})
