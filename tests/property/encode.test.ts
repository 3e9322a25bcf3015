/** What is written into a payload is read out of it again: every group of the catalogue, every signal that holds a number. */
import { decodeGroup, encodeGroup, type GroupDefinition, type GroupInput, type SignalInput } from '@firstcrank/decoder'
import { GROUPS } from '@firstcrank/decoder/catalog'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { highestValidRaw } from '../../packages/decoder/src/signal/status.js'
import { hexOf } from '../support/log.js'
import { readReferenceGroup } from '../support/reference-signals.js'

type Signal = Extract<GroupDefinition['signals'][number], { bits: number }>

const ruleOf = (signal: Signal) => (signal.kind === 'bit-field' ? 'full' : signal.range)
const scaleOf = (signal: Signal) => (signal.kind === 'numeric' ? signal : { resolution: 1, offset: 0 })

/** A value the signal can hold, anywhere between two steps; or none. */
function inputFor(signal: Signal): fc.Arbitrary<SignalInput> {
  const { resolution, offset } = scaleOf(signal)
  const highest = highestValidRaw(signal.bits, ruleOf(signal))
  const between = fc.double({ min: 0, max: 1, noNaN: true }).map((share) => offset + share * highest * resolution)
  const value = signal.kind === 'numeric' ? between : between.map(Math.round)
  const hasError = (ruleOf(signal) ?? 'standard') === 'standard' && signal.bits > 1
  const hasNotAvailable = ruleOf(signal) !== 'full' && signal.bits > 1
  return fc.oneof(
    { arbitrary: value, weight: 6 },
    { arbitrary: fc.constantFrom<SignalInput>(...(hasError ? ['error' as const] : [offset])), weight: 1 },
    {
      arbitrary: fc.constantFrom<SignalInput>(...(hasNotAvailable ? ['not-available' as const] : [offset])),
      weight: 1,
    },
  )
}

const groups = GROUPS.filter(({ signals }) => signals.some((signal) => 'bits' in signal))

describe('a value written and read again', () => {
  it.each(groups.map((group) => [`${group.pgn} ${group.acronym}`, group] as const))('%s', (_, group) => {
    const signals = group.signals.filter((signal): signal is Signal => 'bits' in signal)
    const inputs = fc.record(Object.fromEntries(signals.map((signal) => [signal.spn, inputFor(signal)])))
    fc.assert(
      fc.property(inputs, (values: GroupInput) => {
        const payload = encodeGroup(group, values)
        for (const read of [decodeGroup(group, payload), readReferenceGroup(group, hexOf(payload))]) {
          for (const signal of signals) {
            const { status, value } = read.find(({ spn }) => spn === signal.spn) ?? {}
            const wanted = values[signal.spn]
            const what = `SPN ${signal.spn} ${wanted} in ${hexOf(payload)}`
            if (typeof wanted === 'string') {
              expect(status, what).toBe(wanted)
            } else {
              expect(status, what).toBe('valid')
              const off = Math.abs((value as number) - wanted)
              expect(off, what).toBeLessThanOrEqual(scaleOf(signal).resolution * 0.500001)
            }
          }
        }
      }),
      { numRuns: 5 },
    )
  })
})
