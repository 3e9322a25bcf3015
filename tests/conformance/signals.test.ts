/**
 * The catalogue against published figures: worked examples, and the ranges a publication prints.
 * Raw values are taken from the bytes by `support/bits.ts`, not by the decoder.
 */
import { findGroup, type NumericDefinition, type SignalDefinition, startBit } from '@firstcrank/decoder/catalog'
import { describe, expect, test } from 'vitest'
import { bytes, readBits, writeBits } from '../support/bits.js'

function find(pgn: number, spn: number): SignalDefinition | undefined {
  return findGroup(pgn)?.signals.find((candidate) => candidate.spn === spn)
}

function numeric(pgn: number, spn: number): NumericDefinition {
  const signal = find(pgn, spn)
  if (signal?.kind !== 'numeric') throw new Error(`SPN ${spn} of PGN ${pgn} is not a number`)
  return signal
}

/** First bit, from 0, and number of bits. */
function bitsOf(pgn: number, spn: number): [first: number, width: number] {
  const signal = find(pgn, spn)
  if (signal?.kind !== 'numeric' && signal?.kind !== 'state') throw new Error(`SPN ${spn} of PGN ${pgn} has no width`)
  return [startBit(signal.at), signal.bits]
}

function physical(signal: NumericDefinition, payload: Uint8Array): number {
  const raw = readBits(payload, startBit(signal.at), signal.bits)
  return Number(raw) * signal.resolution + signal.offset
}

/** PGN, SPN, payload, value, unit. The other bytes are chosen to spoil a reading at a wrong place. */
const EXAMPLES: readonly (readonly [number, number, string, number, string])[] = [
  // Generator set controller manual, J1939 option: raw 15E0h of engine speed is 700 rpm.
  [61444, 190, '11 22 33 E0 15 66 77 88', 700, 'rpm'],
  // University laboratory exercise 5-1: one broadcast of four wheel speeds.
  [65134, 1592, '01 00 3A 64 E0 96 36 C8', 0.00390625, 'km/h'],
  [65134, 1593, '01 00 3A 64 E0 96 36 C8', 100.2265625, 'km/h'],
  [65134, 1594, '01 00 3A 64 E0 96 36 C8', 150.875, 'km/h'],
  [65134, 1595, '01 00 3A 64 E0 96 36 C8', 200.2109375, 'km/h'],
]

/** PGN, SPN, lowest and highest value, unit: University course sample parameter table. */
const RANGES: readonly (readonly [number, number, number, number, string])[] = [
  [61444, 190, 0, 8_031.875, 'rpm'],
  [61443, 91, 0, 100, '%'],
  [61443, 92, 0, 250, '%'],
  [61443, 974, 0, 100, '%'],
  [65263, 94, 0, 1_000, 'kPa'],
  [65263, 22, 0, 12.5, 'kPa'],
  [65263, 98, 0, 100, '%'],
  [65270, 81, 0, 125, 'kPa'],
  [65269, 79, -273, 1_734.96875, '°C'],
  [65217, 917, 0, 21_055_406_075, 'm'],
  [65217, 918, 0, 21_055_406_075, 'm'],
  [65265, 84, 0, 250.996094, 'km/h'],
  [65265, 86, 0, 250, 'km/h'],
  [65261, 87, 0, 250, 'km/h'],
  [65261, 88, 0, 250, 'km/h'],
  [65254, 959, 0, 62.5, 's'],
  [65254, 960, 0, 250, 'min'],
  [65254, 961, 0, 250, 'h'],
  [65254, 963, 0, 250, 'month'],
  [65254, 962, 0, 62.5, 'day'],
  [65254, 964, 1_985, 2_235, 'year'],
  [65276, 80, 0, 100, '%'],
  [65276, 96, 0, 100, '%'],
  [65276, 95, 0, 500, 'kPa'],
  [65276, 99, 0, 125, 'kPa'],
  [61441, 973, 0, 100, '%'],
  [65215, 904, 0, 250.996094, 'km/h'],
  [65215, 905, -7.8125, 7.8125, 'km/h'],
  [65215, 906, -7.8125, 7.8125, 'km/h'],
  [65215, 907, -7.8125, 7.8125, 'km/h'],
  [65215, 908, -7.8125, 7.8125, 'km/h'],
  [65215, 909, -7.8125, 7.8125, 'km/h'],
  [65215, 910, -7.8125, 7.8125, 'km/h'],
  [0, 898, 0, 8_031.875, 'rpm'],
  [65264, 90, -40, 210, '°C'],
  [65213, 975, 0, 100, '%'],
  [57344, 986, 0, 100, '%'],
  [65172, 20, 0, 1_000, 'kPa'],
  [65242, 965, 0, 250, 'count'],
  [65246, 82, 0, 1_000, 'kPa'],
  [65250, 957, 0, 250, 'count'],
  [65250, 958, 0, 250, 'count'],
  [65216, 914, -160_635, 160_640, 'km'],
  [65216, 915, -125, 125, 'week'],
  [65216, 916, -32_127, 32_128, 'h'],
  [65212, 990, 0, 526_385_151.875, 'km'],
  [65212, 991, 0, 526_385_151.875, 'km'],
  [65212, 992, 0, 526_385_151.875, 'km'],
  [65212, 993, 0, 4_211_081_215, 'count'],
  [65211, 994, 0, 210_554_060.75, 'h'],
  [65211, 995, 0, 210_554_060.75, 'h'],
  [65211, 996, 0, 210_554_060.75, 'h'],
  [65211, 997, 0, 210_554_060.75, 'h'],
  [65210, 998, 0, 526_385_151.875, 'km'],
  [65210, 999, 0, 526_385_151.875, 'km'],
]

