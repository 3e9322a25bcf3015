import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { areEarlier, freshTicks, lastTick, loadTicks, saveTicks } from './start-ticks.js'

const HOUR = 3_600_000
const NOW = 1_700_000_000_000

describe('ticks before a start', () => {
  let kept: Map<string, string>
  beforeEach(() => {
    kept = new Map()
    vi.stubGlobal('localStorage', {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => kept.set(key, value),
    })
  })
  afterEach(() => {
    vi.unstubAllGlobals()
  })

  it('are kept for each source apart', () => {
    saveTicks('live-1', { oil: NOW }, NOW)
    saveTicks('live-2', { coolant: NOW }, NOW)
    expect(loadTicks('live-1', NOW + HOUR)).toEqual({ oil: NOW })
    expect(loadTicks('live-2', NOW + HOUR)).toEqual({ coolant: NOW })
    expect(loadTicks('live-3', NOW + HOUR)).toEqual({})
  })

  it('hold for twelve hours each, and not from a time to come', () => {
    const ticks = { oil: NOW, coolant: NOW + 2 * HOUR }
    expect(freshTicks(ticks, NOW + 12 * HOUR)).toBe(ticks)
    expect(freshTicks(ticks, NOW + 12 * HOUR + 1)).toEqual({ coolant: NOW + 2 * HOUR })
    expect(freshTicks(ticks, NOW + HOUR)).toEqual({ oil: NOW })
    saveTicks('live-1', ticks, NOW + 2 * HOUR)
    expect(loadTicks('live-1', NOW + 13 * HOUR)).toEqual({ coolant: NOW + 2 * HOUR })
    expect(loadTicks('live-1', NOW + 15 * HOUR)).toEqual({})
  })

  it('leave nothing behind once they are old or cleared', () => {
    saveTicks('live-1', { oil: NOW }, NOW)
    saveTicks('live-2', { oil: NOW + 20 * HOUR }, NOW + 20 * HOUR)
    expect([...kept.values()].join()).not.toContain('live-1')
    saveTicks('live-2', {}, NOW + 21 * HOUR)
    expect([...kept.values()]).toEqual(['{}'])
  })

  it('are none where what was kept is damaged, or nothing is kept', () => {
    for (const damaged of ['{', 'null', '7', '{"live-1":null}', '{"live-1":{"oil":"yes","fuel":null}}']) {
      kept.set('firstcrank.before-start', damaged)
      expect(loadTicks('live-1', NOW), damaged).toEqual({})
    }
    vi.stubGlobal('localStorage', undefined)
    expect(() => saveTicks('live-1', { oil: NOW }, NOW)).not.toThrow()
    expect(loadTicks('live-1', NOW)).toEqual({})
  })

  it('are from earlier when the last one is half an hour old', () => {
    const ticks = { oil: NOW, coolant: NOW + HOUR }
    expect(areEarlier(ticks, NOW + 1.5 * HOUR)).toBe(false)
    expect(areEarlier(ticks, NOW + 1.5 * HOUR + 1)).toBe(true)
    expect(areEarlier({}, NOW)).toBe(false)
  })

  it('say when the last one was set', () => {
    expect(lastTick({ oil: NOW, coolant: NOW + 1 })).toBe(NOW + 1)
    expect(lastTick({})).toBeNull()
  })
})
