import { openRecording, type Recording } from '@firstcrank/decoder'
import { writeLog } from '@firstcrank/simulator'
import { describe, expect, test } from 'vitest'
import { findEngines } from '../../packages/analysis/src/engine-view.js'
import type { Phase, PhaseKind } from '../../packages/analysis/src/model.js'
import { findPhases } from '../../packages/analysis/src/phases.js'
import { utf8 } from '../support/log.js'
import { KEY_ON, type MadeRun, openRun, printRun } from '../support/made-run.js'

const seconds = (time: number): number => (time - KEY_ON) / 1e6

function phasesOf(recording: Recording): Phase[] {
  const [engine] = findEngines(recording)
  return engine === undefined ? [] : findPhases(engine)
}

const phasesOfRun = async (run: MadeRun): Promise<Phase[]> => phasesOf(await openRun(run))
const kindsOf = (phases: readonly Phase[]): PhaseKind[] => phases.map(({ kind }) => kind)
const find = (phases: readonly Phase[], kind: PhaseKind): Phase => {
  const phase = phases.find((candidate) => candidate.kind === kind)
  if (phase === undefined) throw new Error(`no ${kind} in ${kindsOf(phases).join(', ')}`)
  return phase
}

/** Reported states off the bus: what is left is speed, voltage, pedal and load. */
const UNREPORTED = { 1675: null, 3543: null } as const
const WHOLE: readonly PhaseKind[] = [
  'key-on',
  'preheat',
  'key-on',
  'cranking',
  'run-up',
  'idle-settle',
  'idle',
  'shutdown',
  'after-run',
]

describe('a whole run', () => {
  test('from reported states', async () => {
    const phases = await phasesOfRun({})
    expect(kindsOf(phases)).toEqual(WHOLE)
    const cranking = find(phases, 'cranking')
    expect(cranking).toMatchObject({ basis: 'reported', attempt: { number: 1, started: true }, cycle: 1 })
    expect(seconds(cranking.from)).toBeCloseTo(12, 1)
    expect(seconds(cranking.to)).toBeCloseTo(14, 1)
    expect(seconds(find(phases, 'preheat').from)).toBeCloseTo(2, 1)
    expect(seconds(find(phases, 'preheat').to)).toBeCloseTo(8, 1)
    expect(seconds(find(phases, 'shutdown').from)).toBeCloseTo(120, 0)
    expect(find(phases, 'after-run').basis).toBe('reported')
  })

  test('from speed, voltage and lamp', async () => {
    const phases = await phasesOfRun({ signals: UNREPORTED })
    expect(kindsOf(phases)).toEqual(WHOLE)
    expect(find(phases, 'cranking')).toMatchObject({ basis: 'inferred', attempt: { number: 1, started: true } })
    expect(seconds(find(phases, 'cranking').from)).toBeCloseTo(12, 1)
    expect(find(phases, 'after-run').basis).toBe('inferred')
    // The lamp is told once a second; its edges are no sharper.
    expect(find(phases, 'preheat').resolution).toBe(1_000_000)
    expect(Math.abs(seconds(find(phases, 'preheat').from) - 2)).toBeLessThanOrEqual(1)
  })

  test('no phase overlaps another, and none is known finer than its messages', async () => {
    const phases = await phasesOfRun({ instants: { drive: [60, 90] } })
    phases.forEach((phase, index) => {
      expect(phase.to).toBeGreaterThanOrEqual(phase.from)
      if (index > 0) expect(phase.from).toBe(phases[index - 1].to)
      expect(phase.resolution).toBeGreaterThanOrEqual(20_000)
      expect(phase.why).toMatch(/\.$/)
    })
    expect(seconds(find(phases, 'load').from)).toBeCloseTo(60, 0)
    expect(seconds(find(phases, 'load').to)).toBeCloseTo(90, 0)
    expect(find(phases, 'load').resolution).toBe(50_000)
  })

  test('slow messages make blunt phases', async () => {
    const phases = await phasesOfRun({ signals: UNREPORTED, periods: { 61444: 500 } })
    expect(find(phases, 'cranking').resolution).toBe(500_000)
    expect(Math.abs(seconds(find(phases, 'cranking').from) - 12)).toBeLessThanOrEqual(0.5)
  })

  test('hot and steady is warm idle', async () => {
    const phases = await phasesOfRun({ celsius: 86, instants: { lamp: [200, 200], keyOff: 150, end: 152 } })
    expect(kindsOf(phases)).toEqual([
      'key-on',
      'cranking',
      'run-up',
      'idle-settle',
      'warm-idle',
      'shutdown',
      'after-run',
    ])
    const cold = await phasesOfRun({ celsius: 86, signals: { 110: null }, instants: { keyOff: 150, end: 152 } })
    expect(kindsOf(cold)).not.toContain('warm-idle')
    expect(find(cold, 'idle').why).toContain('not on this bus')
  })
})