/** PGN, SPN, lowest and highest value, unit: a truck maker's bodywork CAN interface manual. */
const TRUCK_RANGES: readonly (readonly [number, number, number, number, string])[] = [
  [61445, 524, -125, 125, 'gear'],
  [61445, 526, 0, 64.255, 'ratio'],
  [61445, 523, -125, 125, 'gear'],
  [65132, 1624, 0, 250.99609375, 'km/h'],
]

/** PGN, SPN, first bit from 0, number of bits: a truck maker's programming manual, J1939 start-bit table. */
const START_BITS: readonly (readonly [number, number, number, number])[] = [
  [0, 696, 2, 2],
  [0, 897, 4, 2],
  [0, 898, 8, 16],
  [0, 518, 24, 8],
  [0, 3349, 32, 3],
  [0, 3350, 35, 5],
  [0, 4191, 40, 4],
  [0, 4206, 56, 4],
  [0, 4207, 60, 4],
]

/** PGN, SPN, byte, its lowest bit from 1: an engine maker's electrical manual for truck engines. */
const SWITCHES: readonly (readonly [number, number, number, number])[] = [
  [65265, 596, 4, 3],
  [65265, 599, 5, 1],
  [65265, 601, 5, 5],
]

/** SPN and code in PGN 57344: two examples in an engine speed governor's manual, low speed and stop, high speed and start. */
const GOVERNOR: readonly (readonly [string, readonly (readonly [number, number])[]])[] = [
  [
    'FF FF FF FF 47 3F FF FF',
    [
      [1653, 1],
      [1654, 0],
      [1655, 1],
      [1656, 0],
    ],
  ],
  [
    'FF FF FF FF 53 7F FF FF',
    [
      [1653, 1],
      [1654, 1],
      [1655, 0],
      [1656, 1],
    ],
  ],
]

describe('published positions', () => {
  test.each(START_BITS)('PGN %i SPN %i starts at bit %i and has %i bits', (pgn, spn, first, width) => {
    expect(bitsOf(pgn, spn)).toEqual([first, width])
  })

  test.each(SWITCHES)('PGN %i SPN %i is byte %i, 2 bits from bit %i', (pgn, spn, byte, bit) => {
    expect(bitsOf(pgn, spn)).toEqual([(byte - 1) * 8 + bit - 1, 2])
  })

  test.each(GOVERNOR)('governor switches in %s', (payload, codes) => {
    const read = codes.map(([spn]) => [spn, Number(readBits(bytes(payload), ...bitsOf(57344, spn)))])
    expect(read).toEqual(codes)
  })
})

describe('published examples', () => {
  test.each(EXAMPLES)('PGN %i SPN %i in %s is %d %s', (pgn, spn, payload, value, unit) => {
    const signal = numeric(pgn, spn)
    expect(physical(signal, bytes(payload))).toBe(value)
    expect(signal.unit).toBe(unit)
  })
})

describe('published ranges', () => {
  test.each([...RANGES, ...TRUCK_RANGES])('PGN %i SPN %i is %d to %d %s', (pgn, spn, lowest, highest, unit) => {
    const signal = numeric(pgn, spn)
    // The top byte goes up to FAh; FBh and above are not values (same table, and two makers' manuals).
    const top = (251n << BigInt(signal.bits - 8)) - 1n
    const length = findGroup(pgn)?.length
    const empty = new Uint8Array(typeof length === 'number' ? length : 32).fill(0xa5)
    const at = (raw: bigint) => physical(signal, writeBits(empty, startBit(signal.at), signal.bits, raw))
    expect(at(0n)).toBeCloseTo(lowest, 6)
    expect(at(top)).toBeCloseTo(highest, 6)
    expect(signal.unit).toBe(unit)
  })
})
