import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { GroupDefinition, NumericDefinition, SignalDefinition, StateDefinition } from '../catalog/definition.js'
import { EncodeError, encodeGroup, signalWriter } from './encode.js'

const numeric = (
  spn: number,
  at: string,
  bits: number,
  resolution: number,
  offset: number,
  more: Partial<NumericDefinition> = {},
): SignalDefinition => ({
  kind: 'numeric',
  spn,
  name: `signal ${spn}`,
  at,
  bits,
  resolution,
  offset,
  unit: '%',
  sources: ['memory'],
  confirmed: 0,
  ...more,
})
const state = (spn: number, at: string, bits: number, more: Partial<StateDefinition> = {}): SignalDefinition => ({
  kind: 'state',
  spn,
  name: `state ${spn}`,
  at,
  bits,
  states: {},
  sources: ['memory'],
  confirmed: 0,
  ...more,
})
const group = (signals: SignalDefinition[], length: number | 'variable' = 8): GroupDefinition => ({
  pgn: 65280,
  acronym: 'TEST',
  name: 'Test group',
  length,
  signals,
  sources: ['memory'],
})
const hex = (payload: Uint8Array): string =>
  Array.from(payload, (byte) => byte.toString(16).padStart(2, '0').toUpperCase()).join(' ')

describe('published payloads', () => {
  it('engine speed 700 rpm is E0 15 in bytes 4 and 5 (genset controller manual, J1939 option)', () => {
    const eec1 = group([numeric(190, '4', 16, 0.125, 0)])
    expect(hex(encodeGroup(eec1, { 190: 700 }))).toBe('FF FF FF E0 15 FF FF FF')
  })

  it('the four wheel speeds of a published frame (university lab 5-1: 0.0039, 100.23, 150.875, 200.21 km/h)', () => {
    const speeds = [1592, 1593, 1594, 1595].map((spn, i) => numeric(spn, String(2 * i + 1), 16, 1 / 256, 0))
    const values = { 1592: 0.00390625, 1593: 100.2265625, 1594: 150.875, 1595: 200.2109375 }
    expect(hex(encodeGroup(group(speeds), values))).toBe('01 00 3A 64 E0 96 36 C8')
  })

  it('engine configuration from a real engine (published session, 39 bytes)', () => {
    // "188 650 rpm; 539 35 %; 528 1900 rpm; 540 38 %; 529 1000 rpm; 544 2580 Nm; 534 0.3 s; 535 650 rpm; 537 0 %"
    const ec1 = group(
      [
        numeric(188, '1', 16, 0.125, 0),
        numeric(539, '3', 8, 1, -125),
        numeric(528, '4', 16, 0.125, 0),
        numeric(540, '6', 8, 1, -125),
        numeric(529, '7', 16, 0.125, 0),
        numeric(544, '20', 16, 1, 0),
        numeric(534, '24', 8, 0.1, 0),
        numeric(535, '25', 8, 10, 0),
        numeric(537, '27', 8, 1, -125),
      ],
      39,
    )
    const values = { 188: 650, 539: 35, 528: 1900, 540: 38, 529: 1000, 544: 2580, 534: 0.3, 535: 650, 537: 0 }
    const wanted =
      '50 14 A0 60 3B A3 40 1F FF FF FF FF FF FF FF FF FF FF FF 14 0A FF FF 03 41 FF 7D FF FF FF FF FF FF FF FF FF FF FF FF'
    expect(hex(encodeGroup(ec1, values))).toBe(wanted)
  })
})

