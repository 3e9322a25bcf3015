/** Whole reports, of runs made by hand. What single checks and causes find is tested beside them. */
import { openRecording } from '@firstcrank/decoder'
import { describe, expect, it } from 'vitest'
import { utf8 } from '../../../tests/support/log.js'
import { KEY_ON, openRun } from '../../../tests/support/made-run.js'
import { AnalysisError, analyse } from './analyse.js'
import { findCaution } from './cautions.js'
import { renderText } from './render/text.js'
import type { Report } from './report.js'

/** Every object in a report, however deep. */
function* objectsIn(value: unknown): Generator<object> {
  if (typeof value !== 'object' || value === null) return
  yield value
  for (const part of Object.values(value)) yield* objectsIn(part)
}

const healthy = analyse(await openRun({}), undefined, { name: 'run.log' })
/** The oil pressure stays at 8 kPa, and the controller says so from second 16 on. */
const dry = analyse(
  await openRun({
    signals: { 100: 8 },
    others: [16, 17, 18, 19].map((at) => ({ at, pgn: 65226, sa: 0, data: '10 FF 64 00 01 01 FF FF' })),
  }),
)

describe.each<[string, Report]>([
  ['of a healthy run', healthy],
  ['of a run without oil pressure', dry],
])('a report %s', (_, report) => {
  it('says what it is', () => {
    expect([report.schema, report.version]).toEqual(['firstcrank.report', 1])
  })

  it('is plain data: the same after a journey as JSON', () => {
    expect(JSON.parse(JSON.stringify(report))).toEqual(report)
  })

  it('holds no number that is none', () => {
    const wrong = [...objectsIn(report)].flatMap((object) =>
      Object.entries(object).filter(([, value]) => typeof value === 'number' && !Number.isFinite(value)),
    )
    expect(wrong).toEqual([])
  })

  it('places all evidence inside the recording', () => {
    const { from, to } = report.recording
    const checks = [...report.engines.flatMap((engine) => engine.checks), ...report.bus]
    const evidence = [...checks, ...report.findings].flatMap((item) => item.evidence)
    expect(evidence.length).toBeGreaterThan(0)
    // A bus load is that of a whole second of the clock.
    expect(evidence.filter((item) => item.from < from - 1e6 || item.to > to + 1e6 || item.from > item.to)).toEqual([])
  })

  it('counts every check once, judged or not', () => {
    const checks = [...report.engines.flatMap((engine) => engine.checks), ...report.bus]
    expect(Object.values(report.conclusion.counts).reduce((sum, count) => sum + count, 0)).toBe(checks.length)
    expect(new Set(checks.map(({ id }) => id)).size).toBe(checks.length)
  })

  it('holds the text of every caution it names, and the limits it used, each once', () => {
    const named = [...objectsIn(report)].flatMap((object) =>
      'cautions' in object && object !== report ? (object.cautions as string[]) : [],
    )
    const held = report.cautions.map(({ id }) => id)
    expect(named.filter((id) => findCaution(id) !== undefined && !held.includes(id))).toEqual([])
    expect(held).toContain('precedence')
    expect(new Set(report.limits.map(({ id }) => id)).size).toBe(report.limits.length)
    for (const { source } of report.limits) expect(source).not.toBe('')
  })

  it('has pictures of the start and of the whole recording', () => {
    expect(report.engines.map(({ figures }) => figures.map(({ id }) => id))).toEqual([['start', 'run']])
    for (const { from, to, plots } of report.engines[0].figures) {
      expect(to).toBeGreaterThan(from)
      for (const { traces } of plots) {
        for (const { least, greatest } of traces) {
          expect(greatest).toHaveLength(least.length)
          expect(least.some((value) => value !== null)).toBe(true)
          least.forEach((value, i) => {
            expect(value === null).toBe(greatest[i] === null)
            expect(value ?? 0).toBeLessThanOrEqual(greatest[i] ?? 0)
          })
        }
      }
    }
  })

  it('answers the four questions', () => {
    expect(report.conclusion.answers.map(({ id, answer }) => [id, answer !== ''])).toEqual([
      ['start', true],
      ['wrong', true],
      ['first', true],
      ['open', true],
    ])
  })
})

