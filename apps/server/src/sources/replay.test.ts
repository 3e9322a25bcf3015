import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { ReplayControl, SourceState } from '@firstcrank/feed'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { LONGEST_SILENCE, type ReplayOptions, ReplaySource } from './replay.js'

let folder: string
let source: ReplaySource | undefined
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'firstcrank-replay-'))
})
afterEach(async () => {
  await source?.stop()
  await rm(folder, { recursive: true })
})

const START = 1_700_000_000_000_000
/** A line at so many milliseconds after the start. */
const at = (milliseconds: number): string => {
  const micros = String(START + milliseconds * 1_000)
  return `(${micros.slice(0, -6)}.${micros.slice(-6)}) can0 0CF00400#${milliseconds.toString(16).padStart(16, '0').toUpperCase()}\n`
}
const every = (step: number, count: number): string[] => Array.from({ length: count }, (_, i) => at(i * step))

/** Starts a replay of lines, and keeps what it says. */
async function replay(log: readonly string[], options: Partial<ReplayOptions> = {}) {
  const path = join(folder, 'run.log')
  await writeFile(path, log.join(''))
  const heard = { text: '', states: [] as SourceState[], restarts: 0, when: [] as number[] }
  const running = new ReplaySource(path, { title: 'run', ...options })
  source = running
  running.start({
    bytes: (chunk) => {
      heard.text += Buffer.from(chunk).toString()
      heard.when.push(performance.now())
    },
    state: (state) => heard.states.push(state),
    restarted: () => {
      heard.text = ''
      heard.restarts++
    },
  })
  await vi.waitUntil(() => heard.states.length > 0)
  const tell = (control: ReplayControl) => running.control(control)
  return { heard, tell, position: () => running.position }
}

describe('speed', () => {
  test.each([
    ['as fast as it was', 1, 400],
    ['four times as fast', 4, 400],
    ['half as fast', 0.5, 100],
  ])('%s', async (_, speed, milliseconds) => {
    const log = every(20, milliseconds / 20 + 1)
    const begun = performance.now()
    const { heard } = await replay(log, { speed })
    await vi.waitUntil(() => heard.text.length === log.join('').length, { timeout: 5_000, interval: 5 })
    const took = performance.now() - begun
    expect(took).toBeGreaterThan((milliseconds / speed) * 0.9)
    // Others may be using the machine: late is allowed, in the wrong ratio is not.
    expect(took).toBeLessThan(milliseconds / speed + 1_500)
    expect(heard.text).toBe(log.join(''))
  })

  test('a hundred times as fast, a log of several pieces comes whole', async () => {
    const log = every(1, 6_000)
    const { heard } = await replay(log, { speed: 100 })
    await vi.waitUntil(() => heard.states.at(-1) === 'paused', { timeout: 10_000 })
    expect(heard.text).toBe(log.join(''))
  })

  test('can be changed on the way', async () => {
    const log = every(100, 40)
    const { heard, tell, position } = await replay(log, { speed: 0.1 })
    await tell({ do: 'speed', speed: 100 })
    expect(position().speed).toBe(100)
    await vi.waitUntil(() => heard.states.at(-1) === 'paused', { timeout: 3_000 })
    expect(heard.text).toBe(log.join(''))
  })

  test('a long silence is shortened', async () => {
    const log = [at(0), at(3_600_000)]
    const begun = performance.now()
    const { heard } = await replay(log, { speed: 100 })
    await vi.waitUntil(() => heard.text === log.join(''), { timeout: 5_000 })
    expect(performance.now() - begun).toBeGreaterThan(LONGEST_SILENCE / 1_000 / 100 / 2)
  })
})

