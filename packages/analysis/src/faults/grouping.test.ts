import { describe, expect, test } from 'vitest'
import {
  analysed,
  analysedRecording,
  dm1,
  every,
  faultList,
  lampOnly,
  livingNode,
  type MadeFault,
  secondsOf,
} from '../../../../tests/support/made-faults.js'
import { type MadeRun, openRun } from '../../../../tests/support/made-run.js'
import { findEngines } from '../engine-view.js'
import type { CheckResult, FaultGroup } from '../model.js'
import { findPhases } from '../phases.js'
import { analyseFaults, storedFaults } from './index.js'

const groupsOf = async (faults: readonly MadeFault[], run: MadeRun = {}): Promise<readonly FaultGroup[]> =>
  (await analysed({ ...run, others: [...(run.others ?? []), ...dm1(faults)] })).groups

/** What a group comes to: best cause, how sure, its faults; those that follow from another in brackets. */
const inShort = ({ causes, faults }: FaultGroup): string => {
  const [best] = causes
  const listed = faults.map(({ spn, fmi, follows }) => (follows === null ? `${spn}/${fmi}` : `(${spn}/${fmi})`))
  return `${best.id} ${best.confidence}: ${listed.join(' ')}`
}

describe('one fault alone', () => {
  test('plain words, onset, evidence and steps', async () => {
    const [group] = await groupsOf([{ spn: 105, fmi: 3, from: 5 }], { signals: { 105: -40 }, celsius: 18 })
    expect(inShort(group)).toBe('circuit-open probable: 105/3')
    const [fault] = group.faults
    expect(fault).toMatchObject({
      channel: 'can0',
      sa: 0,
      name: 'Engine intake manifold 1 temperature',
      onset: { phase: 'preheat', volts: { value: 11.8, unit: 'V' } },
    })
    expect(fault.meaning).toContain('voltage too high')
    expect(fault.about).toContain('air going into the cylinders')
    expect(fault.supports.map(({ pattern }) => pattern)).toEqual(['value-pinned', 'siblings-differ'])
    expect(secondsOf(fault.onset.time)).toBeCloseTo(5, 1)
    expect(group.causes[0].title).toBe('Intake manifold temperature sensor: unplugged, or a wire open')
    expect(group.causes.length).toBeGreaterThan(1)
  })

  test('a lively value speaks against a broken circuit', async () => {
    const [group] = await groupsOf([{ spn: 105, fmi: 3, from: 40 }], {
      signals: { 105: (t) => 24 + Math.round(3 * Math.sin(t)) },
    })
    expect(group.causes[0].confidence).not.toBe('probable')
    expect(group.faults[0].contradicts.map(({ pattern }) => pattern)).toContain('value-lively')
  })

  test('nothing in the recording shows it: said plainly', async () => {
    const [group] = await groupsOf([{ spn: 412, fmi: 3, from: 40 }])
    expect(group.causes.every(({ confidence }) => confidence === 'unsupported')).toBe(true)
    expect(group.causes[0].supported).toEqual({ facts: 0, of: 1 })
  })

  test('an SPN nobody knows keeps its number', async () => {
    const [group] = await groupsOf([{ spn: 520_312, fmi: 31, from: 40 }])
    expect(group.faults[0]).toMatchObject({ spn: 520_312, name: 'SPN 520312 (not known here)', about: null })
    expect(group.causes[0]).toMatchObject({ id: 'look-it-up', confidence: 'unsupported' })
  })

  test('an SPN that can be read three ways shows all of them and nothing about a part', async () => {
    // Conversion method bit 1 with SPN 110: bytes 6E 00 03 81. Versions 1 and 2 read other numbers from them.
    const { groups } = await analysed({ others: [{ at: 40, pgn: 65226, sa: 0, data: '04 00 6E 00 03 81 FF FF' }] })
    expect(groups[0].faults[0].name).toMatch(/^SPN 110 or \d+ or \d+ \(this node numbers faults the old way\)$/)
    expect(groups[0].faults[0].about).toBeNull()
  })
})

