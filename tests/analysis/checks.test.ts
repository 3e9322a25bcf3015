import { openRecording } from '@firstcrank/decoder'
import { writeLog } from '@firstcrank/simulator'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { findCaution } from '../../packages/analysis/src/cautions.js'
import { CHECKS, runChecks } from '../../packages/analysis/src/checks/index.js'
import { findEngines } from '../../packages/analysis/src/engine-view.js'
import { LIMITS } from '../../packages/analysis/src/limits.js'
import type { CheckResult, Verdict } from '../../packages/analysis/src/model.js'
import { findPhases } from '../../packages/analysis/src/phases.js'
import type { Profile } from '../../packages/analysis/src/profile.js'
import { utf8 } from '../support/log.js'
import { KEY_ON, type MadeRun, openRun } from '../support/made-run.js'
import { CASES, ENGINE, hot, longDrive, noisy, periods, profileOf, slowly } from './check-cases.js'

async function resultsOf(run: MadeRun, profile: Profile): Promise<CheckResult[]> {
  const recording = await openRun({ periods, ...run })
  const [engine] = findEngines(recording)
  return engine === undefined ? [] : runChecks(recording, engine, findPhases(engine, profile), profile)
}

async function resultOf(id: string, run: MadeRun, profile: Profile = ENGINE): Promise<CheckResult> {
  const result = (await resultsOf(run, profile)).find((candidate) => candidate.id === id)
  if (result === undefined) throw new Error(`no check ${id}`)
  return result
}

describe('every check', () => {
  const cases = CASES.map(([id, verdict, what, run, profile = ENGINE]) => ({ id, verdict, what, run, profile }))
  test.each(cases)('$id: $verdict with $what', async ({ id, verdict, run, profile }) => {
    const result = await resultOf(id, run, profile)
    expect(result.verdict, result.finding).toBe(verdict)
    expect(result.finding.startsWith('Not judged: ')).toBe(verdict === 'not-judged')
    expect(result.advice.length).toBeGreaterThan(5)
    for (const { from, to, text, signals } of result.evidence) {
      expect(from).toBeLessThanOrEqual(to)
      expect(from).toBeGreaterThanOrEqual(KEY_ON)
      expect(text).toMatch(/\.$/)
      expect(signals.length).toBeGreaterThan(0)
    }
    if (verdict !== 'not-judged') expect(result.evidence.length).toBeGreaterThan(0)
  })

  test('is reached with each of its verdicts', () => {
    const verdicts: readonly Verdict[] = ['pass', 'caution', 'fail', 'not-judged']
    const reached = new Set(CASES.map(([id, verdict]) => `${id}: ${verdict}`))
    const wanted = CHECKS.flatMap(({ id }) => verdicts.map((verdict) => `${id}: ${verdict}`))
    expect(wanted.filter((name) => !reached.has(name))).toEqual([])
  })

  test('has its words, its limits and its cautions', () => {
    const ids = CHECKS.map(({ id }) => id)
    expect(new Set(ids).size).toBe(ids.length)
    for (const check of CHECKS) {
      for (const text of [
        check.proves,
        check.enabling,
        check.computes,
        check.otherwise,
        ...Object.values(check.advice),
      ]) {
        expect(text, check.id).toMatch(/^[A-Z].*\.$/)
      }
      for (const limit of check.limits) expect(LIMITS).toHaveProperty([limit])
      for (const caution of check.cautions) expect(findCaution(caution), caution).toBeDefined()
      // A first step is never a new part.
      expect(check.advice.fail).not.toMatch(/^Replace|^Fit a new/)
    }
  })
})

