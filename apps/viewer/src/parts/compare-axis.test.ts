import type { Comparison } from '@firstcrank/analysis'
import { describe, expect, it } from 'vitest'
import { clamped, moved, zoomed } from '../state/axis.js'
import { axisEvents, axisOf, chosenEvent } from './compare-axis.js'
import type { CompareSide, CompareSides } from './compare-model.js'

const side = (zero: number, length: number) => ({ id: 'x', model: { zero, length } }) as CompareSide
/** Begins at 100 s and lasts 50 s; begins at 1,000 s and lasts 80 s. */
const sides: CompareSides = { before: side(100e6, 50), after: side(1_000e6, 80) }
const event = (name: string, number: number, before: number, after: number, sa = 0) => ({
  event: name,
  sa,
  number,
  before: before * 1e6,
  after: after * 1e6,
  offset: (after - before) * 1e6,
})
const comparison = {
  alignment: [
    event('engine-start', 1, 110, 1_030),
    event('first-crank', 2, 140, 1_060),
    event('first-crank', 1, 108, 1_027),
    event('first-crank', 1, 109, 1_028, 1),
  ],
} as unknown as Comparison

describe('one axis for two runs', () => {
  const events = axisEvents(comparison, sides)

  it('offers the events both have, engine by engine', () => {
    expect(events.map(({ key, title, before }) => [key, title, before / 1e6])).toEqual([
      ['first-crank-1', 'First crank, engine at address 0', 108],
      ['engine-start-1', 'Engine start, engine at address 0', 110],
      ['first-crank-2', 'First crank 2, engine at address 0', 140],
      ['first-crank-1-of-1', 'First crank, engine at address 1', 109],
      ['beginning', 'Beginning of the log', 100],
    ])
    const one = { alignment: comparison.alignment.filter(({ sa }) => sa === 0) } as unknown as Comparison
    expect(axisEvents(one, sides)[0]?.title).toBe('First crank')
  })

  it('offers an event once where two engines have one address, each on its own interface', () => {
    const twins = { alignment: [event('first-crank', 1, 108, 1_027), event('first-crank', 1, 109, 1_028)] }
    const keys = axisEvents(twins as unknown as Comparison, sides).map(({ key, before }) => [key, before / 1e6])
    expect(keys).toEqual([
      ['first-crank-1', 108],
      ['beginning', 100],
    ])
  })

  it('is laid on what the address names, else on the start of the engine, else on the beginning', () => {
    expect(chosenEvent(events, 'first-crank-2').before).toBe(140e6)
    expect(chosenEvent(events, 'first-crank-1-of-1').before).toBe(109e6)
    expect(chosenEvent(events, null).key).toBe('engine-start-1')
    expect(chosenEvent(events, 'nonsense').key).toBe('engine-start-1')
    expect(chosenEvent(axisEvents({ alignment: [] } as unknown as Comparison, sides), null).key).toBe('beginning')
  })

  it('goes from the earliest beginning to the latest end', () => {
    expect(axisOf(chosenEvent(events, 'engine-start-1'), sides)).toEqual({ from: -30, to: 50 })
    expect(axisOf(chosenEvent(events, 'beginning'), sides)).toEqual({ from: 0, to: 80 })
  })

  it('keeps windows between its ends', () => {
    const axis = { from: -30, to: 50 }
    expect(clamped(axis, { from: -100, to: 100 })).toEqual(axis)
    expect(moved(axis, { from: -30, to: -10 }, -0.5)).toEqual({ from: -30, to: -10 })
    expect(moved(axis, { from: -30, to: -10 }, 0.5)).toEqual({ from: -20, to: 0 })
    expect(zoomed(axis, { from: -20, to: 20 }, 0.5, 0.5)).toEqual({ from: -10, to: 10 })
  })
})
