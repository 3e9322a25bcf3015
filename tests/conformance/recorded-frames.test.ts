/**
 * Frames of two real trucks, and what they say about each other: quantities sent twice, on two scales
 * or by two nodes, or bound together by physics. A position or a scale that is wrong does not survive it.
 *
 * Source of every payload: open CAN captures of two heavy trucks (public dataset, MIT licence). Truck A
 * was recorded cold with the engine off, and again idling; truck B while driving.
 */
import { findGroup, startBit } from '@firstcrank/decoder/catalog'
import { describe, expect, test } from 'vitest'
import { bytes, readBits } from '../support/bits.js'

function value(pgn: number, spn: number, payload: string): number {
  const signal = findGroup(pgn)?.signals.find((candidate) => candidate.spn === spn)
  if (signal?.kind !== 'numeric') throw new Error(`SPN ${spn} of PGN ${pgn} is not a number`)
  return Number(readBits(bytes(payload), startBit(signal.at), signal.bits)) * signal.resolution + signal.offset
}

function code(pgn: number, spn: number, payload: string): number {
  const signal = findGroup(pgn)?.signals.find((candidate) => candidate.spn === spn)
  if (signal?.kind !== 'state') throw new Error(`SPN ${spn} of PGN ${pgn} is not a code`)
  return Number(readBits(bytes(payload), startBit(signal.at), signal.bits))
}

/** All of them no further apart than that. */
function expectTogether(values: readonly number[], apart: number): void {
  expect(Math.max(...values) - Math.min(...values), values.join(', ')).toBeLessThanOrEqual(apart)
}

describe('truck A, totals', () => {
  const distance = value(65248, 245, '1C DD 4F 00 1C DD 4F 00')
  const hours = value(65253, 247, '2E 05 05 00 BF F3 0D 00')
  const fuel = value(65257, 250, 'E3 00 00 00 19 74 07 00')
  const idleHours = value(65244, 235, 'EC 8A 00 00 4A C5 01 00')
  const idleFuel = value(65244, 236, 'EC 8A 00 00 4A C5 01 00')

  test('low and high resolution distance agree to one step', () => {
    expectTogether([distance, value(65217, 917, 'B9 97 CC 07 B9 97 CC 07') / 1000], 0.125)
  })

  test('distance, hours, revolutions and fuel fit a long-haul truck', () => {
    const revolutions = value(65253, 249, '2E 05 05 00 BF F3 0D 00')
    const meanSpeed = revolutions / (hours * 60)
    expect(meanSpeed).toBeGreaterThan(600)
    expect(meanSpeed).toBeLessThan(1600)
    expect(distance / hours).toBeGreaterThan(20)
    expect(distance / hours).toBeLessThan(90)
    expect((fuel / distance) * 100).toBeGreaterThan(25)
    expect((fuel / distance) * 100).toBeLessThan(60)
  })

  test('idle totals are a part of the totals, and their quotient is the fuel rate at idle', () => {
    expect(idleHours).toBeLessThan(hours)
    expect(idleFuel).toBeLessThan(fuel)
    expect(code(61444, 1675, '50 7D 8D D1 12 00 F4 8E')).toBe(4) // starter inhibited: engine running
    expect(value(61444, 190, '50 7D 8D D1 12 00 F4 8E')).toBeCloseTo(602.125, 6)
    expectTogether([idleFuel / idleHours, value(65266, 183, '4C 00 00 00 95 03 FF FF')], 0.8)
  })
})

describe('truck A, cold', () => {
  test('every temperature is within 6 K of the others', () => {
    expectTogether(
      [
        value(65262, 110, '40 40 20 25 FF FF 44 FF'),
        value(65262, 174, '40 40 20 25 FF FF 44 FF'),
        value(65262, 175, '40 40 20 25 FF FF 44 FF'),
        value(65262, 52, '40 40 20 25 FF FF 44 FF'),
        value(65269, 171, 'C9 FF FF 0E 25 44 FF FF'),
        value(65269, 172, 'C9 FF FF 0E 25 44 FF FF'),
        value(65270, 105, 'FF 00 44 31 FF 80 25 FF'),
        value(65270, 173, 'FF 00 44 31 FF 80 25 FF'),
        value(64948, 3242, '83 25 83 25 FF FF FF FF'),
        value(64947, 3246, 'FF FF 83 25 FF FF FF FF'),
        value(64946, 3250, 'FF FF 83 25 00 00 FF FF'),
        value(64830, 4360, '70 25 FF 7C 25 FF FF FF'),
        value(64830, 4363, '70 25 FF 7C 25 FF FF FF'),
        value(65110, 3031, 'AC 40 FF FF 1F 1F 00 FF'),
      ],
      6,
    )
  })

  test('two measured ambient temperatures and a calculated one agree', () => {
    expectTogether([value(64992, 4491, 'FF FF FF FF 10 25 FF FF'), value(65269, 171, 'C9 FF FF 0E 25 44 FF FF')], 3)
  })

  test('a parked truck drives no bend', () => {
    expect(value(65135, 1591, 'FF FF 00 C0 00 7D 00 FF')).toBe(0)
  })

  test('the headway controller allows no cruise control; three codes and nothing else', () => {
    const payload = 'C1 FF FF FF FF FF FF FF'
    expect([5603, 5604, 5605].map((spn) => code(2560, spn, payload))).toEqual([1, 0, 0])
  })

  test('barometer, air inlet and absolute manifold pressure agree when nothing turns', () => {
    expectTogether(
      [
        value(65269, 108, 'C9 FF FF 0E 25 44 FF FF'),
        value(65270, 106, 'FF 00 44 31 FF 80 25 FF'),
        value(64976, 3563, 'FF FF FF 00 31 FF FF FF'),
      ],
      3,
    )
    expect(value(65270, 102, 'FF 00 44 31 FF 80 25 FF')).toBe(0)
  })

  test('four nodes measure the same battery', () => {
    expectTogether(
      [
        value(65271, 168, 'FF FF FF FF F4 00 F4 00'),
        value(65271, 158, 'FF FF FF FF F4 00 F4 00'),
        value(65271, 168, 'FF FF FF FF F6 00 FF FF'),
        value(65271, 168, 'FF FF FF FF F3 00 FF FF'),
        value(65271, 158, 'FF FF FF FF FF FF F4 00'),
      ],
      0.2,
    )
  })
})

