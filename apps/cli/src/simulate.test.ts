import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { SCENARIOS } from '@firstcrank/simulator'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
afterAll(() => rmSync(folder, { recursive: true }))
const SCENARIO = SCENARIOS[0].name

test('the list names every scenario', async () => {
  const { stdout, exitCode } = await capture(['simulate', '--list'])
  expect(exitCode).toBe(0)
  const names = stdout
    .split('\n')
    .slice(1, -1)
    .map((line) => line.trim().split(' ')[0])
  expect(names).toEqual(SCENARIOS.map(({ name }) => name))
})

test.each([[['nosuch']], [['nosuch', '--out', join(folder, 'none.log')]]])(
  'a scenario that is none is told first: %j',
  async (words) => {
    const { stderr, exitCode } = await capture(['simulate', ...words])
    expect(exitCode).toBe(2)
    expect(stderr).toMatch(/^firstcrank: simulate: .*"nosuch".*see: firstcrank simulate --list\n$/)
    expect(existsSync(join(folder, 'none.log'))).toBe(false)
  },
)

describe('a simulated log', () => {
  const log = join(folder, 'run.log')
  const truth = join(folder, 'run.json')
  const argv = ['simulate', SCENARIO, '--seed', '7', '--duration', '20']

  test('is written with what was injected', async () => {
    const { stdout, exitCode } = await capture([...argv, '--out', log, '--truth', truth])
    expect(exitCode).toBe(0)
    const told = JSON.parse(readFileSync(truth, 'utf8'))
    expect(told).toMatchObject({ version: 1, scenario: SCENARIO, seed: 7 })
    expect(readFileSync(log, 'utf8').trim().split('\n')).toHaveLength(told.frames)
    expect(stdout).toContain('Simulated: the engine and everything in the log are invented.')
  })

  test('is the same on standard output, and with the same seed', async () => {
    await capture([...argv, '--out', log])
    const { stdout } = await capture([...argv, '--out', '-'])
    expect(stdout).toBe(readFileSync(log, 'utf8'))
    const other = await capture(['simulate', SCENARIO, '--seed', '8', '--duration', '20', '--out', '-'])
    expect(other.stdout).not.toBe(stdout)
  })

  test('is one that the other commands read whole', async () => {
    await capture([...argv, '--out', log])
    const { stdout } = await capture(['summary', log, '--format', 'json'])
    const { lines, frames } = JSON.parse(stdout)
    expect(lines).toMatchObject({ malformed: 0, total: frames.extended })
  })

  test.each([
    ['standard output', '-', /^firstcrank: --truth needs the name of a file/],
    ['the log itself', join(folder, '.', 'same.log'), /^firstcrank: --out and --truth name the same file/],
  ])('keeps the truth out of %s', async (_, name, expected) => {
    const same = join(folder, 'same.log')
    const { stderr, exitCode } = await capture([...argv, '--out', same, '--truth', name])
    expect(exitCode).toBe(2)
    expect(stderr).toMatch(expected)
    expect(existsSync(same)).toBe(false)
  })

  test('takes numbers below zero', async () => {
    expect(await capture([...argv, '--ambient', '-10', '--out', '-'])).toMatchObject({ exitCode: 0, stderr: '' })
  })

  test('is refused outside what the engine can do, and then nothing is written', async () => {
    const nowhere = join(folder, 'never.log')
    const { stderr, exitCode } = await capture(['simulate', SCENARIO, '--ambient', '90', '--out', nowhere])
    expect(exitCode).toBe(2)
    expect(stderr).toMatch(/^firstcrank: simulate: ambient is 90; it may be /)
    expect(existsSync(nowhere)).toBe(false)
  })
})
