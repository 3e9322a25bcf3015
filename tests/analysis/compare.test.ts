/**
 * Pairs of runs from the simulator: what was really done to the vehicle between them is known, and the
 * grade must fit it. A few seeds each.
 */
import { readFileSync } from 'node:fs'
import { openRecording } from '@firstcrank/decoder'
import { findScenario, SCENARIOS, type Scenario, type SimulationOptions, writeLog } from '@firstcrank/simulator'
import { describe, expect, test } from 'vitest'
import { analyse } from '../../packages/analysis/src/analyse.js'
import {
  type Comparison,
  compareRuns,
  type Grade,
  historyEntry,
  historyOf,
  type Run,
  renderComparison,
} from '../../packages/analysis/src/compare/index.js'
import { utf8 } from '../support/log.js'

const [unplugged, shorted] = ['missing-air-mass-signal', 'five-volt-short'].map(findScenario)
const CLEARED_START: Scenario['script'] = [
  { do: 'key-on' },
  { do: 'wait', for: 8 },
  { do: 'tool', clear: true },
  { do: 'wait', for: 1 },
  { do: 'crank', atMost: 15 },
]
/** What the later run of a pair may be, beside the simulator's own stories. */
const STORIES: readonly Scenario[] = [
  { ...unplugged, name: 'test-unplugged-cleared', script: [...CLEARED_START, { do: 'idle', for: 60 }] },
  // The short first shows at second 41: this run ends before.
  { ...shorted, name: 'test-shorted-cleared', script: [...CLEARED_START, { do: 'idle', for: 10 }] },
  { ...shorted, name: 'test-shorted-mended', failures: [], expected: [], cause: 'none' },
]
// Scenarios are looked up by name in this list.
;(SCENARIOS as Scenario[]).push(...STORIES)

async function opened(bytes: Uint8Array, title: string): Promise<Run> {
  const recording = await openRecording(bytes, { summary: true })
  return { recording, report: analyse(recording, undefined, { name: title }), title }
}

const made = (name: string, seed: number, options: SimulationOptions = {}): Promise<Run> =>
  opened(utf8(writeLog(name, { ...options, seed }).text), name)

const gradesOf = ({ faults }: Comparison): (readonly [number, number, Grade | null, string])[] =>
  faults.map(({ spn, fmi, grade, change }) => [spn, fmi, grade, change])

describe.each([1, 2, 3])('seed %i', (seed) => {
  test('mended, in the same weather or in another, at another height: proved by the raw signal', async () => {
    const before = await made('missing-air-mass-signal', seed)
    const same = compareRuns(before, await made('clean-first-start', seed + 20))
    expect(gradesOf(same)).toEqual([[132, 4, 'proved', 'gone']])
    const high = compareRuns(before, await made('clean-first-start', seed + 20, { ambient: 24, altitude: 100 }))
    expect(gradesOf(high)).toEqual([[132, 4, 'proved', 'gone']])
    expect(high.changes.map(({ text }) => text).join('\n')).toMatch(/Ambient temperature: .*\nAir pressure: /)
    expect(
      high.faults[0].evidence.filter(({ signals }) => signals.some(({ spn }) => spn === 132)).length,
    ).toBeGreaterThan(1)
  })

  test('mended, and something new broken', async () => {
    const comparison = compareRuns(
      await made('missing-air-mass-signal', seed),
      await made('intake-temperature-unplugged', seed + 20),
    )
    expect(gradesOf(comparison)).toEqual([
      [132, 4, 'proved', 'gone'],
      [105, 3, null, 'new'],
    ])
  })

  test('not mended, faults only cleared: came back', async () => {
    const comparison = compareRuns(
      await made('missing-air-mass-signal', seed),
      await made('test-unplugged-cleared', seed + 20),
    )
    expect(gradesOf(comparison)).toEqual([[132, 4, 'came-back', 'still-there']])
    expect(comparison.clears.filter(({ run }) => run === 'after').map(({ dm }) => dm)).toEqual([3, 11])
    expect(comparison.faults[0].reasons.join(' ')).toContain('Clearing is not fixing')
  })

  test('not mended, cleared, and not exercised: not tested', async () => {
    const comparison = compareRuns(await made('five-volt-short', seed), await made('test-shorted-cleared', seed + 20))
    expect(new Set(comparison.faults.map(({ grade }) => grade))).toEqual(new Set(['not-tested']))
    expect(comparison.faults[0].statement).toMatch(
      /^Not seen in \d+ s of comparable running covering .* Not exercised: /,
    )
  })

  test('an intermittent fault that was mended is not proved by one drive without it', async () => {
    const comparison = compareRuns(await made('five-volt-short', seed), await made('test-shorted-mended', seed + 20))
    for (const { grade } of comparison.faults) expect(['not-proved', 'not-tested', 'supported']).toContain(grade)
    for (const { change } of comparison.faults) expect(change).toBe('gone')
  })
})

