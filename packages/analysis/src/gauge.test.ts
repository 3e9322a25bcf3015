import { describe, expect, test } from 'vitest'
import { dm1, every, lampOnly, livingNode, secondsOf } from '../../../tests/support/made-faults.js'
import { type MadeRun, openRun } from '../../../tests/support/made-run.js'
import { findEngines } from './engine-view.js'
import { type GaugeView, gaugeViews } from './gauge.js'
import { GAUGE_REASONS, VITALS } from './gauge-table.js'

const viewOf = async (...runs: readonly MadeRun[]): Promise<GaugeView> => {
  const [view] = gaugeViews(await openRun(...runs))
  if (view === undefined) throw new Error('no view')
  return view
}
const vital = (view: GaugeView, id: string) => view.vitals.find((candidate) => candidate.id === id)
const reasons = (view: GaugeView) => view.reasons.map(({ id }) => id)

describe('what a gauge gets', () => {
  test('of a healthy engine at address 0', async () => {
    const view = await viewOf({ others: dm1([]) })
    expect(view).toMatchObject({ channel: 'can0', expects: 0, engine: 0 })
    expect(vital(view, 'speed')).toMatchObject({ shown: 'value', sa: 0, validShare: 1, spn: 190, pgn: 61444 })
    expect(vital(view, 'oil-pressure')).toMatchObject({
      shown: 'value',
      period: 500_000,
      standardPeriod: 500_000,
      unit: 'kPa',
    })
    expect(vital(view, 'fuel-level')).toMatchObject({
      shown: 'nothing',
      sa: null,
      text: 'Nobody sends fuel level (group 65276).',
    })
    expect(reasons(view)).toEqual(['not-sent'])
  })

  test('of an engine at another address', async () => {
    const view = await viewOf({ sa: 17, others: dm1([], { sa: 17 }) })
    expect(view).toMatchObject({ expects: 0, engine: 17 })
    expect(vital(view, 'speed')).toMatchObject({
      shown: 'other-address',
      sa: 17,
      text: 'Engine speed comes from address 17 only; a gauge listens to 0.',
    })
    expect(reasons(view)).toContain('other-address')
    // Road speed is taken from anybody.
    expect(vital(view, 'vehicle-speed')?.shown).toBe('value')
  })

  test('dashes: "not available" where there is no sensor, "error" where it has failed', async () => {
    const view = await viewOf({
      signals: { 175: 'not-available' as never, 110: () => 'not-available', 105: () => 'error' },
      others: dm1([]),
    })
    expect(vital(view, 'coolant')).toMatchObject({ shown: 'dashes', validShare: 0 })
    expect(vital(view, 'coolant')?.text).toContain('"not available"')
    expect(vital(view, 'intake-temperature')?.text).toContain('"error"')
    expect(reasons(view)).toEqual(expect.arrayContaining(['not-fitted', 'sensor-error']))
  })

  test('part of the time', async () => {
    const view = await viewOf({ signals: { 100: (t) => (t > 60 ? 'error' : 140) }, others: dm1([]) })
    expect(vital(view, 'oil-pressure')).toMatchObject({ shown: 'partly' })
    expect(vital(view, 'oil-pressure')?.text).toMatch(/4\d % of the messages hold a value, the rest say "error"/)
  })

  test('messages that stay away, with the longest time first', async () => {
    const silent = [
      [40, 43],
      [70, 78],
    ] as const
    const view = await viewOf({ silent, others: [...livingNode(33), ...dm1([])] })
    const stale = vital(view, 'oil-pressure')?.stale ?? []
    expect(stale.map(({ from }) => Math.round(secondsOf(from)))).toEqual([70, 40])
    expect(reasons(view)).toContain('stale')
  })

  test('a recorder that slept is no gap on the bus', async () => {
    expect(
      reasons(await viewOf({ silent: [[40, 48]], others: dm1([]).filter(({ at }) => at < 40 || at >= 48) })),
    ).not.toContain('stale')
  })

  test('slow messages move the needle in steps', async () => {
    expect(reasons(await viewOf({ periods: { 65263: 2500 }, others: dm1([]) }))).toContain('slow')
  })

  test('hours only when asked for', async () => {
    const view = await viewOf({ others: [...dm1([]), ...every(65253, 10, [3, 120], () => ({ 247: 12.5 }))] })
    expect(vital(view, 'hours')?.shown).toBe('on-request')
    expect(reasons(view)).toContain('on-request')
  })

  test('no engine at all', async () => {
    const view = await viewOf({ sa: 33, without: [61444, 61443, 65262, 65263, 65270, 65266] })
    expect(view.engine).toBeNull()
    expect(reasons(view)).toContain('no-engine')
  })

  test('two engines: the second one has a view of its own', async () => {
    const fast = (t: number): number => (t < 12 || t >= 120 ? 0 : t < 14 ? 200 : 1500)
    const recording = await openRun({}, { sa: 1, signals: { 190: fast } })
    const views = gaugeViews(recording, findEngines(recording))
    expect(views.map(({ expects, engine }) => [expects, engine])).toEqual([
      [0, 0],
      [1, 1],
    ])
    expect(vital(views[1], 'speed')).toMatchObject({ shown: 'value', sa: 1 })
    expect(reasons(views[0])).toContain('several-engines')
  })
})