describe('one root, several faults', () => {
  test('5 V short: supply, then its sensors; thermistors live', async () => {
    const error = (t: number) => (t >= 41 && t < 50 ? ('error' as const) : 140)
    const groups = await groupsOf(
      [
        { spn: 3509, fmi: 4, from: 41 },
        { spn: 102, fmi: 4, from: 42 },
        { spn: 100, fmi: 4, from: 42.2 },
        { spn: 91, fmi: 4, from: 41.2 },
        { spn: 1569, fmi: 31, from: 43 },
      ],
      { signals: { 100: error } },
    )
    expect(groups.map(inShort)).toEqual(['sensor-supply-short probable: 3509/4 (91/4) (102/4) (100/4) (1569/31)'])
    expect(groups[0].faults.find(({ spn }) => spn === 102)?.follows).toEqual({ spn: 3509, fmi: 4 })
  })

  test('the same sensors without a word about the supply', async () => {
    const [group] = await groupsOf([
      { spn: 102, fmi: 4, from: 42 },
      { spn: 100, fmi: 4, from: 42.5 },
      { spn: 94, fmi: 4, from: 43 },
    ])
    expect(inShort(group)).toMatch(/^sensor-supply-lost /)
    expect(group.faults).toHaveLength(3)
  })

  test('lost sensor ground: all high', async () => {
    const [group] = await groupsOf([
      { spn: 102, fmi: 3, from: 42 },
      { spn: 100, fmi: 3, from: 42.5 },
    ])
    expect(inShort(group)).toMatch(/^sensor-ground-lost /)
  })

  test('a plug: different parts in different ways', async () => {
    const [group] = await groupsOf([
      { spn: 105, fmi: 3, from: 42 },
      { spn: 1347, fmi: 5, from: 42.5 },
      { spn: 100, fmi: 4, from: 43 },
    ])
    expect(inShort(group)).toMatch(/^connector-off /)
    expect(group.faults).toHaveLength(3)
  })

  test('minutes apart they are two troubles', async () => {
    const groups = await groupsOf([
      { spn: 105, fmi: 3, from: 20 },
      { spn: 1347, fmi: 5, from: 90 },
    ])
    expect(groups).toHaveLength(2)
  })

  test('starvation: delivery, rail, derate', async () => {
    const others = every(65263, 0.5, [0.1, 124], (t) => ({ 94: t < 8 ? 400 : 180, 100: t > 16 && t < 120 ? 140 : 0 }))
    const [group] = await groupsOf(
      [
        { spn: 94, fmi: 18, from: 30 },
        { spn: 157, fmi: 18, from: 45 },
        { spn: 1569, fmi: 31, from: 46 },
      ],
      { without: [65263], others, signals: { 157: (t) => (t > 40 && t < 120 ? 17 : t >= 14 && t < 120 ? 30 : 0) } },
    )
    expect(inShort(group)).toBe('fuel-restricted probable: 94/18 157/18 (1569/31)')
  })

  test('low voltage in crank: the network faults of others are consequences', async () => {
    const supply = (t: number) => (t >= 12 && t < 14 ? 7.6 : t >= 14 && t < 120 ? 14.2 : t >= 2 && t < 8 ? 11.2 : 12.6)
    const others = [...livingNode(33), ...dm1([{ spn: 639, fmi: 9, from: 13.2, to: 17 }], { sa: 40 })]
    const [group, ...more] = await groupsOf([{ spn: 168, fmi: 18, from: 13.6, to: 18 }], {
      celsius: 10,
      signals: { 168: supply, 190: (t) => (t < 12 || t >= 120.6 ? 0 : t < 14 ? 105 : 750) },
      others,
    })
    expect(inShort(group)).toBe('voltage-drop-in-crank probable: 168/18 (639/9)')
    expect(more).toEqual([])
  })
})

describe('consequences', () => {
  test('a derate joins the fault it follows', async () => {
    const groups = await groupsOf(
      [
        { spn: 105, fmi: 3, from: 40 },
        { spn: 1569, fmi: 31, from: 41 },
      ],
      { signals: { 105: (t) => (t > 39 ? -40 : 30) } },
    )
    expect(groups.map(inShort)).toEqual(['circuit-open probable: 105/3 (1569/31)'])
  })

  test('a derate alone is never a root', async () => {
    const [group] = await groupsOf([{ spn: 1569, fmi: 31, from: 41 }])
    expect(inShort(group)).toBe('root-not-reported unsupported: 1569/31')
    expect(group.causes[0].title).toContain('A consequence of another fault')
  })
})

