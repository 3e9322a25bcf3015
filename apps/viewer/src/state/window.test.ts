import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { clampWindow, isWhole, moveWindow, windowAround, zoomWindow } from './window.js'

describe('windows', () => {
  it('zoom around the place that is pointed at', () => {
    expect(zoomWindow({ from: 20, to: 40 }, 0.5, 0.25, 100)).toEqual({ from: 22.5, to: 32.5 })
    expect(zoomWindow({ from: 20, to: 40 }, 2, 0.5, 100)).toEqual({ from: 10, to: 50 })
  })

  it('stop at the ends of the recording', () => {
    expect(moveWindow({ from: 90, to: 100 }, 0.5, 100)).toEqual({ from: 90, to: 100 })
    expect(moveWindow({ from: 2, to: 12 }, -0.5, 100)).toEqual({ from: 0, to: 10 })
    expect(zoomWindow({ from: 0, to: 60 }, 9, 0.5, 100)).toEqual({ from: 0, to: 100 })
  })

  it('leave room around what is shown', () => {
    expect(windowAround(50, 60, 100)).toEqual({ from: 46.5, to: 63.5 })
    const moment = windowAround(50, 50, 100)
    expect(moment).toEqual({ from: 48, to: 52 })
    expect(isWhole(moment, 100)).toBe(false)
    expect(isWhole({ from: 0, to: 100 }, 100)).toBe(true)
  })

  it('are never empty and never outside', () => {
    const number = fc.double({ min: -1e4, max: 1e4, noNaN: true })
    fc.assert(
      fc.property(number, number, fc.double({ min: 0.01, max: 1e5, noNaN: true }), (from, to, length) => {
        const window = clampWindow({ from, to }, length)
        expect(window.to - window.from).toBeGreaterThan(0.0019)
        expect(window.from).toBeGreaterThanOrEqual(0)
        expect(window.to).toBeLessThanOrEqual(length * (1 + 1e-9))
      }),
    )
  })
})
