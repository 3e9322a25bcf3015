import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { writeLog } from '@firstcrank/simulator'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
afterAll(() => rmSync(folder, { recursive: true }))
const runs = join(folder, 'runs')
mkdirSync(runs)
mkdirSync(join(folder, 'empty'))
const file = (path: string, text: string): string => {
  writeFileSync(path, text)
  return path
}

// Simulated: an invented engine, first without its air-mass sensor, then whole.
const after = file(join(runs, 'whole.log'), writeLog('clean-first-start', { duration: 90 }).text)
const before = file(join(runs, 'unplugged.log'), writeLog('missing-air-mass-signal', { duration: 90 }).text)
const notes = file(join(folder, 'work.json'), '[{"at": "2025-03-13T16:00:00Z", "text": "Sensor plugged in"}]')
const wrong = file(join(folder, 'wrong.json'), '[{"at": "yesterday", "text": "?"}]')

describe('compare', () => {
  test('has the grade in its first lines', async () => {
    const { stdout, stderr, exitCode } = await capture(['compare', before, after])
    expect([exitCode, stderr]).toEqual([0, ''])
    expect(stdout.split('\n').slice(0, 3)).toEqual([
      'Before and after: unplugged.log, whole.log',
      '',
      expect.stringMatching(/^Proved by direct evidence: SPN 132 FMI 4, /),
    ])
    expect(Math.max(...stdout.split('\n').map((line) => [...line].length))).toBeLessThanOrEqual(100)
  })

  test('writes JSON of a stated version', async () => {
    const comparison = JSON.parse((await capture(['compare', before, after, '--format', 'json'])).stdout)
    expect(comparison).toMatchObject({ schema: 'firstcrank.comparison', version: 1 })
    expect(comparison.faults[0]).toMatchObject({ spn: 132, fmi: 4, change: 'gone', grade: 'proved' })
  })

  test('the other way round the fault is new', async () => {
    const { stdout } = await capture(['compare', after, before, '--format', 'md'])
    expect(stdout).toMatch(/^# Before and after: whole\.log, unplugged\.log\n/)
    expect(stdout).toContain('New in the later run: SPN 132 FMI 4')
  })

  test('writes a whole page of HTML', async () => {
    const { stdout } = await capture(['compare', before, after, '--format', 'html'])
    expect(stdout).toMatch(/^<!DOCTYPE html>[\s\S]*<\/html>\n$/)
  })

  test.each<[string, string[], number, RegExp]>([
    ['one log', ['compare', before], 2, /compare needs two logs/],
    ['three logs', ['compare', before, after, after], 2, /one too many/],
    ['standard input twice', ['compare', '-', '-'], 2, /only one of the two/],
    ['a log that is not there', ['compare', before, '/none.log'], 3, /cannot read \/none\.log/],
    ['units that are none', ['compare', before, after, '--units', 'x'], 2, /it takes metric or us/],
  ])('refuses %s', async (_, argv, code, complaint) => {
    const { exitCode, stdout, stderr } = await capture(argv)
    expect([exitCode, stdout]).toEqual([code, ''])
    expect(stderr).toMatch(complaint)
  })
})

describe('history', () => {
  test('puts the runs of a folder in order of time, with the notes between them', async () => {
    const { stdout, stderr, exitCode } = await capture(['history', runs, '--notes', notes])
    expect([exitCode, stderr]).toEqual([0, ''])
    expect(stdout).toMatch(/whole\.log; 0 active[\s\S]*note: Sensor plugged in[\s\S]*unplugged\.log; 1 active/)
    expect(stdout).toMatch(/SPN 132 FMI 4 .*not listed.*active/s)
  })

  test('takes the times of notes for UTC where they name no zone, on every machine', async () => {
    const written = file(
      join(folder, 'zones.json'),
      `\ufeff${JSON.stringify(
        ['2025-03-13T16:00', '2025-03-13 16:00:00', '2025-03-13T17:30:00+01:30', '2025-03-13'].map((at) => ({
          at,
          text: at,
        })),
      )}`,
    )
    const zone = process.env['TZ']
    process.env['TZ'] = 'Pacific/Auckland'
    try {
      const { stdout } = await capture(['history', after, '--notes', written, '--format', 'json'])
      const times = JSON.parse(stdout).notes.map(({ time }: { time: number }) => time / 1e6)
      const afternoon = Date.UTC(2025, 2, 13, 16) / 1000
      expect(times).toEqual([afternoon - 16 * 3600, afternoon, afternoon, afternoon])
    } finally {
      if (zone === undefined) delete process.env['TZ']
      else process.env['TZ'] = zone
    }
  })

  test('writes JSON of a stated version', async () => {
    const history = JSON.parse((await capture(['history', before, after, '--format', 'json'])).stdout)
    expect(history).toMatchObject({ schema: 'firstcrank.history', version: 1, sameVehicle: 'same' })
    expect(history.faults).toMatchObject([{ spn: 132, runs: ['not-listed', 'active'] }])
    expect(history.figures.find((row: { id: string }) => row.id === 'crank-time').runs).toHaveLength(2)
  })

  test.each<[string, string[], number, RegExp]>([
    ['no folder', ['history'], 2, /needs a folder/],
    ['an empty folder', ['history', join(folder, 'empty')], 3, /no file in it ends in \.log/],
    ['notes that are none', ['history', runs, '--notes', wrong], 4, /each note has "at"/],
    ['notes that are not there', ['history', runs, '--notes', '/none.json'], 3, /--notes \/none\.json: cannot read/],
  ])('refuses %s', async (_, argv, code, complaint) => {
    const { exitCode, stdout, stderr } = await capture(argv)
    expect([exitCode, stdout]).toEqual([code, ''])
    expect(stderr).toMatch(complaint)
  })
})