describe('measured values', () => {
  test.each([
    ['rest-voltage', {}, 12.7, 0.025],
    ['crank-voltage', {}, 10.4, null],
    ['crank-speed', {}, 200, 0.0625],
    ['oil-pressure-rise', {}, 1.5, 0.5],
    ['cold-soak-spread', { signals: { 105: 28 } }, 8, 1],
    ['key-on-boost', { signals: { 102: 6 } }, 6, 1],
    ['idle-offset', { ...hot, signals: { 190: noisy(790, 0) } }, 40, 0.0625],
    ['rail-pressure', { signals: { 157: 27 } }, -10, 0.013],
  ] as const)('%s has a value and how far it may be off', async (id, run, value, uncertainty) => {
    const { measured } = await resultOf(id, run as MadeRun)
    expect(Math.abs((measured?.value ?? Number.NaN) - value)).toBeLessThan(0.55)
    if (uncertainty === null) expect(measured?.uncertainty).toBeNull()
    else expect(measured?.uncertainty).toBeCloseTo(uncertainty, 2)
  })

  test('the cranking-voltage table: 9.6 V at 21 °C, 9.4 at 10, 9.1 at 0, 8.5 at −18 and between them in straight lines', async () => {
    // Source: battery load test table (shop guide); the two lower rows common practice.
    for (const [celsius, limit] of [
      [30, 9.6],
      [21, 9.6],
      [10, 9.4],
      [0, 9.1],
      [-9, 8.8],
      [-18, 8.5],
    ] as const) {
      const { finding } = await resultOf('crank-voltage', { celsius, instants: { keyOff: 20, end: 22 } })
      expect(finding).toContain(`wanted ${limit.toFixed(2)} V`)
    }
  })

  test('the profile’s figure wins, and says whose it is', async () => {
    const strict = profileOf({
      title: 'Maker',
      limits: { 'crank-time.pass-to': { value: 1, source: 'Manual, page 9' } },
    })
    const result = await resultOf('crank-time', {}, strict)
    expect(result.verdict).toBe('caution')
    expect(result.limits.find(({ id }) => id === 'crank-time.pass-to')).toMatchObject({
      value: 1,
      source: 'Manual, page 9',
      owner: { profile: 'Maker' },
    })
  })

  test('a wrong bore is told beside its ratio', async () => {
    const tube = profileOf({ engine: { displacement: 3 }, air: { tubeBore: 76, calibratedBore: 70 } })
    const { finding } = await resultOf('air-mass-idle', { signals: { 132: 59.8 } }, tube)
    expect(finding).toContain('A 76 mm tube on a calibration for 70 mm gives 0.85.')
  })

  test('a coolant that reads cold beside hot oil is a reading to doubt', async () => {
    const run: MadeRun = { ...longDrive, periods: slowly, signals: { 110: 29, 175: (t) => Math.min(95, 20 + t / 6) } }
    const { verdict, finding, advice } = await resultOf('thermostat', run)
    expect(verdict).toBe('fail')
    expect(finding).toContain('rather the reading is wrong')
    expect(advice).toMatch(/^Look at the coolant sensor first/)
  })
})

/** DM1 of one fault: amber lamp, SPN below 256, FMI, once a second. */
function faultFrames(spn: number, fmi: number, from: number, to: number): NonNullable<MadeRun['others']> {
  const bytes = [0x04, 0xff, spn, 0, fmi, 1, 0xff, 0xff]
  const data = bytes.map((byte) => byte.toString(16).padStart(2, '0')).join(' ')
  return Array.from({ length: to - from }, (_, i) => ({ at: from + i + 0.2, pgn: 65226, data }))
}

describe('values nobody should judge by', () => {
  test('a sensor its controller calls broken measures nothing', async () => {
    const run: MadeRun = { ...hot, signals: { 100: 0 }, others: faultFrames(100, 4, 1, 200) }
    for (const id of ['oil-pressure-kept', 'oil-pressure-rise', 'oil-pressure-hot-idle']) {
      const { verdict, finding } = await resultOf(id, run)
      expect(verdict, id).toBe('not-judged')
      expect(finding).toContain('reports Engine oil pressure (SPN 100) itself as faulty (FMI 4)')
    }
  })

  test('a running without messages is not counted as seen', async () => {
    const run: MadeRun = { signals: { 100: (t) => (t < 15 ? 0 : t < 34 ? 140 : 'not-available') } }
    const { verdict, finding } = await resultOf('oil-pressure-kept', run)
    expect(verdict).toBe('pass')
    expect(finding).toMatch(/^Never less than 140 kPa in (9|10) s of running\.$/)
  })

  test('a temperature that was hot on both sides of a hole was not hot in it', async () => {
    const celsius = (t: number) => (t < 20 || t > 110 ? 90 : 'not-available')
    const run: MadeRun = { celsius: 88, signals: { 110: celsius, 175: null } }
    expect((await resultOf('oil-pressure-hot-idle', run)).verdict).toBe('not-judged')
  })

  test('but low pressure the controller itself complains of is judged', async () => {
    const run: MadeRun = { signals: { 100: (t) => (t < 20 ? 0 : 12) }, others: faultFrames(100, 1, 20, 118) }
    expect((await resultOf('oil-pressure-rise', run)).verdict).toBe('fail')
  })

  test('a broken intake temperature does not make the air mass wrong', async () => {
    const run: MadeRun = { signals: { 105: -40 }, others: faultFrames(105, 3, 1, 118) }
    expect((await resultOf('air-mass-idle', run)).verdict).toBe('not-judged')
    expect((await resultOf('cold-soak-spread', run)).verdict).toBe('fail')
  })

  test('bytes of FF are no values, whatever the check', async () => {
    const spns = [
      190, 1675, 3543, 1081, 91, 92, 29, 558, 84, 132, 2659, 27, 2791, 183, 157, 5313, 515, 100, 102, 105, 3563,
    ]
    const rest = [110, 174, 175, 108, 171, 172, 168, 158]
    const blank = Object.fromEntries([...spns, ...rest].map((spn) => [spn, () => undefined]))
    for (const { id, verdict, finding } of await resultsOf({ signals: blank }, ENGINE)) {
      expect(verdict, id).toBe('not-judged')
      expect(finding).toMatch(/never holds a value/)
    }
  })

  test('without speed no check passes that needs it', async () => {
    const results = await resultsOf({ without: [61444, 64914] }, ENGINE)
    const judged = results.filter(({ verdict }) => verdict !== 'not-judged').map(({ id }) => id)
    // While the wait-to-start lamp is on, the engine stands: that much is known.
    expect(judged).toEqual(['key-on-boost', 'ambient-pressure', 'manifold-pressure', 'egr-position'])
  })

  test('a hole of the recorder in the start leaves the rest judged', async () => {
    const results = await resultsOf({ silent: [[10, 30]] }, ENGINE)
    const verdicts = Object.fromEntries(results.map(({ id, verdict }) => [id, verdict]))
    expect(verdicts).toMatchObject({
      'crank-time': 'not-judged',
      'oil-pressure-rise': 'not-judged',
      'oil-pressure-kept': 'pass',
    })
    expect(results.some(({ verdict }) => verdict === 'fail')).toBe(false)
  })
})

