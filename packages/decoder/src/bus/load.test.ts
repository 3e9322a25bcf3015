import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BusError } from './error.js'
import { nominalBits, worstCaseBits } from './frame-bits.js'
import { BusLoad } from './load.js'

const SECOND = 1_000_000
/** A moment in 2024, on a second. */
const START = 1_717_200_000 * SECOND

/** Adds `frames` frames of 8 bytes and 140 bits, evenly, from a time for a second. */
function fill(load: BusLoad, channel: number, from: number, frames: number): void {
  for (let i = 0; i < frames; i++) load.add(channel, from + Math.floor((i * SECOND) / frames), 140, 8)
}

describe('BusLoad', () => {
  it('gives the load second by second, channel by channel', () => {
    const load = new BusLoad({ bitRate: 250_000 })
    fill(load, 0, START, 500)
    fill(load, 0, START + SECOND, 1000)
    fill(load, 2, START, 250)
    expect(load.channelNumbers()).toEqual([0, 2])
    expect(load.seconds(0)).toEqual({
      time: Float64Array.of(START, START + SECOND),
      load: Float64Array.of(0.28, 0.56),
    })
    expect(load.seconds(2).load).toEqual(Float64Array.of(0.14))
    expect(load.summary(0)).toMatchObject({
      channel: 0,
      bitRate: { value: 250_000, basis: 'given' },
      frames: 1500,
      bits: 210_000,
      maximum: { load: 0.56, time: START + SECOND },
      complete: true,
    })
  })

  it('halves at twice the bit rate', () => {
    const load = new BusLoad()
    fill(load, 0, START, 500)
    const fast = { value: 500_000, basis: 'given' } as const
    expect(load.seconds(0, fast).load).toEqual(Float64Array.of(0.14))
    expect(load.summary(0, fast)?.maximum.load).toBe(0.14)
  })

  it('knows nothing of a channel without frames', () => {
    const load = new BusLoad()
    load.add(3, START, 140, 8)
    expect(load.summary(1)).toBeUndefined()
    expect(load.seconds(1).time).toHaveLength(0)
    expect(load.plausibleBitRate(1)).toEqual({ value: 250_000, basis: 'assumed' })
  })

  it('gives no mean of a single moment', () => {
    const load = new BusLoad()
    load.add(0, START, 140, 8)
    expect(load.summary(0)).toMatchObject({ mean: null, meanNominal: null, meanWorstCase: null, observed: 0 })
  })

  it('gives no mean of frames so close together that the time before the first one decides it', () => {
    const load = new BusLoad({ bitRate: 250_000 })
    load.add(0, START, 140, 8)
    load.add(0, START + 10, 140, 8)
    expect(load.summary(0)).toMatchObject({ mean: null, meanNominal: null, meanWorstCase: null })
    load.add(0, START + SECOND / 10, 140, 8)
    expect(load.summary(0)?.mean).toBeCloseTo(0.0112, 12)
  })

  it('counts a silence as one second, however long', () => {
    const load = new BusLoad({ bitRate: 250_000 })
    load.add(0, START, 93_750, 8)
    load.add(0, START + SECOND / 2, 93_750, 8)
    load.add(0, START + 50 * 365 * 86_400 * SECOND, 93_750, 8)
    expect(load.summary(0)).toMatchObject({ observed: 1.5, mean: 0.5 })
    expect(load.seconds(0).time).toHaveLength(2)
  })

  it('has a mean that is the load of even traffic, whatever the length', () => {
    for (const seconds of [1, 2, 10]) {
      const load = new BusLoad({ bitRate: 250_000 })
      for (let i = 0; i < seconds; i++) fill(load, 0, START + i * SECOND, 500)
      expect(load.summary(0)?.mean).toBeCloseTo(0.28, 12)
    }
  })

  it.each([0.3, 0.5, 0.9])('of a second that begins %d into one of the clock has no maximum below the mean', (part) => {
    const load = new BusLoad({ bitRate: 250_000 })
    fill(load, 0, START + part * SECOND, 500)
    const summary = load.summary(0)
    expect(Math.max(...load.seconds(0).load)).toBeLessThan(0.27)
    expect(summary?.maximum.load).toBe(summary?.mean)
    expect(summary?.maximum.load).toBeCloseTo(0.28, 12)
  })

  it('compares with the formulas, for both kinds of identifier', () => {
    const load = new BusLoad({ bitRate: 250_000 })
    load.add(0, START, 100, 8)
    load.add(0, START + SECOND / 4, 100, 3)
    load.add(0, START + SECOND / 2, 100, 5, false)
    const summary = load.summary(0)
    const nominal = nominalBits(8) + nominalBits(3) + nominalBits(5, 'standard')
    const worst = worstCaseBits(8) + worstCaseBits(3) + worstCaseBits(5, 'standard')
    // Three frames, two intervals.
    expect(summary?.meanNominal).toBeCloseTo(((nominal / 125_000) * 2) / 3, 12)
    expect(summary?.meanWorstCase).toBeCloseTo(((worst / 125_000) * 2) / 3, 12)
  })

  it('takes times that jitter over the border of a second', () => {
    const load = new BusLoad({ bitRate: 250_000 })
    const times = [999_000, 1_000_000, 998_000, 1_001_000, 2_000_000, 1_999_000, 3_500_000]
    for (const time of times) load.add(0, START + time, 250, 8)
    expect([...load.seconds(0).load]).toEqual([0.002, 0.003, 0.001, 0.001])
    expect(load.summary(0)?.complete).toBe(true)
  })

  it('does not add up seconds that come twice because the clock was set back', () => {
    const load = new BusLoad()
    for (let i = 0; i < 10; i++) fill(load, 0, START + i * SECOND, 1000)
    for (let i = 0; i < 10; i++) fill(load, 0, START + i * SECOND, 1500)
    expect(load.summary(0)).toMatchObject({
      bitRate: { value: 250_000, basis: 'assumed' },
      maximum: { load: 0.84 },
      complete: false,
    })
  })

  it('keeps no more seconds than allowed and says so', () => {
    const load = new BusLoad({ bitRate: 250_000, maxSeconds: 3 })
    for (let i = 0; i < 10; i++) load.add(0, START + i * SECOND, 250, 8)
    expect(load.seconds(0).time).toHaveLength(3)
    expect(load.summary(0)).toMatchObject({ frames: 10, bits: 2500, complete: false })
  })

  it('adds up to all bits, whatever the order of the frames within a second', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 999_999 }), fc.integer({ min: 47, max: 160 })), { minLength: 1 }),
        (frames) => {
          const load = new BusLoad({ bitRate: 1000 })
          for (const [time, bits] of frames) load.add(0, START + time, bits, 8)
          const bits = frames.reduce((sum, frame) => sum + frame[1], 0)
          expect(load.seconds(0)).toEqual({ time: Float64Array.of(START), load: Float64Array.of(bits / 1000) })
        },
      ),
    )
  })

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('refuses a bit rate of %d', (bitRate) => {
    const call = () => new BusLoad({ bitRate })
    expect(call).toThrow(BusError)
    expect(call).toThrow(expect.objectContaining({ code: 'bit-rate' }))
  })
})