describe('lamps and faults', () => {
  test('when a lamp was on, and whose', async () => {
    const { lamps } = await viewOf({ others: dm1([{ spn: 105, fmi: 3, from: 30, to: 50 }]) })
    expect(lamps).toMatchObject([{ sa: 0, lamp: 'amberWarning', name: 'amber warning lamp', flashes: false }])
    expect(secondsOf(lamps[0].from)).toBeCloseTo(30, 1)
    expect(secondsOf(lamps[0].to)).toBeCloseTo(50, 1)
  })

  test('faults of others are not shown', async () => {
    const view = await viewOf({
      others: [
        ...dm1([{ spn: 105, fmi: 3, from: 30 }]),
        ...dm1(
          [
            { spn: 177, fmi: 3, from: 30 },
            { spn: 639, fmi: 9, from: 40 },
          ],
          { sa: 3 },
        ),
      ],
    })
    expect(view.faults).toMatchObject([
      { sa: 0, count: 1, shown: true },
      { sa: 3, title: 'Transmission 1', count: 2, shown: false },
    ])
    expect(reasons(view)).toContain('other-node-faults')
  })

  test('a list in packets, a lamp without a code, no list at all', async () => {
    const long = await viewOf({
      others: dm1([
        { spn: 105, fmi: 3, from: 30 },
        { spn: 110, fmi: 3, from: 30 },
      ]),
    })
    expect(reasons(long)).toContain('long-list')
    expect(reasons(await viewOf({ others: [lampOnly(20)] }))).toContain('lamp-without-code')
    expect(reasons(await viewOf({}))).toContain('no-dm1')
  })
})

describe('who else is there', () => {
  // NAME fields: identity number 88 and 1133, function 60 (display) and 3 (transmission), on-highway. Own invention.
  const claim = (at: number, sa: number, data: string) => ({ at, pgn: 60928, sa, da: 255, data })
  const display = '58 00 00 00 00 3C 00 10'
  const gearbox = '6D 04 00 00 00 03 00 10'

  test('a display that claims', async () => {
    const view = await viewOf({ others: [...dm1([]), claim(0.4, 40, display)] })
    expect(view.displays).toMatchObject([{ sa: 40, claimed: true }])
  })

  test('two NAMEs on one address', async () => {
    const view = await viewOf({
      others: [...dm1([]), claim(0.2, 3, gearbox), claim(0.4, 3, display), claim(0.45, 3, gearbox)],
    })
    expect(reasons(view)).toContain('address-shared')
    expect(view.reasons.find(({ id }) => id === 'address-shared')?.evidence[0].text).toBe('Two NAMEs claim address 3.')
  })
})

test('the tables: names once, every reason with what to do', () => {
  expect(new Set(VITALS.map(({ id }) => id)).size).toBe(VITALS.length)
  for (const { text, advice } of Object.values(GAUGE_REASONS)) expect(`${text} ${advice}`).toMatch(/^[A-Z].*\.$/)
})

test('a view is plain data: it goes through JSON unharmed', async () => {
  const view = await viewOf({ others: dm1([{ spn: 105, fmi: 3, from: 30 }]) })
  expect(JSON.parse(JSON.stringify(view))).toEqual(view)
})