describe('truck A, idling', () => {
  test('the exhaust cools down along its way', () => {
    const before = value(64948, 3242, 'DF 28 DF 28 FF FF FF FF')
    const inside = value(64946, 3250, 'FF FF 27 28 00 00 FF FF')
    const after = value(64947, 3246, 'FF FF B6 26 FF FF FF FF')
    expect(before).toBeGreaterThan(inside)
    expect(inside).toBeGreaterThan(after)
    expectTogether([before, value(65270, 173, 'FF 00 47 31 FF DC 28 FF')], 1)
  })

  test('all vitals are those of a warm diesel at idle', () => {
    expect(value(65263, 100, '9A FF FF 66 FF FF FF FA')).toBe(408)
    expect(value(65263, 94, '9A FF FF 66 FF FF FF FA')).toBe(616)
    expect(value(65243, 157, 'E6 23 E6 23 E6 23 FF FF')).toBeCloseTo(35.898, 3)
    expect(value(65271, 168, 'FF FF FF FF 15 01 15 01')).toBeCloseTo(13.85, 6)
    expect(value(61443, 92, 'DD 00 17 FF FF FF 91 FF')).toBe(23)
    expect(value(61450, 132, '00 00 40 14 FF FF FF FF')).toBeCloseTo(259.2, 6)
  })

  test('engine configuration: reference torque and idle speed', () => {
    const configuration =
      '00 13 BD 80 1F DF 20 16 C1 40 19 C6 80 1F DF 99 21 FF FF FC 08 80 4D 32 FF FF FF FF FF FF 04 01 FF FF FF FF FF FF FF'
    expect(value(65251, 188, configuration)).toBe(608)
    expect(value(65251, 544, configuration)).toBe(2300)
    expect(value(65251, 1794, configuration)).toBeCloseTo(1.04, 6)
    expect(value(65247, 515, '8C 00 13 FF 7D DC 02 FF')).toBe(608)
  })

  test('retarder configuration: the last point is full torque', () => {
    const configuration = '03 03 60 22 4A 80 4D 27 28 2D 2B B8 42 1D 60 3B 5D 04 19'
    expect(code(65249, 901, configuration)).toBe(3)
    expect(value(65249, 548, configuration)).toBe(2480)
    expect(value(65249, 556, configuration)).toBe(1117)
    expect(value(65249, 555, configuration)).toBe(-100)
  })
})

describe('external brake request', () => {
  // Three frames in a row, identifier 0C040B2Ah.
  const frames = ['FF FF CC FF FF FF FF F4', 'FF FF CC FF FF FF FF 15', 'FF FF CC FF FF FF FF 26']

  test('the counter counts', () => {
    expect(frames.map((payload) => code(1024, 3189, payload))).toEqual([4, 5, 6])
  })

  test('the checksum covers the bytes, the counter and the identifier (rule from memory of SAE J1939-71)', () => {
    for (const payload of frames) {
      const data = [...bytes(payload)].slice(0, 7)
      const sum = [...data, code(1024, 3189, payload), 0x0c, 0x04, 0x0b, 0x2a].reduce((a, b) => a + b, 0)
      expect(code(1024, 3188, payload)).toBe(((sum >> 4) + sum) & 15)
    }
  })
})

describe('truck B, driving', () => {
  // Fuel rate and economy in one message, wheel speed in the one before it.
  test.each([
    ['AC 00 F2 12 40 08 FA FF', 'FF C8 51 FC FF 00 1F CF'],
    ['FB 00 8C 07 40 08 E9 FF', 'FF 7C 2F FC FF 00 1F CF'],
    ['F7 00 A9 06 40 08 89 FF', 'FF 28 29 FC FF 00 1F CF'],
  ])('wheel speed is fuel rate times economy, %s', (fuel, speed) => {
    const expected = value(65266, 183, fuel) * value(65266, 184, fuel)
    expect(value(65265, 84, speed) / expected).toBeCloseTo(1, 1.7)
  })

  test('a NOx sensor warms up: preheat 1, preheat 2, automatic; then at temperature, then stable', () => {
    // Five kinds of bytes 5 to 8 in the order in which the sensor sent them.
    const payloads = [
      '8C 0F FF FF 01 DF',
      '1E 0F FF FF 01 BF',
      '1E 0F FF FF 05 9F',
      'E8 ED FF FF 45 9F',
      '26 1E FF FF 55 9F',
    ]
    const frames = payloads.map((payload) => `${payload} FF FF`)
    expect(frames.map((payload) => code(61454, 3223, payload))).toEqual([2, 1, 0, 0, 0])
    expect(frames.map((payload) => code(61454, 3219, payload))).toEqual([0, 0, 1, 1, 1])
    expect(frames.map((payload) => code(61454, 3221, payload))).toEqual([0, 0, 0, 1, 1])
    expect(frames.map((payload) => code(61454, 3220, payload))).toEqual([0, 0, 0, 0, 1])
    expect(value(61454, 3216, `${payloads[4]} FF FF`)).toBeCloseTo(185.9, 6)
  })
})
