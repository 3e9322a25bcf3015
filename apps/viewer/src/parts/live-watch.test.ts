import { describe, expect, it } from 'vitest'
import { areStale, countOf, isStale, NEW_WATCH, type Sight, stageOf, watchOn } from './live-watch.js'

const SECOND = 1_000_000

/** What is said after the last of these moments. */
function after(...sights: readonly (readonly [seconds: number, speed: number | null, oil: number | null])[]) {
  let watch = NEW_WATCH
  let last: Sight = { time: 0, speed: null, oil: null }
  for (const [seconds, speed, oil] of sights) {
    last = { time: seconds * SECOND, speed, oil }
    watch = watchOn(watch, last)
  }
  return stageOf(watch, last)
}

describe('a start that is watched', () => {
  it('is not known without speed, and stands without turning', () => {
    expect(after([0, null, null])).toEqual({ kind: 'unknown' })
    expect(after([0, 0, 0])).toEqual({ kind: 'standing' })
  })

  it('counts down what the starter may: 30 s, published limits on cranking time', () => {
    expect(after([0, 0, 0], [10, 180, 0], [22, 210, 0])).toEqual({
      kind: 'cranking',
      seconds: 12,
      left: 18,
      missed: false,
    })
    expect(after([10, 180, 0], [60, 180, 0])).toMatchObject({ left: 0 })
  })

  it('waits ten seconds for oil pressure from firing on, then says stop', () => {
    expect(after([10, 180, 0], [12, 450, 0], [16, 800, 69])).toEqual({ kind: 'oil-wait', left: 6 })
    expect(after([12, 450, 0], [22, 800, 0])).toEqual({ kind: 'oil-wait', left: 0 })
    expect(after([12, 450, 0], [22.5, 800, 12])).toEqual({ kind: 'no-oil', seconds: 10.5 })
    expect(after([12, 450, 0], [22.5, 800, 70])).toEqual({ kind: 'running' })
  })

  it('says stop again when pressure goes later on', () => {
    expect(after([12, 450, 0], [20, 800, 300], [200, 1_500, 40])).toMatchObject({ kind: 'no-oil' })
  })

  it('does not forget that there was no pressure until the engine has run with it', () => {
    const without = [
      [12, 450, 0],
      [22.5, 800, 12],
      [30, 0, 0],
    ] as const
    expect(after(...without)).toEqual({ kind: 'stopped-no-oil' })
    expect(after(...without, [60, 180, 0])).toMatchObject({ kind: 'cranking', missed: true })
    expect(after(...without, [60, 180, 0], [70, 800, 300], [80, 0, 0])).toEqual({ kind: 'standing' })
    // A replay that is moved back to before begins anew.
    expect(after(...without, [5, 0, 0])).toEqual({ kind: 'standing' })
  })

  it('never takes missing for zero', () => {
    expect(after([12, 450, null], [60, 800, null])).toEqual({ kind: 'oil-unknown' })
  })

  it('goes on while an engine runs down, and begins anew after it stood', () => {
    expect(after([12, 700, 200], [20, 300, 100])).toEqual({ kind: 'running' })
    expect(after([12, 700, 200], [20, 0, 0], [30, 200, 0])).toMatchObject({ kind: 'cranking', seconds: 0 })
  })

  it('begins anew where a replay was moved back', () => {
    expect(after([100, 800, 0], [50, 800, 0])).toEqual({ kind: 'oil-wait', left: 10 })
  })
})

describe('the figure to be read from afar', () => {
  it('is what is left, or has gone, in whole seconds that never promise too much', () => {
    expect(countOf({ kind: 'cranking', seconds: 11.6, left: 18.4, missed: false })).toBe(19)
    expect(countOf({ kind: 'oil-wait', left: 0.2 })).toBe(1)
    expect(countOf({ kind: 'no-oil', seconds: 12.9 })).toBe(12)
    expect(countOf({ kind: 'running' })).toBeNull()
  })
})

describe('stale data', () => {
  it.each([
    [700, 20_000, false],
    [900, 20_000, true],
    [2_900, 1_000_000, false],
    [3_100, 1_000_000, true],
    [2_900, null, false],
    [3_100, null, true],
  ])('after %i ms, at a period of %s µs: %s', (age, period, stale) => {
    expect(isStale(age, period)).toBe(stale)
  })

  it('together are stale as soon as what comes most often is', () => {
    expect(areStale(900, [1_000_000, 20_000, null])).toBe(true)
    expect(areStale(900, [1_000_000, null])).toBe(false)
    expect(areStale(3_100, [1_000_000, null])).toBe(true)
  })
})