describe('positions', () => {
  it.each([
    ['a nibble in the high half', numeric(1, '1.5', 4, 0.125, 0, { range: 7 }), 0.375, '3F FF FF FF FF FF FF FF'],
    ['two bits in the middle', state(1, '4.3', 2), 1, 'FF FF FF F7 FF FF FF FF'],
    ['19 bits across three bytes', state(1, '3', 19), 0x2a55a, 'FF FF 5A A5 FA FF FF FF'],
    ['13 bits from bit 3', state(1, '2.3', 13, { range: 'full' }), 0x1234, 'FF D3 C8 FF FF FF FF FF'],
    ['32 bits', numeric(1, '5', 32, 1, 0), 0x12345678, 'FF FF FF FF 78 56 34 12'],
    ['48 bits', numeric(1, '2', 48, 1, 0), 0x123456789abc, 'FF BC 9A 78 56 34 12 FF'],
  ])('%s', (_, signal, value, wanted) => {
    expect(hex(encodeGroup(group([signal]), { 1: value }))).toBe(wanted)
  })

  it('makes a variable group as long as its last given signal', () => {
    const signals = [numeric(1, '1', 8, 1, 0), numeric(2, '4', 16, 1, 0)]
    expect(hex(encodeGroup(group(signals, 'variable'), { 1: 7 }))).toBe('07')
    expect(hex(encodeGroup(group(signals, 'variable'), { 2: 258 }))).toBe('FF FF FF 02 01')
  })
})

describe('what is no value', () => {
  // Ranges: SAE J1939-71 as in signal/status.ts.
  it.each([
    [2, 'error', 0b10],
    [2, 'not-available', 0b11],
    [4, 'error', 14],
    [4, 'not-available', 15],
    [8, 'error', 0xfe],
    [8, 'not-available', 0xff],
    [16, 'error', 0xfeff],
    [16, 'not-available', 0xffff],
    [32, 'error', 0xfeffffff],
    [32, 'not-available', 0xffffffff],
  ] as const)('%i bits, %s', (bits, value, wanted) => {
    const payload = encodeGroup(group([numeric(1, '1', bits, 1, 0)]), { 1: value })
    const raw = payload.slice(0, 4).reduce((sum, byte, i) => sum + byte * 256 ** i, 0) % 2 ** bits
    expect(raw).toBe(wanted)
  })

  it.each([
    ['8 bits, too high', numeric(1, '1', 8, 1, -40), 4000, 'FA'],
    ['8 bits, too low', numeric(1, '1', 8, 1, -40), -41, '00'],
    ['2 bits', state(1, '1', 2), 9, 'FD'],
    ['own highest value', numeric(1, '1', 4, 1, 0, { range: 7 }), 12, 'F7'],
    ['16 bits, infinite', numeric(1, '1', 16, 0.125, 0), Number.POSITIVE_INFINITY, 'FF FA'],
  ])('holds a number inside the valid range: %s', (_, signal, value, wanted) => {
    expect(hex(encodeGroup(group([signal]), { 1: value })).startsWith(wanted)).toBe(true)
  })
})

describe('wrong calls', () => {
  const text: SignalDefinition = {
    kind: 'text',
    spn: 237,
    name: 'VIN',
    at: '1',
    bytes: 17,
    sources: ['memory'],
    confirmed: 0,
  }
  it.each([
    ['unknown-signal', () => encodeGroup(group([]), { 190: 1 })],
    ['not-a-number', () => signalWriter(group([text]), 237)],
    ['not-a-number', () => encodeGroup(group([numeric(1, '1', 8, 1, 0)]), { 1: Number.NaN })],
    ['no-such-status', () => encodeGroup(group([state(1, '1', 4, { range: 'full' })]), { 1: 'error' })],
  ])('%s', (code, call) => {
    expect(call).toThrow(EncodeError)
    expect(call).toThrow(expect.objectContaining({ code }))
  })
})

it('leaves every other bit as it was, at any position and width', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 32 }),
      fc.nat(63),
      fc.nat(),
      fc.bigInt(0n, 2n ** 64n - 1n),
      (bits, start, seed, before) => {
        const first = Math.min(start, 64 - bits)
        const at = `${(first >> 3) + 1}.${(first & 7) + 1}`
        const value = seed % 2 ** bits
        const payload = Uint8Array.from({ length: 8 }, (_, i) => Number((before >> BigInt(8 * i)) & 0xffn))
        signalWriter(group([state(1, at, bits, { range: 'full' })]), 1)(payload, value)
        const after = payload.reduceRight((sum, byte) => (sum << 8n) | BigInt(byte), 0n)
        const mask = ((1n << BigInt(bits)) - 1n) << BigInt(first)
        expect(after).toBe((before & ~mask) | (BigInt(value) << BigInt(first)))
      },
    ),
  )
})