describe('attempts', () => {
  /** Two attempts without a start, 1675 reported or not; then one that works. */
  const attempts = (reported: boolean): MadeRun => {
    const cranks = (t: number): boolean => (t >= 12 && t < 16) || (t >= 25 && t < 28) || (t >= 40 && t < 42)
    return {
      instants: { fire: 42, crank: 40, keyOff: 80, end: 82 },
      signals: {
        190: (t) => (cranks(t) ? 190 : t >= 42 && t < 80 ? Math.min(750, 190 + 700 * (t - 42)) : 0),
        168: (t) => (cranks(t) ? 10.2 : t > 42 && t < 80 ? 14.2 : 12.6),
        1675: reported ? (t) => (cranks(t) ? 2 : t >= 42 && t < 80 ? 4 : 0) : null,
        3543: null,
      },
    }
  }

  test.each([true, false])('each is counted (starter mode reported: %s)', async (reported) => {
    const cranking = (await phasesOfRun(attempts(reported))).filter(({ kind }) => kind === 'cranking')
    expect(cranking.map(({ attempt }) => attempt)).toEqual([
      { number: 1, started: false },
      { number: 2, started: false },
      { number: 3, started: true },
    ])
    expect(cranking.map(({ basis }) => basis)).toEqual(Array(3).fill(reported ? 'reported' : 'inferred'))
    expect(seconds(cranking[0].to)).toBeCloseTo(16, 1)
  })

  test('without a sag of the battery an attempt is only probable', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 168: 12.5 } })
    expect(find(phases, 'cranking').basis).toBe('probable')
  })

  test('a controller that sends no speed while cranking: the battery shows the starter', async () => {
    const silentCrank = (t: number): number => (t < 14 || t >= 120 ? 0 : Math.min(750, 400 + 700 * (t - 14)))
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: silentCrank }, instants: { crank: 10 } })
    const cranking = find(phases, 'cranking')
    expect(cranking).toMatchObject({ basis: 'probable', attempt: { started: true } })
    expect(cranking.why).toContain('battery')
    expect(Math.abs(seconds(cranking.from) - 10)).toBeLessThanOrEqual(1)
  })

  test('a controller that restarts in cranking makes no second attempt', async () => {
    const phases = await phasesOfRun({ silent: [[12.5, 13.1]] })
    expect(phases.filter(({ kind }) => kind === 'cranking')).toHaveLength(1)
    expect(phases.at(-1)?.cycle).toBe(1)
  })

  test('an engine that catches and dies at once: a stall where the controller let the starter go, else a failed attempt', async () => {
    // 500 rpm for 0.3 s.
    const speed = (t: number): number =>
      t < 12 ? 0 : t < 14 ? 200 : t < 14.3 ? 500 : Math.max(0, 500 - 3000 * (t - 14.3))
    const released = (t: number): number => (t < 12 ? 0 : t < 14.2 ? 2 : t < 14.4 ? 3 : 0)
    const held = (t: number): number => (t < 12 || t >= 14.4 ? 0 : 2)
    const [one, other] = [
      await phasesOfRun({ signals: { 190: speed, 1675: released, 3543: null }, instants: { keyOff: 60, end: 40 } }),
      await phasesOfRun({ signals: { 190: speed, 1675: held, 3543: null }, instants: { keyOff: 60, end: 40 } }),
    ]
    expect(find(one, 'cranking').attempt?.started).toBe(true)
    expect(kindsOf(one)).toContain('stall')
    expect(find(other, 'cranking').attempt?.started).toBe(false)
    expect(kindsOf(other)).not.toContain('run-up')
  })

  test('a heater without a lamp on the bus is a probable preheating', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 1081: null } })
    expect(find(phases, 'preheat').basis).toBe('probable')
    expect(seconds(find(phases, 'preheat').from)).toBeCloseTo(2, 0)
  })
})

