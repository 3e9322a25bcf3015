import { describe, expect, it } from 'vitest'
import { type PrintedTime, readTime } from './time.js'

/** Reads what stands between the brackets; digits and a bracket behind the end must not be seen. */
function read(inside: string): PrintedTime | undefined {
  const bytes = new TextEncoder().encode(`${inside}00.5)`)
  const out: PrintedTime = { time: -1, timeForm: 'none' }
  const end = inside.length
  const stop = readTime(bytes, 0, end, out)
  if (stop >= 0) expect(stop).toBe(end)
  else expect(out).toEqual({ time: -1, timeForm: 'none' })
  return stop < 0 ? undefined : out
}

describe('seconds', () => {
  it.each([
    ['1626905042.645596)', 1626905042645596],
    ['000.000000)', 0],
    ['143.800747)', 143800747],
    ['0.000001)', 1],
    // 0.29 has no exact binary form: 0.29 * 1e6 is 290000.00000000006 or 289999.99999999994 by luck.
    ['1436509052.29)', 1436509052290000],
    ['4.35)', 4350000],
    ['1.1)', 1100000],
    ['1)', 1000000],
    // Below a microsecond: cut off, never rounded up to the next one.
    ['1626905042.645596999)', 1626905042645596],
    ['0.9999999)', 999999],
    // The last second whose microseconds are all exact integers: 2^53 - 1 is 9007199254.740991 s.
    ['9007199253.999999)', 9007199253999999],
  ])('%s', (inside, time) => expect(read(inside)).toEqual({ time, timeForm: 'seconds' }))

  it.each([
    '',
    ')',
    '.5)',
    '1.)',
    '1.5',
    '1',
    '1,5)',
    '1.5.5)',
    ' 1.5)',
    '1.5 )',
    '-1.5)',
    '1e9)',
    '9007199254.000000)',
  ])('is none: %j', (inside) => expect(read(inside)).toBeUndefined())

  it('is none for more digits than a number holds', () => expect(read(`${'9'.repeat(400)}.0)`)).toBeUndefined())
})

describe('date and time of day', () => {
  it.each([
    // 2 h 41 min 33 s: 9693 s.
    ['1970-01-01 02:41:33.856148)', 9693856148],
    ['1970-01-01 00:00:00.000000)', 0],
    ['1969-12-31 17:00:00.25)', -25200000000 + 250000],
    // Day 18262 is 2020-01-01 (POSIX); 2020-02-29 is day 18321.
    ['2020-02-29 23:59:59.999999)', (18321 * 86400 + 86399) * 1e6 + 999999],
    ['2020-03-01 00:00:00)', 18322 * 86400 * 1e6],
    ['2020-03-01\t00:00:01.1234567)', (18322 * 86400 + 1) * 1e6 + 123456],
  ])('%s', (inside, time) => expect(read(inside)).toEqual({ time, timeForm: 'date' }))

  it.each([
    '2019-02-29 00:00:00.0)',
    '2020-00-10 00:00:00.0)',
    '2020-13-10 00:00:00.0)',
    '2020-04-31 00:00:00.0)',
    '2020-04-00 00:00:00.0)',
    '2020-04-10 24:00:00.0)',
    '2020-04-10 00:60:00.0)',
    '2020-04-10 00:00:60.0)',
    '1968-04-10 00:00:00.0)',
    '2255-01-01 00:00:00.0)',
    '2020-04-10T00:00:00.0)',
    '2020-4-10 00:00:00.00)',
    '2020/04/10 00:00:00.0)',
    '2020-04/10 00:00:00.0)',
    '2020-04-10 00.00.00.0)',
    '2020-04-10 00:00.00.0)',
    'a020-04-10 00:00:00.0)',
    '2020-04-10 0a:00:00.0)',
    '2020-04-10 00:00:00.)',
    '2020-04-10 00:00:00',
    '2020-04-10',
    '2020-',
  ])('is none: %j', (inside) => expect(read(inside)).toBeUndefined())

  it('is the same in every time zone', () => {
    const before = process.env['TZ']
    const inside = '2021-07-21 22:04:02.645596)'
    const times = ['UTC', 'America/Denver', 'Asia/Kathmandu'].map((zone) => {
      process.env['TZ'] = zone
      return [new Date(2021, 6, 21).getTimezoneOffset(), read(inside)?.time]
    })
    if (before === undefined) delete process.env['TZ']
    else process.env['TZ'] = before
    // Date.parse of the same text with a Z behind it.
    const expected = Date.parse('2021-07-21T22:04:02Z') * 1000 + 645596
    expect(times).toEqual([
      [0, expected],
      [360, expected],
      [-345, expected],
    ])
  })
})