describe('control', () => {
  test('begins paused, steps frame by frame, plays on', async () => {
    const log = ['# a note\n', at(0), at(10), '; another\n', at(20), at(30)]
    const { heard, tell, position } = await replay(log, { paused: true })
    expect(heard.states).toEqual(['paused'])
    await tell({ do: 'step', frames: 1 })
    // A comment belongs to the frame behind it.
    expect(heard.text).toBe(`# a note\n${at(0)}`)
    await tell({ do: 'step', frames: 1 })
    expect(heard.text).toBe(`# a note\n${at(0)}${at(10)}`)
    expect(position().at).toBe(START + 10_000)
    await tell({ do: 'step', frames: 1 })
    expect(heard.text).toBe(log.slice(0, 5).join(''))
    await tell({ do: 'play' })
    await vi.waitUntil(() => heard.text === log.join(''))
    expect(heard.states).toEqual(['paused', 'live', 'paused'])
  })

  test('pauses: nothing comes until it plays again', async () => {
    const log = every(10, 200)
    const { heard, tell } = await replay(log, { speed: 2 })
    await vi.waitUntil(() => heard.text.length > 0)
    await tell({ do: 'pause' })
    const before = heard.text
    expect(before.length).toBeLessThan(log.join('').length)
    await new Promise((resolve) => setTimeout(resolve, 100))
    expect(heard.text).toBe(before)
    await tell({ do: 'speed', speed: 100 })
    expect(heard.text).toBe(before)
    await tell({ do: 'play' })
    await vi.waitUntil(() => heard.text === log.join(''))
  })

  test.each([
    ['in the middle', 2_500, 2_500],
    ['between two frames', 2_503, 2_510],
    ['before the beginning', -100, 0],
  ])('moves to a time %s', async (_, milliseconds, first) => {
    // More than one piece of the index.
    const log = every(10, 3_000)
    const { heard, tell } = await replay(log, { paused: true })
    await tell({ do: 'seek', time: START + milliseconds * 1_000 })
    expect(heard.restarts).toBe(1)
    await tell({ do: 'step', frames: 2 })
    expect(heard.text).toBe(at(first) + at(first + 10))
  })

  test('moves past the end, and plays from the beginning after that', async () => {
    const log = every(10, 20)
    const { heard, tell, position } = await replay(log, { paused: true })
    await tell({ do: 'seek', time: START + 1e9 })
    expect(position().at).toBe(START + 190_000)
    await tell({ do: 'step', frames: 1 })
    expect(heard.text).toBe('')
    await tell({ do: 'play' })
    await vi.waitUntil(() => heard.text === log.join(''))
  })

  test('loops until told not to', async () => {
    const log = every(5, 10)
    const { heard, tell, position } = await replay(log, { loop: true, speed: 10 })
    await vi.waitUntil(() => heard.restarts >= 2)
    expect(position().loop).toBe(true)
    await tell({ do: 'loop', loop: false })
    await vi.waitUntil(() => heard.states.at(-1) === 'paused')
    expect(heard.text).toBe(log.join(''))
  })

  test('obeys many at once, one after the other', async () => {
    const log = every(10, 100)
    const { heard, tell } = await replay(log)
    await Promise.all([
      tell({ do: 'pause' }),
      tell({ do: 'seek', time: START }),
      tell({ do: 'step', frames: 3 }),
      tell({ do: 'step', frames: 2 }),
    ])
    expect(heard.text).toBe(log.slice(0, 5).join(''))
  })

  test('begins where it is told', async () => {
    const log = every(10, 100)
    const { heard, tell, position } = await replay(log, { paused: true, from: START + 500_000 })
    expect(position()).toMatchObject({ from: START, to: START + 990_000, at: START + 500_000 })
    await tell({ do: 'step', frames: 1 })
    expect(heard.text).toBe(at(500))
  })
})

describe('logs', () => {
  test('without a newline at the end come whole', async () => {
    const { heard } = await replay([at(0), at(1).trimEnd()], { speed: 100 })
    await vi.waitUntil(() => heard.states.at(-1) === 'paused')
    expect(heard.text).toBe(at(0) + at(1))
  })

  test('whose clock was set back go on', async () => {
    const log = [at(50_000), at(50_010), at(10), at(20)]
    const { heard, position } = await replay(log, { speed: 10 })
    await vi.waitUntil(() => heard.text === log.join(''))
    expect(position().to - position().from).toBe(20_000)
  })

  test('with nothing in them are at their end', async () => {
    const { heard } = await replay([])
    expect(heard.states).toEqual(['live', 'paused'])
  })

  test('that are not there end the source with the reason', async () => {
    const states: string[] = []
    source = new ReplaySource(join(folder, 'none.log'), { title: 'none' })
    source.start({ bytes: () => undefined, restarted: () => undefined, state: (...told) => states.push(...told) })
    await vi.waitUntil(() => states.length > 0)
    expect(states[0]).toBe('ended')
    expect(states[1]).toMatch(/ENOENT/)
  })
})
