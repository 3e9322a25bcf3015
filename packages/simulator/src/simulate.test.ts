import { describe, expect, it } from 'vitest'
import { SimulationError } from './error.js'
import { SAMPLE_LOGS, simulateSample } from './samples.js'
import { SCENARIOS } from './scenarios/index.js'
import { simulate, writeLog } from './simulate.js'

const NAME = 'clean-first-start'

describe('the same and not the same', () => {
  it('the same seed gives the same text and truth, byte for byte', () => {
    expect(writeLog(NAME, { seed: 5, duration: 20 })).toEqual(writeLog(NAME, { seed: 5, duration: 20 }))
  })

  it('another seed, another text', () => {
    expect(writeLog(NAME, { seed: 5, duration: 5 }).text).not.toBe(writeLog(NAME, { seed: 6, duration: 5 }).text)
  })

  it('an intermittent failure comes at other times with another seed', () => {
    const onsets = [1, 2, 3].map((seed) =>
      writeLog('terminator-contact', { seed, duration: 80 }).truth.injected[0]?.appearances.map(({ from }) => from),
    )
    expect(new Set(onsets.map(String)).size).toBe(3)
  })

  it('the recorder’s interest in errors does not change the truck', () => {
    const withErrors = writeLog('terminator-contact', { duration: 60, errorFrames: true })
    const without = writeLog('terminator-contact', { duration: 60, errorFrames: false })
    expect(withErrors.text).toContain(' can0 20000088#')
    expect(without.text).not.toContain(' can0 2000')
    expect(without.truth.injected).toEqual(withErrors.truth.injected)
  })
})

describe('reading', () => {
  it('comes in pieces that end at line ends and make the whole', () => {
    const pieces = [...simulate(NAME, { duration: 40 }).chunks]
    expect(pieces.length).toBeGreaterThan(3)
    for (const piece of pieces) expect(piece.endsWith('\n')).toBe(true)
    for (const piece of pieces.slice(0, -1)) expect(piece.length).toBeGreaterThanOrEqual(65_536)
    expect(pieces.join('')).toBe(writeLog(NAME, { duration: 40 }).text)
  })

  it('every line is a frame with rising time, on the interface asked for', () => {
    const { text, truth } = writeLog(NAME, { duration: 15, interface: 'can7' })
    const lines = text.split('\n').filter(Boolean)
    expect(lines).toHaveLength(truth.frames)
    let last = 0
    for (const line of lines) {
      const match = /^\((\d{10}\.\d{6})\) can7 [0-9A-F]{8}#([0-9A-F]{2}){0,8}$/.exec(line)
      expect(match).not.toBeNull()
      const time = Number(match?.[1])
      expect(time).toBeGreaterThan(last)
      last = time
    }
    expect(Number(lines[0]?.slice(1, 18))).toBeGreaterThan(truth.startMicros / 1e6)
  })

  it('stops when told to', () => {
    const { truth } = writeLog(NAME, { duration: 7.5 })
    expect(truth.duration).toBe(7.5)
  })

  it('tells the truth only when it is known', () => {
    const simulation = simulate(NAME, { duration: 3 })
    expect(() => simulation.truth()).toThrow(expect.objectContaining({ code: 'not-finished' }))
    for (const _ of simulation.chunks);
    expect(simulation.truth().scenario).toBe(NAME)
  })
})

describe('options', () => {
  it('change what they name', () => {
    const { truth } = writeLog(NAME, { duration: 3, ambient: -12, altitude: 3000 })
    expect(Math.abs(truth.surroundings.ambient + 12)).toBeLessThan(1.5)
    expect(Math.abs(truth.surroundings.pressure - 70.1)).toBeLessThan(1.2)
    const mild = writeLog('poor-ground-in-crank', { duration: 20, severity: 0.3 }).truth
    expect(mild.episodes).toEqual([])
  })

  it.each([
    ['unknown-scenario', () => simulate('no-such-thing')],
    ['unknown-sample', () => simulateSample('no-such-thing.log')],
    ['bad-option', () => simulate(NAME, { seed: -1 })],
    ['bad-option', () => simulate(NAME, { seed: 1.5 })],
    ['bad-option', () => simulate(NAME, { ambient: 80 })],
    ['bad-option', () => simulate(NAME, { altitude: Number.NaN })],
    ['bad-option', () => simulate(NAME, { duration: -1 })],
    ['bad-option', () => simulate(NAME, { interface: 'can 0' })],
  ])('%s', (code, call) => {
    expect(call).toThrow(SimulationError)
    expect(call).toThrow(expect.objectContaining({ code }))
  })
})

describe('scenarios and samples', () => {
  it('has names in trade words, each once, with a story and a conclusion', () => {
    expect(new Set(SCENARIOS.map(({ name }) => name)).size).toBe(SCENARIOS.length)
    expect(SCENARIOS.length).toBeGreaterThanOrEqual(20)
    for (const { name, title, story, diagnosis, start } of SCENARIOS) {
      expect(name).toMatch(/^[a-z0-9]+(-[a-z0-9]+)+$/)
      expect(title.length).toBeGreaterThan(10)
      expect(story.length).toBeGreaterThan(60)
      expect(diagnosis.length).toBeGreaterThan(10)
      expect(new Date(start).toISOString()).toBe(start.replace('Z', '.000Z'))
    }
  })

  it('every sample names a scenario, a seed of its own and a file once', () => {
    expect(new Set(SAMPLE_LOGS.map(({ file }) => file)).size).toBe(SAMPLE_LOGS.length)
    expect(new Set(SAMPLE_LOGS.map(({ options }) => options.seed)).size).toBe(SAMPLE_LOGS.length)
    for (const { file, scenario } of SAMPLE_LOGS) {
      expect(file).toMatch(/^[a-z-]+\.log(\.gz)?$/)
      expect(simulateSample(file).scenario.name).toBe(scenario)
    }
  })
})

it('uses no function whose last digit the language leaves open', async () => {
  const { readdir, readFile } = await import('node:fs/promises')
  const root = new URL('.', import.meta.url)
  const files = (await readdir(root, { recursive: true })).filter(
    (file) => file.endsWith('.ts') && !file.endsWith('.test.ts'),
  )
  expect(files.length).toBeGreaterThan(40)
  const open =
    /Math\.(exp|expm1|log\w*|pow|sin\w*|cos\w*|tan\w*|a(sin|cos|tan)\w*|cbrt|hypot|random)\b|\w \*\* |Date\.now/
  for (const file of files) {
    const code = (await readFile(new URL(file, root), 'utf8')).replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '')
    expect(open.exec(code)?.[0], file).toBeUndefined()
  }
})