describe('the end of a run', () => {
  const stops = (t: number): number => (t < 12 ? 0 : t < 14 ? 200 : t < 60 ? 750 : Math.max(0, 750 - 1200 * (t - 60)))

  test('with the key on it is a stall', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: stops, 158: 12.6 } })
    expect(find(phases, 'stall')).toMatchObject({ basis: 'inferred' })
    expect(seconds(find(phases, 'stall').from)).toBeCloseTo(60, 0)
    expect(kindsOf(phases)).not.toContain('shutdown')
    expect(kindsOf(phases).at(-1)).toBe('key-on')
  })

  test('an engine that nearly dies and comes back by itself did not stop', async () => {
    // 300 rpm for two seconds and a half: below any idle, and never standing.
    const dips = (t: number): number => (t > 40 && t < 42.5 ? 300 : stops(t))
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: dips, 158: 12.6 } })
    expect(phases.filter(({ kind }) => kind === 'stall').map(({ from }) => Math.round(seconds(from)))).toEqual([60])
    phases.slice(1).forEach((phase, index) => {
      expect(phase.from).toBeGreaterThanOrEqual(phases[index].to)
    })
  })

  test('with the key off before, it was commanded', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: stops, 158: (t) => (t < 57.5 ? 12.6 : 0) } })
    expect(find(phases, 'shutdown').basis).toBe('inferred')
  })

  test('with both within a second nobody can say', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: stops, 158: (t) => (t < 60 ? 12.6 : 0) } })
    expect(find(phases, 'shutdown').basis).toBe('probable')
    expect(find(phases, 'shutdown').why).toContain('cannot be said')
  })

  test('without a key voltage a stop and a stall look the same', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: stops, 158: null } })
    expect(find(phases, 'shutdown').basis).toBe('probable')
  })

  test('a moment without speed is a lost signal, not a stop', async () => {
    const lost = (t: number): number => (t > 60 && t < 60.6 ? 0 : stops(Math.min(t, 59)))
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 190: lost }, instants: { keyOff: 200, end: 90 } })
    expect(kindsOf(phases)).not.toContain('stall')
    expect(kindsOf(phases).at(-1)).toMatch(/idle/)
  })
})

describe('recordings that begin and end anywhere', () => {
  const lines = printRun({ instants: { drive: [60, 90] } }).split('\n')
  const cut = async (from: number, to: number): Promise<Phase[]> => {
    const kept = lines.filter((line) => {
      const t = Number(line.slice(1, 18)) - KEY_ON / 1e6
      return t >= from && t < to
    })
    return phasesOf(await openRecording(utf8(`${kept.join('\n')}\n`), { summary: true }))
  }

  test.each([
    [30, 50, ['idle']],
    [65, 85, ['load']],
    [65, 110, ['load', 'idle']],
    [100, 124, ['idle', 'shutdown', 'after-run']],
    [9, 13, ['key-on', 'cranking']],
    [4, 6, ['preheat']],
    [122, 124, ['after-run']],
  ] as const)('from %d to %d s', async (from, to, kinds) => {
    expect(kindsOf(await cut(from, to))).toEqual(kinds)
  })

  test('cranking that the recording breaks off has not started', async () => {
    expect(find(await cut(9, 13), 'cranking').attempt).toEqual({ number: 1, started: false })
  })
})

