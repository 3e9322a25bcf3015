import { describe, expect, it } from 'vitest'
import { askedFault, faultOnset } from './fault-view.js'

type Facts = Parameters<typeof faultOnset>[0]
const lane = (key: string, follows: boolean, from = 0) =>
  ({
    key,
    follows,
    spans: [{ from, to: from + 1, cleared: true, count: null }],
  }) as unknown as Facts['groups'][0]['lanes'][0]
const group = (...lanes: Facts['groups'][0]['lanes']) => ({ title: null, probable: false, lanes })

describe('the fault that is asked for', () => {
  const groups = [group(lane('fault:0.91.4', true), lane('fault:0.3509.4', false)), group(lane('fault:0.100.1', false))]

  it('is the one that is open, whichever group it is in', () => {
    expect(askedFault({ groups }, 'fault:0.100.1')?.key).toBe('fault:0.100.1')
    expect(askedFault({ groups }, 'fault:0.91.4')?.key).toBe('fault:0.91.4')
  })

  it('is the root of the first group where none is open, or only a finding, or one the run has not', () => {
    for (const open of [null, 'finding:1', 'fault:0.1.1']) {
      expect(askedFault({ groups }, open)?.key, `${open}`).toBe('fault:0.3509.4')
    }
  })

  it('is the first where all follow from what no node listed, and none where there is none', () => {
    expect(askedFault({ groups: [group(lane('fault:0.91.4', true), lane('fault:0.91.3', true))] }, null)?.key).toBe(
      'fault:0.91.4',
    )
    expect(askedFault({ groups: [] }, null)).toBeNull()
  })
})

describe('the onset of a fault', () => {
  const fault = { sa: 0, spn: 91, fmi: 4, onset: { time: 141e6 } }
  const facts = (report: object | null): Facts =>
    ({
      zero: 100e6,
      report,
      groups: [group(lane('fault:0.91.4', false, 42), lane('fault:0.91.3', false, 50))],
    }) as Facts

  it('is what the report says, or else when it was listed first', () => {
    const report = { faults: [{ faults: [fault] }] }
    expect(faultOnset(facts(report), 'fault:0.91.4')).toBe(41)
    expect(faultOnset(facts(report), 'fault:0.91.3')).toBe(50)
    expect(faultOnset(facts(null), 'fault:0.91.4')).toBe(42)
    expect(faultOnset(facts(null), 'fault:0.1.1')).toBeNull()
  })

  it('is not before the recording', () => {
    const early = { faults: [{ faults: [{ ...fault, onset: { time: 90e6 } }] }] }
    expect(faultOnset(facts(early), 'fault:0.91.4')).toBe(0)
  })
})
