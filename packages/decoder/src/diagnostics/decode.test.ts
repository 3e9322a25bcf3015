import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Message } from '../bus/message.js'
import { type DiagnosticMessage, decodeDiagnostic } from './decode.js'
import { DIAGNOSTIC_GROUPS } from './groups.js'
import { decodeIdentification } from './identification.js'
import { DIAGNOSTIC_PROBLEMS } from './problem.js'

const REQUEST = 59904

const message = (pgn: number, payload: ArrayLike<number>, more: Partial<Message> = {}): Message => ({
  channel: 0,
  priority: 6,
  pgn,
  sa: 0,
  da: 255,
  firstTime: 0,
  time: 0,
  payload: Uint8Array.from(payload),
  transport: 'single',
  ...more,
})

it.each(DIAGNOSTIC_GROUPS)('reads DM$dm as $kind', ({ dm, pgn, kind }) => {
  const decoded = decodeDiagnostic(message(pgn, [1, 2, 3, 4, 5, 6, 7, 8]))
  expect(decoded).toMatchObject({ kind, dm })
})

it('keeps a copy of what it only knows by name', () => {
  const sent = message(65232, [1, 2, 3])
  const decoded = decodeDiagnostic(sent)
  sent.payload.fill(0)
  expect(decoded).toEqual({
    kind: 'other',
    dm: 8,
    purpose: 'Test results for non-continuously monitored systems',
    payload: Uint8Array.of(1, 2, 3),
    problems: [],
  })
})

describe('requests', () => {
  it.each([
    ['DM3', [0xcc, 0xfe, 0x00], { dm: 3, clears: 'previously-active', form: 'request' }],
    ['DM11, padded', [0xd3, 0xfe, 0x00, 0xff, 0xff, 0xff, 0xff, 0xff], { dm: 11, clears: 'active', form: 'request' }],
  ])('for %s are clear commands', (_, payload, clear) => {
    expect(decodeDiagnostic(message(REQUEST, payload))).toEqual({ kind: 'clear', ...clear, problems: [] })
  })

  it.each([
    ['DM2', [0xcb, 0xfe, 0x00]],
    ['engine hours', [0xe5, 0xfe, 0x00]],
    ['nothing whole', [0xd3, 0xfe]],
  ])('for %s are none', (_, payload) => {
    expect(decodeDiagnostic(message(REQUEST, payload))).toBeUndefined()
  })
})

it('has nothing to say of other groups', () => {
  expect(decodeDiagnostic(message(61444, [1, 2, 3, 4, 5, 6, 7, 8]))).toBeUndefined()
  expect(decodeDiagnostic(message(65259, [0x41, 0x2a]))).toBeUndefined()
})

describe('what is known of a node', () => {
  const old = [0, 0xff, 0x17, 0x00, 0xc2, 0x85, 0xff, 0xff]
  const options = {
    conversion: (channel: number, sa: number) => (channel === 1 && sa === 3 ? (2 as const) : undefined),
    supported: (channel: number, sa: number) =>
      channel === 1 && sa === 3
        ? [{ spn: 190, inFreezeFrame: true, inDataStream: true, inTestResults: false, bytes: 2 }]
        : undefined,
  }

  it('applies to that node alone', () => {
    const decoded = (channel: number, sa: number) => decodeDiagnostic(message(65226, old, { channel, sa }), options)
    expect(decoded(1, 3)).toMatchObject({ faults: [{ spn: 190, version: 2, ambiguous: false }] })
    expect(decoded(0, 3)).toMatchObject({ faults: [{ ambiguous: true }] })
    expect(decoded(1, 4)).toMatchObject({ faults: [{ ambiguous: true }] })
  })

  it('reaches freeze frames', () => {
    const node = { channel: 1, sa: 3 }
    const frame = [6, 0x17, 0x00, 0xc2, 0x85, 0x80, 0x25]
    expect(decodeDiagnostic(message(64951, frame, node), options)).toMatchObject({
      frames: [{ dtc: { spn: 190, version: 2 }, parameters: [{ spn: 190, raw: 0x2580 }] }],
    })
    expect(decodeDiagnostic(message(65229, frame, node), options)).toMatchObject({
      frames: [{ dtc: { spn: 190, version: 2 } }],
    })
    expect(decodeDiagnostic(message(64951, frame), options)).toMatchObject({ frames: [{ parameters: null }] })
  })
})

it('has a payload for each problem there is, and no problem without a code', () => {
  const raised = [
    decodeDiagnostic(message(65226, [0])),
    decodeDiagnostic(message(65226, [0, 0xff, 0x66])),
    decodeDiagnostic(message(64950, [0x5c])),
    decodeDiagnostic(message(65229, [0x40, 1, 2, 3])),
    decodeDiagnostic(message(64951, [5, 0x66, 0, 3, 1, 7]), { supported: () => [] }),
    decodeDiagnostic(message(65228, [1])),
    decodeIdentification(65242, Uint8Array.of(2, 0x41, 0x2a)),
  ]
  const codes = raised.map((decoded) => decoded?.problems.map(({ code }) => code).join())
  expect(codes).toEqual(Object.keys(DIAGNOSTIC_PROBLEMS))
})

describe('any payload at all', () => {
  const payloads = fc.oneof(
    fc.uint8Array({ maxLength: 8 }),
    fc.uint8Array({ maxLength: 200 }),
    fc.array(fc.constantFrom(0, 1, 5, 0x2a, 0xfe, 0xff), { maxLength: 60 }).map((bytes) => Uint8Array.from(bytes)),
  )
  const groups = fc.constantFrom(...DIAGNOSTIC_GROUPS)
  const supported = () => [{ spn: 190, inFreezeFrame: true, inDataStream: true, inTestResults: false, bytes: 2 }]

  it('never throws, and says the same twice without touching it', () => {
    fc.assert(
      fc.property(groups, payloads, ({ pgn, kind, dm }, payload) => {
        const before = payload.slice()
        const first = decodeDiagnostic(message(pgn, payload), { supported })
        expect(first).toMatchObject({ kind, dm })
        expect(decodeDiagnostic(message(pgn, payload), { supported })).toEqual(first)
        expect(payload).toEqual(before)
        expect(problemsInside(first, payload)).toBe(true)
      }),
      { numRuns: 500 },
    )
  })

  it('never throws as a request', () => {
    fc.assert(
      fc.property(payloads, (payload) => {
        const decoded = decodeDiagnostic(message(REQUEST, payload))
        expect(decoded === undefined || decoded.kind === 'clear').toBe(true)
      }),
    )
  })

  function problemsInside(decoded: DiagnosticMessage | undefined, payload: Uint8Array): boolean {
    return decoded?.problems.every(({ at }) => at >= 0 && at <= payload.length) ?? false
  }
})