describe('plausibleBitRate', () => {
  it('assumes 250 kbit/s where nothing speaks against it', () => {
    const load = new BusLoad()
    // As much as 250 kbit/s can carry.
    for (let i = 0; i < 2000; i++) load.add(0, START + i * 500, 125, 8)
    expect(load.summary(0, { value: 250_000, basis: 'given' })?.maximum.load).toBe(1)
    expect(load.plausibleBitRate(0)).toEqual({ value: 250_000, basis: 'assumed' })
  })

  it('infers 500 kbit/s from a second that 250 cannot carry', () => {
    const load = new BusLoad()
    // 2,000 × 140 bits = 280 kbit, but no tenth of a second above 112 %.
    fill(load, 0, START, 2000)
    expect(load.plausibleBitRate(0)).toEqual({ value: 500_000, basis: 'inferred' })
    expect(load.summary(0)?.maximum.load).toBe(0.56)
  })

  it('infers 500 kbit/s from a burst that 250 cannot carry, and not from one that a recorder can make', () => {
    // 25,000 bits fill a tenth of a second at 250 kbit/s.
    const burst = (bits: number) => {
      const load = new BusLoad()
      for (let i = 0; i < bits / 100; i++) load.add(0, START + 200_000 + i * 100, 100, 8)
      return load.plausibleBitRate(0)
    }
    expect(burst(31_000)).toEqual({ value: 500_000, basis: 'inferred' })
    expect(burst(29_000)).toEqual({ value: 250_000, basis: 'assumed' })
  })

  it('takes a given one, even against the evidence', () => {
    const load = new BusLoad({ bitRate: 250_000 })
    fill(load, 0, START, 3000)
    expect(load.plausibleBitRate(0)).toEqual({ value: 250_000, basis: 'given' })
    expect(load.summary(0)?.maximum.load).toBeCloseTo(1.68, 5)
  })
})