describe('messages that are missed', () => {
  const missed = (from: number, sa = 40, to = from + 5) => dm1([{ spn: 639, fmi: 9, from, to }], { sa })

  test('with every message there: the receiver, and no more than possible', async () => {
    const { groups } = await analysed({ others: [...livingNode(33), ...missed(60)] })
    expect(groups.map(inShort)).toEqual(['receiver-side possible: 639/9'])
  })

  test('with one node silent: that node', async () => {
    const { groups } = await analysed({ others: [...livingNode(33), ...livingNode(3, [[58, 60]]), ...missed(59.5)] })
    expect(inShort(groups[0])).toBe('node-silent probable: 639/9')
    expect(groups[0].causes[0].supports[0].text).toContain('Address 3 is silent for')
  })

  test('with all silent at once: the bus', async () => {
    const quiet = [[58, 59.4] as const, [70, 71.2] as const]
    const others = [...livingNode(33, quiet), ...livingNode(3, quiet), ...missed(59.5), ...missed(71.3, 33)].filter(
      ({ at }) => !quiet.some(([from, to]) => at >= from && at < to),
    )
    const { groups } = await analysed({ silent: quiet, others })
    expect(inShort(groups[0])).toMatch(/^bus-wiring probable: 639\/9 639\/9/)
  })
})

describe('what is not active', () => {
  test('previously active faults are listed and never analysed', async () => {
    const recording = await openRun({ others: [...dm1([]), faultList(20, 65227, [{ spn: 91, fmi: 2, count: 6 }])] })
    expect(analysedRecording(recording).groups).toEqual([])
    expect(storedFaults(recording)).toMatchObject([
      {
        sa: 0,
        spn: 91,
        fmi: 2,
        state: 'previously-active',
        name: 'Accelerator pedal position 1',
        occurrences: 6,
        alsoActive: false,
      },
    ])
  })

  test('a lamp without a fault makes no group', async () => {
    const { groups } = await analysed({ others: [lampOnly(30)] })
    expect(groups).toEqual([])
  })

  test('a healthy run makes no group', async () => {
    expect((await analysed({ instants: { drive: [40, 100] }, others: dm1([]) })).groups).toEqual([])
  })
})

describe('troubles no controller reports', () => {
  test('a heater that never ends', async () => {
    const supply = (t: number) => (t >= 12 && t < 14 ? 9.4 : t >= 14 && t < 120 ? 13.3 : t >= 120 ? 12 : 11.8)
    const { groups } = await analysed({ signals: { 168: supply }, others: dm1([]) })
    expect(groups.map(inShort)).toEqual(['heater-stuck-on probable: '])
    expect(groups[0].causes[0].steps[0]).toMatchObject({ key: 'off', cautions: ['heater-stuck', 'battery'] })
  })

  test('checks that did not pass are tied to the cause that explains them', async () => {
    const check = (id: string, verdict: CheckResult['verdict']): CheckResult => ({
      id,
      title: id,
      proves: '',
      verdict,
      measured: null,
      limits: [],
      evidence: [],
      finding: `${id} was ${verdict}.`,
      advice: '',
      cautions: [],
    })
    const supply = (t: number) => (t >= 12 && t < 14 ? 8 : t >= 14 && t < 120 ? 14.2 : t >= 2 && t < 8 ? 11 : 12.1)
    const checks = [
      check('rest-voltage', 'fail'),
      check('crank-voltage', 'caution'),
      check('idle-offset', 'fail'),
      check('crank-speed', 'pass'),
    ]
    const { groups } = await analysed({ signals: { 168: supply } }, { checks })
    expect(inShort(groups[0])).toBe('battery-weak probable: ')
    expect(groups[0].checks).toEqual(['rest-voltage', 'crank-voltage'])
    expect(groups[0].causes[0].supports.map(({ pattern }) => pattern)).toContain('check:rest-voltage')
  })
})

describe('several engines', () => {
  test('each has its own faults; those of other nodes go with the first', async () => {
    const others = [
      ...dm1([{ spn: 105, fmi: 3, from: 20 }]),
      ...dm1([{ spn: 110, fmi: 4, from: 20 }], { sa: 1 }),
      ...dm1([{ spn: 177, fmi: 3, from: 30 }], { sa: 3 }),
    ]
    const fast = (t: number): number => (t < 12 || t >= 120 ? 0 : t < 14 ? 200 : 1500)
    const recording = await openRun({ others }, { sa: 1, signals: { 190: fast } })
    const engines = findEngines(recording)
    expect(engines.map(({ sa }) => sa)).toEqual([0, 1])
    const faults = engines.map((engine) =>
      analyseFaults(recording, engine, findPhases(engine)).flatMap((group) =>
        group.faults.map(({ sa, spn }) => `${sa}:${spn}`),
      ),
    )
    expect(faults).toEqual([['0:105', '3:177'], ['1:110']])
  })

  test('a bus without an engine still has its faults', async () => {
    const recording = await openRun({
      without: [61444, 61443, 65262, 65263, 65270, 65266],
      sa: 33,
      others: dm1([{ spn: 177, fmi: 3, from: 30 }], { sa: 3 }),
    })
    expect(findEngines(recording)).toEqual([])
    const [group] = analyseFaults(recording, undefined, [])
    expect(group.faults[0]).toMatchObject({ sa: 3, spn: 177, onset: { phase: null, volts: null } })
  })
})