describe('several key cycles', () => {
  /** A second run, so many seconds after the first. */
  const twice = async (later: number, claims: boolean): Promise<Phase[]> => {
    const first = printRun({})
    const second = printRun({
      others: claims ? [{ at: 0.04, pgn: 60928, da: 255, data: '01 00 60 00 00 00 00 00' }] : [],
    })
    const moved = second.replace(/^\((\d+)/gm, (_, whole) => `(${Number(whole) + later}`)
    return phasesOf(await openRecording(utf8(first + moved), { summary: true }))
  }

  test.each([
    [200, true],
    [200, false],
    [130, false],
  ])('%d s later, claim seen: %s', async (later, claims) => {
    const phases = await twice(later, claims)
    expect(
      phases.filter(({ kind }) => kind === 'cranking').map(({ cycle, attempt }) => [cycle, attempt?.number]),
    ).toEqual([
      [1, 1],
      [2, 1],
    ])
    expect(kindsOf(phases)).toEqual([...WHOLE, 'unknown', ...WHOLE])
  })
})

describe('what is missing', () => {
  test('without speed nothing is said of it, and never that it is zero', async () => {
    const phases = await phasesOfRun({ signals: UNREPORTED, without: [61444, 64914] })
    expect(kindsOf(phases)).toContain('unknown')
    expect(find(phases, 'unknown').why).toContain('no engine speed')
    for (const kind of ['cranking', 'idle', 'load', 'key-on'] as const) expect(kindsOf(phases)).not.toContain(kind)
  })

  test('without speed, reported states still tell', async () => {
    const phases = await phasesOfRun({ signals: { 190: null } })
    expect(kindsOf(phases)).toEqual(expect.arrayContaining(['preheat', 'cranking', 'after-run']))
    expect(find(phases, 'cranking').attempt?.started).toBe(true)
  })

  test('without a pedal, load is told from load and speed', async () => {
    const phases = await phasesOfRun({
      instants: { drive: [60, 90] },
      signals: { ...UNREPORTED, 91: null, 29: null, 558: null, 84: null },
    })
    expect(seconds(find(phases, 'load').from)).toBeCloseTo(60, 0)
    expect(kindsOf(phases)).toEqual(expect.arrayContaining(['idle-settle', 'load', 'idle']))
  })

  test('an idle with accessories at 30 % load is idle', async () => {
    const phases = await phasesOfRun({ signals: { ...UNREPORTED, 92: 30 } })
    expect(kindsOf(phases)).not.toContain('load')
  })

  test('bytes of FF everywhere are no numbers', async () => {
    const blank = Object.fromEntries(
      [190, 1675, 3543, 1081, 91, 92, 29, 558, 84, 158, 168, 110].map((spn) => [spn, () => undefined]),
    )
    const phases = await phasesOfRun({ signals: blank })
    expect(new Set(kindsOf(phases)).has('cranking')).toBe(false)
    expect(phases.every(({ kind }) => kind === 'unknown')).toBe(true)
  })

  test('an empty recording has no engine and no phases', async () => {
    expect(phasesOf(await openRecording(new Uint8Array(), { summary: true }))).toEqual([])
  })

  test('a hole of the recorder is unknown, and the run goes on behind it', async () => {
    const phases = await phasesOfRun({ silent: [[40, 50]] })
    const hole = find(phases, 'unknown')
    expect([seconds(hole.from), seconds(hole.to)].map(Math.round)).toEqual([40, 50])
    expect(hole.why).toContain('Nobody was heard')
    expect(hole.cycle).toBe(1)
    expect(phases.at(-1)?.cycle).toBe(1)
  })

  test('a clock that was set back does not upset the order', async () => {
    const lines = printRun({}).split('\n').filter(Boolean)
    const stepped = lines.map((line, index) =>
      index < lines.length / 2 ? line : line.replace(/^\((\d+)/, (_, whole) => `(${Number(whole) - 3600}`),
    )
    const phases = phasesOf(await openRecording(utf8(`${stepped.join('\n')}\n`), { summary: true }))
    expect(kindsOf(phases)).toEqual(WHOLE)
  })
})

test('two engines on one bus have phases of their own', async () => {
  const port = { instants: { lamp: [50, 50] } } as const
  const starboard = { sa: 1, instants: { lamp: [50, 50], crank: 30, fire: 33, keyOff: 90, end: 94 } } as const
  const engines = findEngines(await openRun(port, starboard))
  expect(engines.map((engine) => Math.round(seconds(find(findPhases(engine), 'cranking').from)))).toEqual([12, 30])
})

describe('against the truth of made-up runs', () => {
  const NAMES: Readonly<Record<string, PhaseKind>> = { 'idle-settle': 'idle', 'warm-idle': 'idle', stall: 'shutdown' }

  // Seeds 2 and 5: those used while the limits were chosen; others are kept for the evaluation.
  test.each([
    ['clean-first-start', 2],
    ['healthy-hot-restart', 2],
    ['poor-ground-in-crank', 5],
    ['dry-remote-filter', 5],
    ['crank-sensor-gap', 2],
    ['blocked-oil-hose', 5],
  ])('%s, seed %d: every boundary within a second and a half, most within 0.2 s', async (name, seed) => {
    const { text, truth } = writeLog(name, { seed })
    const phases = phasesOf(await openRecording(utf8(text), { summary: true }))
    const errors = truth.phases.flatMap(({ phase, from }) => {
      // Idle begins where somebody says that the run-up has ended: told apart only roughly.
      const micros = truth.startMicros + from * 1e6
      const near = phases.filter(({ kind }) => (NAMES[kind] ?? kind) === phase)
      const error = Math.min(...near.map((candidate) => Math.abs(candidate.from - micros) / 1e6))
      return [{ phase, error }]
    })
    for (const { phase, error } of errors) expect(error, phase).toBeLessThan(1.5)
    const small = errors.filter(({ error }) => error < 0.2).length
    expect(small / errors.length).toBeGreaterThan(0.6)
  })
})
