/** Published formulas and worked examples of frame lengths and bus load, each with its source. */
import { describe, expect, it } from 'vitest'
import {
  type FrameKind,
  frameBits,
  headerState,
  nominalBits,
  worstCaseBits,
} from '../../packages/decoder/src/bus/frame-bits.js'
import { BIT_RATES, BusLoad } from '../../packages/decoder/src/bus/load.js'

const MANUAL = "A microcontroller maker's reference manual, extended data frame figure"
const THREAD = 'Question-and-answer thread on stuff bits of CAN 2.0A frames'
const PAPER = 'Paper on CAN schedulability analysis, revised (2007), formula from memory'
const TITLES = 'Titles of J1939-11 and J1939-15'
const FORMULAS = 'computed from the formulas'
const COMPUTED = 'computed: ISO 11898-1 bit order, CRC-15 4599, stuffing from start of frame to CRC; not a publication'
const CAPTURE = 'Open CAN capture of a heavy truck (public dataset), computed'
const MEMORY = 'from memory'

const bytes = (text: string) => Uint8Array.from(text.split(' '), (byte) => Number.parseInt(byte, 16))
const LENGTHS = [0, 1, 2, 3, 4, 5, 6, 7, 8]

describe('formulas', () => {
  it.each<readonly [FrameKind, (n: number) => number, string]>([
    ['extended', (n) => 64 + 8 * n + 3, MANUAL],
    ['standard', (n) => 47 + 8 * n, THREAD],
  ])('%s frames without stuff bits, interframe space included (%3$s)', (kind, formula) => {
    expect(LENGTHS.map((length) => nominalBits(length, kind))).toEqual(LENGTHS.map(formula))
  })

  it.each<readonly [FrameKind, (n: number) => number, string]>([
    ['extended', (n) => 8 * n + 67 + Math.floor((54 + 8 * n - 1) / 4), PAPER],
    ['extended', (n) => 80 + 10 * n, PAPER],
    ['standard', (n) => 47 + 8 * n + Math.floor((34 + 8 * n - 1) / 4), THREAD],
  ])('%s frames with as many stuff bits as there can be (%3$s)', (kind, formula) => {
    expect(LENGTHS.map((length) => worstCaseBits(length, kind))).toEqual(LENGTHS.map(formula))
  })

  it.each([
    [8, 131, 160, FORMULAS],
    [3, 91, 110, FORMULAS],
  ])('an extended frame of %i bytes takes %i to %i bits (%s)', (length, least, most) => {
    expect([nominalBits(length), worstCaseBits(length)]).toEqual([least, most])
  })

  it(`frames per second of 8 bytes that fill a bus of 250 kbit/s (${FORMULAS})`, () => {
    expect(BIT_RATES[0] / worstCaseBits(8)).toBe(1562.5)
    expect(Math.floor(BIT_RATES[0] / nominalBits(8))).toBe(1908)
  })

  it(`bit rates (250 kbit/s: ${TITLES}; 500 kbit/s: ${MEMORY})`, () => {
    expect(BIT_RATES).toEqual([250_000, 500_000])
  })
})

describe(`frames (${COMPUTED})`, () => {
  const EXAMPLES = [
    [0x0cf00400, 'FF 7D 7D E0 15 FF F0 FF', 131, 10, 564, 282],
    [0x18feca80, '00 00 60 F2 E4 01 FF FF', 131, 14, 580, 290],
    [0x18eaff00, 'EB FE 00', 91, 6, 388, 194],
    [0x08fe6e0b, '01 00 3A 64 E0 96 36 C8', 131, 9, 560, 280],
    [0x18fedf00, 'FF FF FF FF FF FF FF FF', 131, 16, 588, 294],
    [0x00000000, '00 00 00 00 00 00 00 00', 131, 19, 600, 300],
  ] as const

  it.each(EXAMPLES)('%i %s takes %i + %i bits: %i µs at 250 kbit/s, %i µs at 500', (...example) => {
    const [id, data, unstuffed, stuffed, slow, fast] = example
    const payload = bytes(data)
    const bits = frameBits(headerState(id, payload.length), payload, 0, payload.length)
    expect(nominalBits(payload.length)).toBe(unstuffed)
    expect(bits).toBe(unstuffed + stuffed)
    expect((bits * 1e6) / BIT_RATES[0]).toBe(slow)
    expect((bits * 1e6) / BIT_RATES[1]).toBe(fast)
  })
})

describe(`loads (${CAPTURE})`, () => {
  // Frames, seconds, mean stuff bits, and load at 250 kbit/s in percent: without stuffing, exact, worst case.
  // The frames themselves are not kept here: as many of 8 bytes with the mean number of stuff bits stand for
  // them. A few of the recorded ones were shorter, hence the tolerance of 0.1 percentage points.
  it.each([
    [34980, 64.759, 12.28, 28.29, 30.95, 34.56],
    [19957, 29.998, 10.98, 34.85, 37.78, 42.57],
  ])('%i frames in %f s with %f stuff bits each: %f, %f, %f %', (frames, seconds, stuffed, none, exact, worst) => {
    const load = new BusLoad({ bitRate: 250_000 })
    for (let i = 0; i < frames; i++) {
      const time = Math.round((i * seconds * 1e6) / (frames - 1))
      load.add(0, time, nominalBits(8) + stuffed, 8)
    }
    const summary = load.summary(0)
    expect(summary?.observed).toBeCloseTo(seconds, 6)
    const percent = [summary?.meanNominal, summary?.mean, summary?.meanWorstCase].map((mean) => (mean ?? 0) * 100)
    for (const [i, published] of [none, exact, worst].entries())
      expect(Math.abs(percent[i] - published)).toBeLessThan(0.1)
  })
})
