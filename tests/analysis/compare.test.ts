/**
 * Pairs of runs from the simulator: what was really done to the vehicle between them is known, and the
 * grade must fit it. A few seeds each.
 */
import { readFileSync } from 'node:fs'
import { openRecording } from '@firstcrank/decoder'
import { findScenario, SCENARIOS, type Scenario, type SimulationOptions, writeLog } from '@firstcrank/simulator'
import { asyncProperty, assert as check, constantFrom, integer } from 'fast-check'
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

describe('frames of a repair', () => {
  const before = made('missing-air-mass-signal', 11)

  /** The mended run, with a frame put in so many seconds after key-on. */
  async function withFrame(seconds: number, ...frames: string[]): Promise<Comparison> {
    const lines = writeLog('clean-first-start', { seed: 31 }).text.trimEnd().split('\n')
    const start = Number((lines[0] as string).slice(1, 18)) + seconds
    const at = lines.findIndex((line) => Number(line.slice(1, 18)) >= start)
    const time = (lines[at] as string).slice(0, 19)
    lines.splice(at, 0, ...frames.map((frame) => `${time} can0 ${frame}`))
    return compareRuns(await before, await opened(utf8(`${lines.join('\n')}\n`), 'after'))
  }

  test('without them it is proved', async () => {
    expect(gradesOf(await withFrame(60, '18FECF00#00FF00000000FFFF'))).toEqual([[132, 4, 'proved', 'gone']])
  })

  test('a pending fault (DM6) has come back, though it is not active', async () => {
    // Lamps off; SPN 132, FMI 4, once.
    const comparison = await withFrame(60, '18FECF00#00FF84000401FFFF')
    expect(gradesOf(comparison)).toEqual([[132, 4, 'came-back', 'gone']])
    const [fault] = comparison.faults
    expect(fault.statement).toContain('pending')
    const pending = fault.evidence.find(({ text }) => text.includes('pending in DM6'))
    expect(pending).toMatchObject({ run: 'after' })
    // Another part's pending fault is not this one's.
    expect(gradesOf(await withFrame(60, '18FECF00#00FF69000301FFFF'))).toEqual([[132, 4, 'proved', 'gone']])
  })

  test('a clear of one fault (DM22) and its answer are clear commands too', async () => {
    const comparison = await withFrame(5, '18C300F9#11FFFFFFFF840004', '18C3F900#12FFFFFFFF840004')
    expect(comparison.clears.map(({ dm, sa, da, run }) => [dm, sa, da, run])).toEqual([
      [22, 249, 0, 'after'],
      [22, 0, 249, 'after'],
    ])
    expect(comparison.clears[0].text).toContain('clear active, SPN 132 FMI 4')
    expect(comparison.faults[0].reasons.join(' ')).toContain('Clearing is not fixing')
    expect(comparison.conclusion.at(-1)).toContain('Clearing is not fixing')
  })
})

describe('what a check measures', () => {
  test('is direct evidence where the fault never left before and the check passes after', async () => {
    const stuck = await made('egr-valve-stuck', 12)
    const mended = compareRuns(stuck, await made('healthy-hot-restart', 32))
    const [fault] = mended.faults
    expect([fault.spn, fault.grade]).toEqual([27, 'proved'])
    expect(fault.statement).toContain('EGR valve follows its command')
    expect(
      new Set(fault.evidence.filter(({ signals }) => signals.some(({ spn }) => spn === 27)).map(({ run }) => run)),
    ).toEqual(new Set(['before', 'after']))
    // Still stuck, in a run that ends as soon as it could show: never a repair.
    const early = compareRuns(stuck, await made('egr-valve-stuck', 33, { duration: 11 }))
    expect(['came-back', 'not-proved', 'not-tested']).toContain(early.faults[0].grade)
  })
})