test('nothing throws and every number is one, wherever a log is cut and whatever is missing', async () => {
  const spns = [190, 1675, 3543, 1081, 91, 92, 84, 168, 158, 100, 102, 110, 132]
  const odd = fc.record({
    celsius: fc.integer({ min: -40, max: 110 }),
    from: fc.integer({ min: 0, max: 100 }),
    length: fc.integer({ min: 1, max: 60 }),
    gone: fc.subarray(spns),
    hole: fc.integer({ min: 0, max: 120 }),
  })
  await fc.assert(
    fc.asyncProperty(odd, async ({ celsius, from, length, gone, hole }) => {
      const signals = Object.fromEntries(gone.map((spn) => [spn, (t: number) => (t % 20 < 10 ? 'error' : undefined)]))
      const silent = [[0, from] as const, [hole, hole + 3] as const, [from + length, 200] as const]
      for (const { measured } of await resultsOf({ celsius, signals, silent }, ENGINE)) {
        if (measured !== null) expect(Number.isFinite(measured.value)).toBe(true)
      }
    }),
    { numRuns: 25 },
  )
})

describe('made-up runs', () => {
  const SIMULATED = profileOf({ engine: { displacement: 3, idleSpeed: 750 }, site: { altitude: 1600 } })
  async function judge(name: string, seed: number): Promise<Map<string, Verdict>> {
    const { text } = writeLog(name, { seed })
    const recording = await openRecording(utf8(text), { summary: true })
    const [engine] = findEngines(recording)
    const results = runChecks(recording, engine, findPhases(engine, SIMULATED), SIMULATED)
    return new Map(results.map(({ id, verdict }) => [id, verdict]))
  }
  const wrong = (verdicts: Map<string, Verdict>): string[] =>
    [...verdicts].filter(([, verdict]) => verdict === 'fail' || verdict === 'caution').map(([id]) => id)

  test.each([
    ['clean-first-start', 2],
    ['healthy-hot-restart', 4],
    ['recorder-holes', 5],
    ['deep-cold-start', 3],
  ])('a healthy one raises nothing: %s, seed %d', async (name, seed) => {
    expect(wrong(await judge(name, seed))).toEqual([])
  })

  test.each([
    ['blocked-oil-hose', 3, { 'oil-pressure-rise': 'fail' }],
    ['dry-remote-filter', 3, { 'oil-pressure-rise': 'caution', 'oil-pressure-kept': 'pass' }],
    ['poor-ground-in-crank', 2, { 'crank-voltage': 'fail', 'crank-speed': 'caution' }],
    ['alternator-not-charging', 2, { 'charging-voltage': 'fail' }],
    ['heater-link-open', 2, { 'heater-draw': 'caution' }],
    ['heater-stuck-on', 5, { 'heater-release': 'fail' }],
    ['boost-sensor-drift', 2, { 'key-on-boost': 'fail', 'manifold-pressure': 'fail' }],
    ['intake-temperature-unplugged', 2, { 'cold-soak-spread': 'fail', 'air-mass-idle': 'not-judged' }],
    ['oil-pressure-switch', 2, { 'oil-pressure-rise': 'pass', 'oil-pressure-hot-idle': 'not-judged' }],
  ] as const)('%s, seed %d', async (name, seed, expected) => {
    expect(Object.fromEntries(await judge(name, seed))).toMatchObject(expected)
  })
})
