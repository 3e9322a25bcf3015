/** Random payloads, read by the decoder and by the reference decoder: every group of the catalogue, and definitions at random. */
import {
  decodeGroup,
  type GroupDefinition,
  type NumericDefinition,
  type RangeRule,
  type SignalDefinition,
} from '@firstcrank/decoder'
import { GROUPS, signalsOf } from '@firstcrank/decoder/catalog'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { hexOf } from '../support/log.js'
import { readReferenceGroup } from '../support/reference-signals.js'

/** Bytes of which many are special: the tops of ranges, delimiters, padding. */
const byte = fc.oneof(
  { arbitrary: fc.integer({ min: 0, max: 255 }), weight: 5 },
  { arbitrary: fc.constantFrom(0xff, 0xfe, 0xfd, 0xfc, 0xfb, 0xfa, 0x00, 0x2a, 0x20, 0x7f, 0x80), weight: 3 },
)

/** Bytes at random, or one byte throughout but for a few others. */
function payload(minLength: number, maxLength: number): fc.Arbitrary<Uint8Array> {
  const random = fc.array(byte, { minLength, maxLength })
  const even = fc
    .tuple(fc.integer({ min: minLength, max: maxLength }), byte, fc.array(fc.tuple(fc.nat(), byte), { maxLength: 2 }))
    .map(([length, filler, others]) => {
      const bytes = Array.from({ length }, () => filler)
      for (const [at, other] of others) if (length > 0) bytes[at % length] = other
      return bytes
    })
  return fc.oneof(random, random, even).map((bytes) => Uint8Array.from(bytes))
}

/** Fails where two things differ; `expect` itself is too slow to be called a million times. */
function same<T>(actual: T, wanted: T, what: () => string): void {
  if (!Object.is(actual, wanted)) expect(actual, what()).toBe(wanted)
}

/** Everything both decoders say of a payload. Values of more than 32 bits may be rounded twice. */
function expectSame(group: GroupDefinition, bytes: Uint8Array): number {
  const hex = hexOf(bytes)
  const values = decodeGroup(group, bytes)
  const expected = readReferenceGroup(group, hex)
  same(values.length, expected.length, () => `${group.acronym} in ${hex}`)
  values.forEach((value, index) => {
    const wanted = expected[index]
    const { definition } = value
    const what = () => `${JSON.stringify(definition)} in ${hex}`
    same(value.spn, wanted.spn, what)
    same(value.instance, wanted.instance, what)
    same(value.status as string, wanted.status, what)
    same(value.label, wanted.label, what)
    same(value.text, wanted.text, what)
    if (!('bits' in definition)) {
      same(value.value, null, what)
      same(hex.includes(value.raw as string), true, what)
      return
    }
    same(definition.bits > 53 ? BigInt(`0x${value.raw}`) : BigInt(value.raw as number), wanted.raw, what)
    if (definition.bits <= 32 || wanted.value === null) same(value.value, wanted.value, what)
    else same(Math.abs((value.value as number) - wanted.value) <= Math.abs(wanted.value) * 1e-12, true, what)
  })
  return values.length
}

describe('the catalogue', () => {
  it.each(GROUPS.map((group) => [`${group.pgn} ${group.acronym}`, group] as const))('%s', (_, group) => {
    const usual = group.length === 'variable' ? 30 : group.length
    const bytes = fc.oneof(payload(usual, usual), payload(usual, usual), payload(0, usual + 9))
    let values = 0
    fc.assert(
      fc.property(bytes, (taken) => {
        values += expectSame(group, taken)
      }),
      { numRuns: 60 },
    )
    expect(values > 0).toBe(signalsOf(group).length > 0)
  })
})

describe('any definition', () => {
  const common = { spn: 1, name: 'N', sources: ['memory'], confirmed: 0 } as const
  const group = (signals: readonly SignalDefinition[]): GroupDefinition => ({
    ...{ pgn: 65280, acronym: 'TEST', name: 'Test', length: 'variable', signals, sources: ['memory'] },
  })
  const place = (mostBits: number) =>
    fc
      .tuple(fc.integer({ min: 1, max: mostBits }), fc.nat(100))
      .map(([bits, start]) => ({ bits, at: `${(start >> 3) + 1}.${(start & 7) + 1}` }))
  const rule = (bits: number) => fc.constantFrom<RangeRule>('standard', 'full', Math.floor(2 ** (bits - 1)))
  // Scales as tables print them: up to six decimals, or a power of two.
  const resolution = fc.oneof(
    fc.integer({ min: 1, max: 999_999 }).map((steps) => steps / 1e6),
    fc.integer({ min: -14, max: 6 }).map((power) => 2 ** power),
    fc.constantFrom(1, 0.05, 0.4, 10, 1e-7),
  )
  const offset = fc.oneof(
    fc.constantFrom(0, 0, -40, -125, -250, -273, -7.8125, 1985),
    fc.integer({ min: -9999, max: 9999 }),
  )
  const numeric = place(64).chain(({ bits, at }) =>
    fc
      .record({ range: rule(bits), resolution, offset: bits > 32 ? fc.constant(0) : offset })
      .map((scale): NumericDefinition => ({ ...common, kind: 'numeric', unit: '%', bits, at, ...scale })),
  )
  const state = place(32).chain(({ bits, at }) =>
    rule(bits).map((range): SignalDefinition => ({ ...common, kind: 'state', bits, at, range, states: { 1: 'one' } })),
  )
  const flags = place(53).map(
    ({ bits, at }): SignalDefinition => ({
      ...common,
      ...{ kind: 'bit-field', bits, at, flags: Array.from({ length: bits }, (_, bit) => `flag ${bit}`) },
    }),
  )
  const text = fc
    .record({
      at: fc.integer({ min: 1, max: 12 }).map(String),
      bytes: fc.oneof(fc.constant('delimited' as const), fc.integer({ min: 1, max: 9 })),
      field: fc.nat(3),
    })
    .map((place): SignalDefinition => ({ ...common, kind: 'text', ...place }))

  it.each([
    ['numeric', numeric, 4000],
    ['state', state, 1000],
    ['flags', flags, 1000],
    ['text', text, 1000],
  ] as const)('%s', (_, definition, numRuns) => {
    fc.assert(
      fc.property(definition as fc.Arbitrary<SignalDefinition>, payload(15, 24), (signal, bytes) => {
        expectSame(group([signal]), bytes)
      }),
      { numRuns },
    )
  })

  it('in repeated blocks', () => {
    const repeat = fc.record({ at: fc.integer({ min: 1, max: 9 }), bytes: fc.integer({ min: 15, max: 22 }) })
    fc.assert(
      fc.property(repeat, numeric, state, payload(0, 90), (block, one, other, bytes) => {
        expectSame({ ...group([one]), repeat: { ...block, signals: [one, other] } }, bytes)
      }),
      { numRuns: 500 },
    )
  })
})