test('only the best cause of a group may be called probable', async () => {
  const [group] = await groupsOf([{ spn: 110, fmi: 16, from: 40, to: 80 }], {
    signals: { 110: (t) => (t > 35 && t < 85 ? 108 : 88), 175: 112 },
  })
  expect(group.causes.filter(({ confidence }) => confidence === 'probable').length).toBeLessThanOrEqual(1)
})

describe('what is never there', () => {
  test('a node named by its address', async () => {
    const [group] = await groupsOf([{ spn: 2003, fmi: 9, from: 30 }], { others: livingNode(33) })
    expect(inShort(group)).toBe('node-absent probable: 2003/9')
    expect(group.causes[0].supports[0].text).toBe('Address 3, which is missed, is never heard in this recording.')
  })

  test('a node named by its address that falls silent', async () => {
    const others = [...livingNode(33), ...livingNode(3, [[28, 30]])]
    expect(inShort((await groupsOf([{ spn: 2003, fmi: 9, from: 29.5 }], { others }))[0])).toBe(
      'node-silent probable: 2003/9',
    )
    // Another one’s silence does not explain it.
    const wrong = [...livingNode(33, [[28, 30]]), ...livingNode(3)]
    expect(inShort((await groupsOf([{ spn: 2003, fmi: 9, from: 29.5 }], { others: wrong }))[0])).not.toMatch(
      /^node-silent/,
    )
  })

  test('a message nobody sends', async () => {
    const [group] = await groupsOf([{ spn: 191, fmi: 9, from: 30 }], { others: livingNode(33) })
    expect(inShort(group)).toBe('node-absent probable: 191/9')
    expect(group.causes[0].supports[0].text).toContain(
      'sends a message with Transmission output shaft speed (group 61442',
    )
  })
})

describe('one wrong figure and what is worked out from it', () => {
  test('valve and boost follow the air mass', async () => {
    const [group, ...more] = await groupsOf([
      { spn: 132, fmi: 2, from: 40 },
      { spn: 27, fmi: 2, from: 44 },
      { spn: 102, fmi: 2, from: 47 },
    ])
    expect(group.faults.map(({ spn, follows }) => [spn, follows])).toEqual([
      [132, null],
      [27, { spn: 132, fmi: 2 }],
      [102, { spn: 132, fmi: 2 }],
    ])
    expect(group.causes[0].confidence).not.toBe('probable')
    expect(more).toEqual([])
  })

  test('a surer cause of the first fault goes before', async () => {
    const run: MadeRun = { signals: { 132: (t) => (t < 15 || t >= 120 ? 0 : t > 39 ? 'error' : 60) } }
    const [group] = await groupsOf(
      [
        { spn: 132, fmi: 4, from: 40 },
        { spn: 27, fmi: 2, from: 44 },
      ],
      run,
    )
    expect(group.causes.map(({ id, confidence }) => `${id} ${confidence}`).slice(0, 2)).toEqual([
      'circuit-low probable',
      'air-mass-error-spreads possible',
    ])
  })
})

test('a key left on is no worn-out battery: without a crank nothing is named', async () => {
  const { groups } = await analysed({
    instants: { crank: 500, fire: 500, lamp: [500, 500], keyOff: 500, end: 60 },
    signals: { 168: 12.1, 158: 12.1 },
  })
  expect(groups).toEqual([])
})

test('that a value is as low as reported goes before no cause that explains it', async () => {
  // Delivery falls and stays low, neither clearly steady nor clearly in gulps.
  const others = every(65263, 0.5, [0.1, 124], (t) => ({
    94: t < 8 ? 400 : 190 + (t % 28 < 14 ? 16 : -16),
    100: t > 16 && t < 120 ? 140 : 0,
  }))
  const [group] = await groupsOf([{ spn: 94, fmi: 18, from: 30 }], { without: [65263], others })
  expect(group.causes[0].id).toMatch(/^fuel-/)
  expect(group.causes.map(({ id }) => id)).toContain('really-low')
})
