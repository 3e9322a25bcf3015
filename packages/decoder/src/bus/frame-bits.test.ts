import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BusError } from './error.js'
import { type FrameKind, frameBits, headerState, nominalBits, worstCaseBits } from './frame-bits.js'

const KINDS: readonly FrameKind[] = ['extended', 'standard', 'extended-remote', 'standard-remote']

const binary = (value: number, width: number) => value.toString(2).padStart(width, '0')

/**
 * The same count, the slow way: the frame written out as a string of bits, its CRC by polynomial division
 * of that string, its stuff bits put in one by one. Shares no table and no formula with the code it checks.
 * `last`: whether the last bit of the CRC brought a stuff bit.
 */
function slowFrame(
  id: number,
  data: readonly number[],
  kind: FrameKind,
  asked: number,
): { bits: number; last: boolean } {
  const remote = kind.endsWith('remote') ? '1' : '0'
  const lengthCode = binary(remote === '1' ? asked : data.length, 4)
  const content = remote === '1' ? '' : data.map((byte) => binary(byte, 8)).join('')
  const header = kind.startsWith('extended')
    ? `0${binary(id, 29).slice(0, 11)}11${binary(id, 29).slice(11)}${remote}00${lengthCode}`
    : `0${binary(id, 11)}${remote}00${lengthCode}`

  const divisor = '1100010110011001'
  const dividend = [...`${header}${content}${'0'.repeat(15)}`]
  for (let i = 0; i + 15 < dividend.length; i++) {
    if (dividend[i] === '0') continue
    for (let j = 0; j < 16; j++) dividend[i + j] = dividend[i + j] === divisor[j] ? '0' : '1'
  }
  const crc = dividend.slice(-15).join('')

  let wire = ''
  let last = false
  for (const bit of header + content + crc) {
    wire += bit
    last = wire.endsWith('00000') || wire.endsWith('11111')
    if (last) wire += bit === '0' ? '1' : '0'
  }
  const delimiter = '1'
  const acknowledge = '01'
  const endOfFrame = '1111111'
  const interframe = '111'
  return { bits: (wire + delimiter + acknowledge + endOfFrame + interframe).length, last }
}

const slowBits = (...frame: Parameters<typeof slowFrame>) => slowFrame(...frame).bits

/** Bytes with long runs of equal bits, which stuffing is about, more often than chance would have it. */
const byte = fc.oneof(fc.integer({ min: 0, max: 255 }), fc.constantFrom(0x00, 0xff, 0x0f, 0xf0, 0xe0, 0x07, 0x1f, 0xf8))
const data = fc.array(byte, { maxLength: 8 })
const identifier = fc.oneof(
  fc.integer({ min: 0, max: 0x1fffffff }),
  fc.constantFrom(0, 0x1fffffff, 0x0cf00400, 0x18feca00, 0x10000000),
)

const idFor = (id: number, kind: FrameKind) => (kind.startsWith('extended') ? id : id & 0x7ff)

describe('frameBits', () => {
  it('agrees with the frame written out bit by bit', () => {
    fc.assert(
      fc.property(
        identifier,
        data,
        fc.constantFrom(...KINDS),
        fc.integer({ min: 0, max: 8 }),
        (any, bytes, kind, dlc) => {
          const id = idFor(any, kind)
          const remote = kind.endsWith('remote')
          const state = headerState(id, remote ? dlc : bytes.length, kind)
          expect(frameBits(state, Uint8Array.from(bytes), 0, remote ? 0 : bytes.length)).toBe(
            slowBits(id, bytes, kind, dlc),
          )
        },
      ),
      { numRuns: 3000 },
    )
  })

  it('reads the data at its offset', () => {
    fc.assert(
      fc.property(identifier, data, data, (id, before, bytes) => {
        const all = Uint8Array.from([...before, ...bytes, 0x55])
        expect(frameBits(headerState(id, bytes.length), all, before.length, bytes.length)).toBe(
          slowBits(id, bytes, 'extended', 0),
        )
      }),
    )
  })

  it('lies between the nominal and the worst case', () => {
    fc.assert(
      fc.property(identifier, data, fc.constantFrom<FrameKind>('extended', 'standard'), (id, bytes, kind) => {
        const bits = frameBits(headerState(id, bytes.length, kind), Uint8Array.from(bytes), 0, bytes.length)
        expect(bits).toBeGreaterThanOrEqual(nominalBits(bytes.length, kind))
        expect(bits).toBeLessThanOrEqual(worstCaseBits(bytes.length, kind))
      }),
    )
  })

  it('counts a stuff bit that the last bit of the CRC brings', () => {
    const frames = Array.from({ length: 256 }, (_, id) => ({ id, ...slowFrame(id, [], 'extended', 0) }))
    const rare = frames.filter(({ last }) => last)
    expect(rare.length).toBeGreaterThan(0)
    for (const { id, bits } of rare) expect(frameBits(headerState(id, 0), new Uint8Array(0), 0, 0)).toBe(bits)
  })
})

describe('headerState', () => {
  it('ignores bits above the identifier', () => {
    expect(headerState(0x98fef100, 8)).toBe(headerState(0x18fef100, 8))
    expect(headerState(0x923, 8, 'standard')).toBe(headerState(0x123, 8, 'standard'))
  })

  it.each([-1, 9, 1.5, Number.NaN])('refuses a length of %d', (length) => {
    for (const call of [() => headerState(0, length), () => nominalBits(length), () => worstCaseBits(length)]) {
      expect(call).toThrow(BusError)
      expect(call).toThrow(expect.objectContaining({ code: 'frame-length' }))
    }
  })
})

describe('formulas', () => {
  it.each<readonly [FrameKind, number, number]>([
    ['extended-remote', 67, 80],
    ['standard-remote', 47, 55],
  ])('an %s frame takes %i to %i bits whatever length it asks for', (kind, least, most) => {
    for (const length of [0, 3, 8]) {
      expect([nominalBits(length, kind), worstCaseBits(length, kind)]).toEqual([least, most])
    }
  })
})