describe('a healthy run', () => {
  it('has no finding, and much that is left to do', () => {
    expect(healthy.findings).toEqual([])
    expect(healthy.conclusion.level).toBe('none-found')
    expect(healthy.conclusion.counts['not-judged']).toBeGreaterThan(0)
    expect(healthy.manual.length).toBeGreaterThan(30)
  })

  it('is called what the caller calls it', () => {
    expect(healthy.recording).toMatchObject({ name: 'run.log', dated: true, channels: ['can0'] })
    expect(healthy.recording.from).toBeGreaterThanOrEqual(KEY_ON)
    expect(healthy.profile).toBeNull()
  })
})

describe('a run without oil pressure', () => {
  it('says stop, first of all', () => {
    expect(dry.conclusion.verdict).toMatch(/^Stop\. Do not run the engine/)
    expect(dry.findings[0]).toMatchObject({ urgency: 'stop', faults: [{ sa: 0, spn: 100, fmi: 1 }] })
    expect(dry.next[0].cautions).toContain('no-oil-pressure')
  })

  it('shows when the fault was active', () => {
    const [start] = dry.engines[0].figures
    expect(start.lanes.map(({ spn, fmi, spans }) => [spn, fmi, spans.length])).toEqual([[100, 1, 1]])
  })

  it('asks for the oil by hand because of it', () => {
    expect(dry.manual.find(({ id }) => id === 'oil-level')?.because).toContain('oil-pressure-rise')
  })
})

describe('odd recordings', () => {
  const of = async (text: string) => analyse(await openRecording(utf8(text), { summary: true }))

  it('an empty one judges nothing, and says so', async () => {
    const report = await of('')
    expect(report.conclusion.level).toBe('nothing-judged')
    expect(report.recording).toMatchObject({ name: null, dated: false, frames: 0 })
    expect(report.conclusion.answers[0].answer).toContain('no engine controller')
  })

  it('one frame is no run', async () => {
    const report = await of('(12.000000) can0 0CF00400#F07D7D581B00F47D\n')
    expect(report.findings).toEqual([])
    expect(report.recording.dated).toBe(false)
  })

  it('one opened without a summary is a wrong call', async () => {
    const recording = await openRecording(utf8(''))
    expect(() => analyse(recording)).toThrow(AnalysisError)
    expect(() => analyse(recording)).toThrow(expect.objectContaining({ code: 'no-summary' }))
  })
})

describe('what is wrong with the log itself', () => {
  it('is told of a log that holds error frames only: it was no other bus', async () => {
    const lines = [0, 1, 2].map((at) => `(${at}.000000) can0 20000088#0000040300000000\n`).join('')
    const { recording, conclusion } = analyse(await openRecording(utf8(lines), { summary: true }))
    expect(recording.damage).toMatch(/^It holds error frames only: the recorder heard no whole message\./)
    expect(conclusion.verdict).toContain('It holds error frames only')
  })
})

describe('what nodes are called', () => {
  it('is the same everywhere in a report, with the number their address gives them', async () => {
    // A claim of address 0 by a NAME whose function is that of an engine.
    const claim = { at: 0.3, pgn: 60928, sa: 0, da: 255, data: '01 00 00 00 00 00 00 10' }
    const faults = [16, 17, 18].map((at) => ({ at, pgn: 65226, sa: 0, data: '10 FF 64 00 01 01 FF FF' }))
    const report = analyse(await openRun({ signals: { 100: 8 }, others: [claim, ...faults] }))
    expect(report.engines.map(({ title }) => title)).toEqual(['Engine 1 (address 0)'])
    expect(renderText(report)).toContain('SPN 100 FMI 1 from Engine 1 (address 0)')
    expect(renderText(report)).not.toMatch(/Engine \(address 0\)/)
  })
})
