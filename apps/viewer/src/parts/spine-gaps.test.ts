import { describe, expect, it } from 'vitest'
import { gapsOf, resetsOf } from './spine-gaps.js'

type Facts = Parameters<typeof gapsOf>[0]
const none = { total: 0, kept: [] }
const facts = (clock: object, bus: readonly object[]): Facts =>
  ({ zero: 100e6, info: { clock: { holes: none, jumps: none, ...clock } }, report: { bus } }) as unknown as Facts
const check = (id: string, verdict: string, from: number, to: number, text: string) => ({
  ...{ id, verdict, evidence: [{ from: from * 1e6, to: to * 1e6, text, signals: [] }] },
})

describe('the spine', () => {
  it('shows where nothing was recorded and where everybody was silent, in order of time', () => {
    const clock = { holes: { total: 1, kept: [{ from: 130e6, to: 133e6 }] } }
    const bus = [
      check('bus-silence', 'caution', 110, 111, 'Every node silent'),
      check('bus-load', 'fail', 105, 106, ''),
    ]
    expect(gapsOf(facts(clock, bus))).toEqual([
      { from: 10, to: 11, words: '0:10.0: Every node silent' },
      { from: 30, to: 33, words: '0:30.0: Nothing recorded for 3.0 s' },
    ])
  })

  it('shows restarts of controllers, where a check found some', () => {
    const found = check('controller-reset', 'fail', 120, 121.5, 'Brakes silent, then claims its address anew')
    expect(resetsOf(facts({}, [found]))).toEqual([
      { from: 20, to: 21.5, words: '0:20.0: Brakes silent, then claims its address anew' },
    ])
    expect(resetsOf(facts({}, [{ ...found, verdict: 'pass' }]))).toEqual([])
    expect(resetsOf({ ...facts({}, []), report: null })).toEqual([])
  })
})