describe('any two runs', () => {
  const NAMES = ['clean-first-start', 'missing-air-mass-signal', 'five-volt-short', 'heater-link-open']

  test.each(NAMES)('%s compared with itself changes nothing', async (name) => {
    const run = await made(name, 4)
    const comparison = compareRuns(run, run)
    expect(comparison.vehicle.same).toBe('same')
    expect(new Set(comparison.faults.map(({ change }) => change))).toEqual(
      new Set(comparison.faults.length > 0 ? ['still-there'] : []),
    )
    expect(comparison.changes).toEqual([])
    expect(comparison.vitals.map(({ difference }) => difference)).toEqual(comparison.vitals.map(() => 0))
    expect(comparison.vitals.length).toBeGreaterThan(3)
    expect(comparison.exposure.map(({ coverage }) => coverage)).toEqual([1])
    expect(comparison.alignment.map(({ offset }) => offset)).toEqual(comparison.alignment.map(() => 0))
  })

  test.each([
    ['missing-air-mass-signal', 'clean-first-start'],
    ['five-volt-short', 'heater-link-open'],
  ])('%s and %s swapped mirror', async (one, two) => {
    const [a, b] = [await made(one, 5), await made(two, 6)]
    const there = compareRuns(a, b)
    const back = compareRuns(b, a)
    const parts = ({ faults }: Comparison, change: string): string[] =>
      faults
        .filter((fault) => fault.change === change)
        .map(({ sa, spn }) => `${sa}/${spn}`)
        .sort()
    expect(parts(there, 'gone')).toEqual(parts(back, 'new'))
    expect(parts(there, 'new')).toEqual(parts(back, 'gone'))
    expect(parts(there, 'gone').length).toBeGreaterThan(0)
    for (const vital of there.vitals) {
      const other = back.vitals.find(({ id, phase }) => id === vital.id && phase === vital.phase)
      expect(other?.difference).toBeCloseTo(-vital.difference, 9)
      expect(other?.interval.from).toBeCloseTo(-vital.interval.to, 9)
      expect(other?.matters).toBe(vital.matters)
    }
    expect(back.vitals).toHaveLength(there.vitals.length)
    expect(back.alignment.map(({ offset }) => -offset)).toEqual(there.alignment.map(({ offset }) => offset))
  })
})

test('the sample logs of the worn pedal track: the run after the repair proves nothing', async () => {
  const read = (name: string): Promise<Run> =>
    opened(readFileSync(new URL(`../../sample-logs/${name}.log.gz`, import.meta.url)), name)
  const comparison = compareRuns(await read('pedal-wiper-before'), await read('pedal-wiper-after'))
  expect(gradesOf(comparison)).toEqual([[91, 2, expect.stringMatching(/^not-(proved|tested)$/), 'gone']])
  const [fault] = comparison.faults
  expect(fault.statistics?.events).toEqual({ before: 6, after: 0 })
  expect(fault.statistics?.missing).toBeGreaterThan(0)
  expect(comparison.clears.map(({ dm }) => dm)).toEqual([3, 11])
  const text = renderComparison(comparison, 'text')
  expect(text).toContain('Clearing is not fixing')
  expect(text).toMatch(/remain\s+possible/)
}, 60_000)

test('runs of different vehicles prove nothing', async () => {
  const log = (name: string): string => writeLog(name, { seed: 7 }).text
  const before = await opened(utf8(log('missing-air-mass-signal')), 'before')
  // The same bytes with another letter in the identification: it is sent in a multi-packet message.
  const text = log('clean-first-start').replaceAll('30305245', '30305246')
  const changed = compareRuns(before, await opened(utf8(text), 'after'))
  expect(text).not.toBe(log('clean-first-start'))
  expect(changed.vehicle.same).toBe('different')
  expect(gradesOf(changed)).toEqual([[132, 4, 'not-tested', 'not-comparable']])
})

test('a history puts runs in order of time and says where the fault was', async () => {
  const entries = [await made('missing-air-mass-signal', 8), await made('clean-first-start', 8)].map(historyEntry)
  const note = { time: entries[1].recording.to + 1, text: 'Sensor fitted' }
  const history = historyOf(entries, [note])
  expect(history.runs.map(({ title }) => title)).toEqual(['clean-first-start', 'missing-air-mass-signal'])
  expect(history.faults.map(({ spn, runs }) => [spn, ...runs])).toEqual([[132, 'not-listed', 'active']])
  expect(history.notes).toEqual([{ ...note, after: 1 }])
  expect(history.figures.find(({ id }) => id === 'crank-voltage')?.runs.every((value) => value !== null)).toBe(true)
})
