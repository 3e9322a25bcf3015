import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { writeLog } from '@firstcrank/simulator'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
afterAll(() => rmSync(folder, { recursive: true }))
const file = (name: string, text: string): string => {
  const path = join(folder, name)
  writeFileSync(path, text)
  return path
}

// Simulated: an invented engine, started well, without oil pressure, and with a switch for a sensor.
const good = file('good.log', writeLog('clean-first-start', { duration: 60 }).text)
const dry = file('dry.log', writeLog('blocked-oil-hose').text)
const doubtful = file('doubtful.log', writeLog('oil-pressure-switch', { duration: 120 }).text)
const profile = file(
  'engine.json',
  '{ "version": 1, "title": "My engine", "units": "us", // a comment\n  "limits": { "crank-time.pass-to": { "value": 8, "source": "Manual, page 7" } } }',
)

describe('check', () => {
  test('has the verdict in its first lines, and says how much could be judged', async () => {
    const { stdout, stderr, exitCode } = await capture(['check', good])
    expect([exitCode, stderr]).toEqual([0, ''])
    const lines = stdout.split('\n')
    expect(lines[0]).toBe('First-start test sheet: good.log')
    expect(lines[2]).toMatch(/^No fault found in what could be judged: \d+ of \d+ checks\.$/)
    expect(lines.slice(3, 8).join('\n')).toMatch(
      /Was the first start good\? .*\n.*What is wrong\? .*\n.*What do I check first\? .*\n.*What could not be judged\? /s,
    )
    expect(Math.max(...lines.map((line) => [...line].length))).toBeLessThanOrEqual(100)
  })

  test.each<[string, Buffer, RegExp]>([
    ['an empty log', Buffer.alloc(0), /The log is\s+empty/],
    ['a letter', Buffer.from('Dear reader,\nno log.\n'), /Not one line of it is a frame/],
    [
      'another bus',
      Buffer.from('(1741678920.000000) can0 123#0102\n'),
      /None of its frames has the 29-bit\s+identifier/,
    ],
    ['half an archive', gzipSync(readFileSync(good)).subarray(0, 60_000), /damaged or ends\s+early/],
  ])('of %s says so in its verdict', async (_, bytes, words) => {
    const path = join(folder, 'damaged.log')
    writeFileSync(path, bytes)
    const { stdout, exitCode } = await capture(['check', path])
    expect(exitCode).toBe(0)
    expect(stdout.split('Was the first start good?')[0]).toMatch(words)
    const report = JSON.parse((await capture(['check', path, '--format', 'json'])).stdout)
    expect(report.recording.damage).toMatch(/empty|no text that candump|another bus|damaged/)
  })

  test('reads standard input', async () => {
    const { stdout, exitCode } = await capture(['check', '-'], writeLog('blocked-oil-hose').text)
    expect(exitCode).toBe(0)
    expect(stdout).toMatch(/^First-start test sheet\n\nStop\. Do not run the engine/)
  })

  test('writes a whole page of HTML', async () => {
    const { stdout } = await capture(['check', dry, '--format', 'html'])
    expect(stdout).toMatch(/^<!DOCTYPE html>[\s\S]*<\/html>\n$/)
    expect(stdout).toContain('<svg')
  })

  test('writes Markdown', async () => {
    const { stdout } = await capture(['check', dry, '--format', 'md'])
    expect(stdout).toMatch(/^# First-start test sheet: dry\.log\n/)
  })

  test('writes JSON of a stated version', async () => {
    const { stdout } = await capture(['check', dry, '--format', 'json'])
    const report = JSON.parse(stdout)
    expect(report).toMatchObject({ schema: 'firstcrank.report', version: 1, conclusion: { level: 'fail' } })
    expect(report.findings[0].urgency).toBe('stop')
  })

  test('takes the limits of a profile, says whose they are, and its units', async () => {
    const { stdout } = await capture(['check', good, '--profile', profile])
    expect(stdout).toContain('Profile: My engine.')
    expect(stdout).toContain('My engine: Manual, page 7: crank-time.pass-to 8 s')
    expect(stdout).toMatch(/oil-pressure-rise\.level\s+10\.2 psi/)
  })

  test('shows the units asked for', async () => {
    const metric = (await capture(['check', good, '--profile', profile, '--units', 'metric'])).stdout
    expect(metric).toMatch(/oil-pressure-rise\.level\s+70 kPa/)
    expect(metric).not.toMatch(/psi|°F/)
    expect((await capture(['check', good, '--units', 'us'])).stdout).toMatch(/°F/)
  })

  test.each<[string, string, string | undefined, number]>([
    ['a good run', good, 'caution', 0],
    ['a good run', good, 'fail', 0],
    ['a doubtful run', doubtful, undefined, 0],
    ['a doubtful run', doubtful, 'fail', 0],
    ['a doubtful run', doubtful, 'caution', 5],
    ['a bad run', dry, undefined, 0],
    ['a bad run', dry, 'fail', 5],
    ['a bad run', dry, 'caution', 5],
  ])('%s (%s) with --fail-on %s ends with %i, and is written all the same', async (_, log, level, code) => {
    const { exitCode, stdout, stderr } = await capture([
      'check',
      log,
      ...(level === undefined ? [] : ['--fail-on', level]),
    ])
    expect(exitCode).toBe(code)
    expect(stdout).toContain('CHECK BY HAND')
    expect(stderr).toMatch(code === 0 ? /^$/ : /^firstcrank: --fail-on \w+: .+\n$/)
  })

  test.each<[string, string[], number, RegExp]>([
    ['a level that is none', ['check', good, '--fail-on', 'warning'], 2, /--fail-on warning: it takes caution or fail/],
    ['units that are none', ['check', good, '--units', 'imperial'], 2, /--units imperial: it takes metric or us/],
    ['a form that is none', ['check', good, '--format', 'pdf'], 2, /check writes text, json, html, md/],
    ['a profile that is not there', ['check', good, '--profile', '/none'], 3, /--profile \/none: cannot read it/],
    ['a profile that is none', ['check', good, '--profile', good], 4, /--profile .*: cannot be used:\n {2}not JSON/],
    ['no log', ['check'], 2, /check needs a log/],
  ])('refuses %s', async (_, argv, code, complaint) => {
    const { exitCode, stdout, stderr } = await capture(argv)
    expect([exitCode, stdout]).toEqual([code, ''])
    expect(stderr).toMatch(complaint)
  })
})

describe('profile', () => {
  test('writes a template that can be used as it is', async () => {
    const { stdout, exitCode } = await capture(['profile'])
    expect(exitCode).toBe(0)
    expect(stdout).toContain('//')
    const template = file('template.json', stdout)
    expect(await capture(['profile', '--check', template])).toMatchObject({ exitCode: 0, stderr: '' })
  })

  test('says what is in a good one', async () => {
    const { stdout } = await capture(['profile', '--check', profile])
    expect(stdout).toContain('a profile that can be used')
    expect(stdout).toContain('My engine: 1 limit of its own, 0 nodes that must be there.')
  })

  test('takes one with a byte-order mark, as some editors write it', async () => {
    const marked = file('marked.json', `\ufeff${(await capture(['profile'])).stdout}`)
    expect(await capture(['profile', '--check', marked])).toMatchObject({ exitCode: 0, stderr: '' })
  })

  test('says of a bad one what is wrong and where', async () => {
    const wrong = file(
      'wrong.json',
      '{"version": 1, "title": "x", "engine": {"displacement": -3}, "limits": {"nothing": 1}}',
    )
    const { exitCode, stderr } = await capture(['profile', '--check', wrong])
    expect(exitCode).toBe(4)
    expect(stderr).toMatch(/cannot be used:\n {2}engine\.displacement: /)
  })

  test('takes no argument', async () => {
    const { exitCode, stderr } = await capture(['profile', profile])
    expect(exitCode).toBe(2)
    expect(stderr).toContain('firstcrank profile --check')
  })
})
