import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  destinationOf,
  formatIdentifier,
  isDirectedGroup,
  parseIdentifier,
  pgnOf,
  priorityOf,
  sourceOf,
} from './identifier.js'

const identifier = fc.integer({ min: 0, max: 0x1fffffff })

describe('identifier', () => {
  it('is built again from its parts', () => {
    fc.assert(
      fc.property(identifier, (id) => {
        expect(formatIdentifier(parseIdentifier(id))).toBe(id)
      }),
    )
  })

  it('agrees with its bits written out', () => {
    fc.assert(
      fc.property(identifier, (id) => {
        const bits = id.toString(2).padStart(29, '0')
        const field = (from: number, to: number) => Number.parseInt(bits.slice(from, to), 2)
        const directed = field(5, 13) < 240
        const group = directed ? `${bits.slice(3, 13)}00000000` : bits.slice(3, 21)
        expect(parseIdentifier(id)).toEqual({
          priority: field(0, 3),
          extendedDataPage: field(3, 4),
          dataPage: field(4, 5),
          pduFormat: field(5, 13),
          pduSpecific: field(13, 21),
          sa: field(21, 29),
          da: directed ? field(13, 21) : 255,
          pgn: Number.parseInt(group, 2),
        })
      }),
    )
  })

  it('gives the same field by field', () => {
    fc.assert(
      fc.property(identifier, (id) => {
        const { priority, pgn, sa, da } = parseIdentifier(id)
        expect([priorityOf(id), pgnOf(id), sourceOf(id), destinationOf(id)]).toEqual([priority, pgn, sa, da])
      }),
    )
  })

  it('ignores the extended flag some recorders leave in', () => {
    expect(parseIdentifier(0x89f11200)).toEqual(parseIdentifier(0x09f11200))
  })

  it('takes a destination only for directed groups', () => {
    expect(formatIdentifier({ priority: 6, pgn: 0xea00, sa: 0xf9, da: 0x0f })).toBe(0x18ea0ff9)
    expect(formatIdentifier({ priority: 6, pgn: 0xea00, sa: 0xf9 })).toBe(0x18eafff9)
    expect(formatIdentifier({ priority: 3, pgn: 0xf004, sa: 0, da: 0x0f })).toBe(0x0cf00400)
    expect([0xea00, 0xf004].map(isDirectedGroup)).toEqual([true, false])
  })
})