describe('every number can be opened', () => {
  test('in the run it belongs to', async () => {
    const [a, b] = [await made('five-volt-short', 14), await made('test-shorted-mended', 34)]
    const { before, after, ...comparison } = compareRuns(a, b)
    const spans = { before: before.recording, after: after.recording }
    const places = [
      ...comparison.faults.flatMap(({ evidence }) => evidence),
      ...comparison.clears,
      ...comparison.exposure.flatMap(({ evidence }) => evidence),
      ...comparison.vitals.flatMap(({ evidence }) => evidence),
      ...comparison.changes.flatMap(({ evidence }) => evidence),
    ]
    const sides = ['before', 'after'] as const
    const cells = [
      ...comparison.exposure.flatMap((part) => part.cells),
      ...comparison.vitals.flatMap((part) => part.cells),
    ]
    const stays = cells.flatMap(({ longest }) => sides.map((run) => ({ run, span: longest[run] })))
    for (const { run, from, to } of [
      ...places,
      ...stays.flatMap(({ run, span }) => (span ? [{ run, ...span }] : [])),
    ]) {
      expect(from).toBeGreaterThanOrEqual(spans[run].from)
      expect(to).toBeLessThanOrEqual(spans[run].to)
      expect(to).toBeGreaterThanOrEqual(from)
    }
    for (const part of comparison.exposure) {
      for (const cell of part.cells) {
        // As long as its stay, or longer where it came back; none where it never was.
        for (const run of sides) {
          const span = cell.longest[run]
          expect(span === null).toBe(cell[run] === 0)
          if (span !== null) expect((span.to - span.from) / 1e6).toBeLessThanOrEqual(cell[run])
        }
      }
    }
    for (const { cells: own } of comparison.vitals) {
      for (const { longest } of own) for (const run of sides) expect(longest[run]).not.toBeNull()
    }
    const both = (evidence: readonly { readonly run: string }[]): number => new Set(evidence.map(({ run }) => run)).size
    for (const { evidence } of comparison.vitals) expect(both(evidence)).toBe(2)
    for (const { evidence } of comparison.exposure) expect(both(evidence)).toBe(2)
    for (const { evidence, grade } of comparison.faults) if (grade !== null) expect(both(evidence)).toBe(2)
    for (const { evidence } of comparison.changes) expect(evidence.length).toBeGreaterThan(0)
  })

  test('runs are laid over one another by key-on, first crank and engine start', async () => {
    const [a, b] = [await made('missing-air-mass-signal', 15), await made('clean-first-start', 35)]
    const comparison = compareRuns(a, b)
    expect(comparison.overlays.map(({ event }) => event.event)).toEqual(['key-on', 'first-crank', 'engine-start'])
    for (const { from, to, plots, event } of comparison.overlays) {
      expect(from).toBeLessThan(0)
      const [speed] = plots
      expect(speed.title).toBe('Engine speed')
      // At the event both stand still or turn with the starter; later both run.
      for (const { least, greatest, name } of speed.traces) {
        const column = Math.floor((-from / (to - from)) * least.length)
        if (event.event === 'first-crank') {
          const standing = greatest.slice(0, column - 3).filter((value) => value !== null)
          expect(Math.max(...standing), name).toBeLessThan(60)
          expect(Math.max(...greatest.slice(column).map((value) => value ?? 0)), name).toBeGreaterThan(500)
        }
      }
    }
    const page = renderComparison(comparison, 'html')
    expect(page.match(/<svg /g)).toHaveLength(3)
    expect(page).toContain('After the engine started')
    expect(renderComparison(comparison, 'text')).not.toContain('<svg')
  })
})

describe('any two runs', () => {
  const DRAWN = asyncProperty(
    constantFrom('clean-first-start', 'missing-air-mass-signal', 'poor-ground-in-crank', 'boost-sensor-drift'),
    constantFrom('heater-link-open', 'blocked-oil-hose', 'gauge-address-conflict', 'healthy-hot-restart'),
    integer({ min: 1, max: 500 }),
    integer({ min: 0, max: 14 }),
    integer({ min: 18, max: 60 }),
    async (one, two, seed, from, to) => {
      const [a, b] = [await cut(one, seed, from, to), await cut(two, seed + 500, 0, to)]
      const same = compareRuns(a, a)
      for (const { change, grade } of same.faults) expect([change, grade]).toEqual(['still-there', 'came-back'])
      expect(same.changes).toEqual([])
      for (const { difference, matters } of same.vitals) expect([difference, matters === 'yes']).toEqual([0, false])
      for (const { coverage, before, after } of same.exposure) {
        expect(coverage === 1 || before.standing + before.cranking + before.running === 0).toBe(true)
        expect(after).toEqual(before)
      }
      for (const { offset } of same.alignment) expect(offset).toBe(0)
      for (const { plots } of same.overlays) {
        for (const { traces } of plots) expect(traces[1].least).toEqual(traces[0].least)
      }
      const [there, back] = [compareRuns(a, b), compareRuns(b, a)]
      const parts = ({ faults }: Comparison, ...changes: string[]): string[] =>
        faults
          .filter(({ change }) => changes.includes(change))
          .map(({ sa, spn }) => `${sa}/${spn}`)
          .sort()
      expect(parts(there, 'gone')).toEqual(parts(back, 'new'))
      expect(parts(there, 'new')).toEqual(parts(back, 'gone'))
      expect(parts(there, 'still-there', 'changed')).toEqual(parts(back, 'still-there', 'changed'))
      expect(back.vitals.map(({ id, phase, difference }) => [id, phase, round(-difference)])).toEqual(
        there.vitals.map(({ id, phase, difference }) => [id, phase, round(difference)]),
      )
      expect(back.alignment.map(({ event, offset }) => [event, -offset])).toEqual(
        there.alignment.map(({ event, offset }) => [event, offset]),
      )
      expect(there.vehicle.same).toBe(back.vehicle.same)
    },
  )
  const round = (value: number): number => Math.round(value * 1e6) / 1e6 + 0
  /** A recording that begins and ends anywhere. */
  async function cut(name: string, seed: number, from: number, to: number): Promise<Run> {
    const lines = writeLog(name, { seed, duration: to }).text.trimEnd().split('\n')
    const start = Number((lines[0] as string).slice(1, 18)) + from
    return opened(utf8(`${lines.filter((line) => Number(line.slice(1, 18)) >= start).join('\n')}\n`), name)
  }

  test('compared with itself changes nothing, swapped it mirrors: drawn runs, cut anywhere', async () => {
    await check(DRAWN, { numRuns: 25 })
  }, 120_000)

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
