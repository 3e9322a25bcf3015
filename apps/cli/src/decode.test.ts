import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Writable } from 'node:stream'
import { gzipSync } from 'node:zlib'
import { decodeGroup } from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'
import { main } from './main.js'

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
afterAll(() => rmSync(folder, { recursive: true }))

/**
 * Made up to check the forms, not any engine. The first frame's engine speed, 12D1h, is that of the first
 * frame of an open recording of a truck: 602.125 rpm.
 */
const LOG = `(1436509052.249713) can0 0CF00400#F07D7DD11200F47D
(1436509052.250000) can1 18FEEE00#7DFEFFFFFFFFFFFF
(1436509053.000001) can0 18FEEE00#7D
(1436509053.500000) can0 18FECD00#00FFFFFFFFFFFFFF
(1436509054.000000) can0 18FF1234#0102030405060708
(1436509060.000000) can0 0CF00421#F07D7D000000F47D
`

const KEYS = ['t', 'channel', 'pgn', 'sa', 'da', 'spn', 'name', 'value', 'unit', 'raw', 'status']
const lines = async (...argv: string[]): Promise<string[]> => {
  const { stdout, exitCode } = await capture(['decode', '-', ...argv], LOG)
  expect(exitCode).toBe(0)
  return stdout.split('\n').slice(0, -1)
}
const objects = async (...argv: string[]): Promise<Record<string, unknown>[]> =>
  (await lines('--format', 'ndjson', ...argv)).map((line) => JSON.parse(line))

test('an archive that is cut short is told of, and what came before is shown', async () => {
  const whole = gzipSync(LOG.repeat(2000))
  const { stdout, stderr, exitCode } = await capture(['decode', '-', '--spn', '190'], whole.subarray(0, -100))
  expect(exitCode).toBe(0)
  expect(stdout.split('\n')[1]).toContain('602.125')
  expect(stderr).toBe('firstcrank: the compressed log is damaged or ends early; only what came before was read\n')
  expect((await capture(['decode', '-', '--spn', '190'], whole)).stderr).toBe('')
})

describe('ndjson', () => {
  test('is one object a line, with these keys in this order', async () => {
    const [speed] = await lines('--format', 'ndjson', '--spn', '190')
    expect(speed).toBe(
      '{"t":1436509052.249713,"channel":"can0","pgn":61444,"sa":0,"da":255,"spn":190,"name":"Engine speed","value":602.125,"unit":"rpm","raw":4817,"status":"valid"}',
    )
    for (const object of await objects()) {
      expect(Object.keys(object).slice(0, KEYS.length)).toEqual(KEYS)
      expect(['label', 'text', 'instance']).toEqual(expect.arrayContaining(Object.keys(object).slice(KEYS.length)))
    }
  })

  test('prints times with six decimals, exactly', async () => {
    const texts = await lines('--format', 'ndjson', '--spn', '110')
    expect(texts.map((line) => line.slice(0, 22))).toEqual(['{"t":1436509052.250000', '{"t":1436509053.000001'])
  })

  test('has a label for a state, and no number where there is no value', async () => {
    const [mode] = await objects('--spn', '899')
    expect(mode).toMatchObject({ value: 0, unit: null, raw: 0, status: 'valid', label: expect.any(String) })
    const [fuel] = await objects('--spn', '174')
    expect(fuel).toMatchObject({ value: null, unit: '°C', raw: 0xfe, status: 'error' })
    expect(Object.keys(fuel)).toEqual(KEYS)
  })

  test('leaves out signals that a short payload does not hold', async () => {
    const found = await objects('--pgn', '65262', '--channel', 'can0')
    expect(found.map(({ spn }) => spn)).toEqual([110])
  })

  test('has text for text', async () => {
    // "A1*B22*" by BAM: made up. Group and field order: see the catalogue's sources for PGN 65259.
    const log = `(1.000000) can0 1CECFF00#20080002FFEBFE00
(1.100000) can0 1CEBFF00#0141312A4232322A
(1.200000) can0 1CEBFF00#022AFFFFFFFFFFFF
`
    const { stdout } = await capture(['decode', '-', '--format', 'ndjson', '--pgn', '65259'], log)
    const found = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line))
    expect(found[0]).toMatchObject({ t: 1.2, spn: 586, value: null, unit: null, status: 'valid', text: 'A1' })
    expect(found[1]).toMatchObject({ spn: 587, text: 'B22' })
  })

  test('says what the library says, for any bytes', async () => {
    const groups = [61444, 65262, 65263, 65265, 61443].map((pgn) => findGroup(pgn)!)
    const frame = fc.record({
      group: fc.constantFrom(...groups),
      data: fc.uint8Array({ minLength: 0, maxLength: 8 }),
    })
    const hex = (data: Uint8Array) => Buffer.from(data).toString('hex').toUpperCase()
    await fc.assert(
      fc.asyncProperty(fc.array(frame, { minLength: 1, maxLength: 40 }), async (frames) => {
        const log = frames
          .map(
            ({ group, data }, at) =>
              `(1000.${String(at).padStart(6, '0')}) can0 18${hex(Buffer.from([group.pgn >> 8, group.pgn & 255]))}00#${hex(data)}\n`,
          )
          .join('')
        const expected = frames.flatMap(({ group, data }) =>
          decodeGroup(group, data).map(({ definition: _, ...value }) => value),
        )
        const { stdout } = await capture(['decode', '-', '--format', 'ndjson', '--absolute'], log)
        const found = stdout
          .split('\n')
          .slice(0, -1)
          .map((line) => {
            const { t: _t, channel: _c, pgn: _p, sa: _s, da: _d, ...value } = JSON.parse(line)
            return value
          })
        expect(found).toEqual(expected)
      }),
      { numRuns: 60 },
    )
  })
})

describe('repeated parts of a group', () => {
  const definitions = join(folder, 'blocks.json')
  writeFileSync(
    definitions,
    JSON.stringify({
      version: 1,
      source: 'made up for this test',
      groups: [
        {
          pgn: 65313,
          acronym: 'ROW',
          name: 'Row of sensors',
          length: 'variable',
          signals: [{ kind: 'state', spn: 520192, name: 'Mode', at: '1', bits: 8, states: { 2: 'two, "quoted"' } }],
          repeat: {
            at: 2,
            bytes: 2,
            signals: [{ kind: 'numeric', spn: 520193, name: 'Gap', at: '1', bits: 16, resolution: 0.5, unit: 'mm' }],
          },
        },
      ],
    }),
  )
  const log = '(5.000000) can0 18FF2110#020100FEFF030000\n'
  const decode = (...argv: string[]) => capture(['decode', '-', '--definitions', definitions, ...argv], log)

  test('carry the number of their block in ndjson', async () => {
    const { stdout } = await decode('--format', 'ndjson')
    expect(
      stdout
        .trim()
        .split('\n')
        .map((line) => JSON.parse(line)),
    ).toMatchObject([
      { spn: 520192, label: 'two, "quoted"' },
      { spn: 520193, value: 0.5, instance: 0 },
      { spn: 520193, value: null, status: 'not-available', instance: 1 },
      { spn: 520193, value: 1.5, instance: 2 },
    ])
  })

  test('and in csv, where quotes are doubled', async () => {
    const { stdout } = await decode('--format', 'csv')
    expect(stdout.split('\r\n').slice(1)).toEqual([
      '5.000000,can0,65313,16,255,520192,Mode,2,,2,valid,"two, ""quoted""",,',
      '5.000000,can0,65313,16,255,520193,Gap,0.5,mm,1,valid,,,0',
      '5.000000,can0,65313,16,255,520193,Gap,,mm,65534,not-available,,,1',
      '5.000000,can0,65313,16,255,520193,Gap,1.5,mm,3,valid,,,2',
      '',
    ])
  })

  test('can be chosen by SPN alone', async () => {
    const { stdout } = await decode('--format', 'csv', '--spn', '520193')
    expect(stdout.split('\r\n')).toHaveLength(5)
  })
})

test('csv has a header and one value a line', async () => {
  const { stdout } = await capture(['decode', '-', '--format', 'csv', '--spn', '190,174'], LOG)
  expect(stdout).toBe(
    [
      't,channel,pgn,sa,da,spn,name,value,unit,raw,status,label,text,instance',
      '1436509052.249713,can0,61444,0,255,190,Engine speed,602.125,rpm,4817,valid,,,',
      '1436509052.250000,can1,65262,0,255,174,Engine fuel temperature 1,,°C,254,error,,,',
      '1436509060.000000,can0,61444,33,255,190,Engine speed,0,rpm,0,valid,,,',
      '',
    ].join('\r\n'),
  )
})

test('the table counts its times from the first frame', async () => {
  expect(await lines('--spn', '190,110,174')).toEqual([
    '      time s  channel  from  to    group         SPN  signal                                        value',
    '    0.000000  can0        0  all   EEC1          190  Engine speed                                  602.125 rpm',
    '    0.000287  can1        0  all   ET1           110  Engine coolant temperature                    85 °C',
    '    0.000287  can1        0  all   ET1           174  Engine fuel temperature 1                     error reported by the sender (raw FE)',
    '    0.750288  can0        0  all   ET1           110  Engine coolant temperature                    85 °C',
    '    7.750287  can0       33  all   EEC1          190  Engine speed                                  0.000 rpm',
  ])
})

describe('filters', () => {
  const places = async (...argv: string[]) =>
    (await objects('--spn', '190,110', ...argv)).map(({ t, channel, sa, spn }) => [t, channel, sa, spn].join(' '))
  const [speed, coolant1, coolant2, other] = [
    '1436509052.249713 can0 0 190',
    '1436509052.25 can1 0 110',
    '1436509053.000001 can0 0 110',
    '1436509060 can0 33 190',
  ]

  test.each<[string, string[], string[]]>([
    ['none', [], [speed, coolant1, coolant2, other]],
    ['address', ['--sa', '0x21'], [other]],
    ['addresses', ['--sa', '0,33'], [speed, coolant1, coolant2, other]],
    ['group', ['--pgn', '0xFEEE'], [coolant1, coolant2]],
    ['interface', ['--channel', 'can1'], [coolant1]],
    ['interfaces, the option twice', ['--channel', 'can1', '--channel', 'can0'], [speed, coolant1, coolant2, other]],
    ['all together', ['--pgn', '65262', '--channel', 'can0', '--sa', '0'], [coolant2]],
    ['from, after the first frame', ['--from', '0.000287'], [coolant1, coolant2, other]],
    ['to, itself included', ['--to', '0.000287'], [speed, coolant1]],
    ['both', ['--from', '0.5', '--to', '1'], [coolant2]],
    ['seconds since the epoch', ['--from', '1436509053', '--to', '1436509054'], [coolant2]],
    [
      'a date in UTC',
      ['--from', '2015-07-10T06:17:32.250', '--to', '2015-07-10 06:17:33.000001Z'],
      [coolant1, coolant2],
    ],
  ])('by %s', async (_name, argv, expected) => {
    expect(await places(...argv)).toEqual(expected)
  })
})

describe('nothing to show', () => {
  test.each<[string, string[], RegExp]>([
    [
      'a diagnostic message',
      ['--pgn', '65229'],
      /no signals are defined for PGN 65229 \(1 message\); see firstcrank faults/,
    ],
    [
      'a group without definition',
      ['--pgn', '65298'],
      /PGN 65298 \(1 message\); describe them with --definitions, or see their bytes with --messages/,
    ],
    ['an SPN nobody carries', ['--spn', '524287'], /no definition carries SPN 524287/],
    ['an interface that is not there', ['--channel', 'can7'], /there is no can7 in the log, only can0 and can1/],
    [
      'a time without values',
      ['--spn', '190', '--from', '1', '--to', '2'],
      /nothing that was asked for was sent in that time/,
    ],
    ['an SPN that did not come', ['--spn', '84'], /nothing that was asked for was sent/],
  ])('says why: %s', async (_name, argv, reason) => {
    const { stderr, stdout, exitCode } = await capture(['decode', '-', '--format', 'ndjson', ...argv], LOG)
    expect(stdout).toBe('')
    expect(stderr).toMatch(/^firstcrank: no values: /)
    expect(stderr).toMatch(reason)
    expect(exitCode).toBe(0)
  })

  test.each<[string, string, string]>([
    ['an empty log', '', 'the log is empty'],
    [
      'a text that is no log',
      'Dear diary\n',
      'not one line of the log is a frame; firstcrank reads the text that candump writes, plain or gzip',
    ],
    [
      '11-bit frames only',
      '(1.0) can0 123#00\n',
      'the log holds no frame with a 29-bit identifier; see firstcrank summary',
    ],
  ])('%s', async (_name, log, reason) => {
    expect((await capture(['decode', '-'], log)).stderr).toBe(`firstcrank: no values: ${reason}\n`)
    expect((await capture(['decode', '-', '--messages'], log)).stderr).toBe(`firstcrank: no messages: ${reason}\n`)
  })
})

test('a gzipped file gives the same as the plain one', async () => {
  const plain = join(folder, 'run.log')
  const packed = join(folder, 'run.log.gz')
  writeFileSync(plain, LOG.repeat(2000))
  writeFileSync(packed, gzipSync(LOG.repeat(2000)))
  const expected = await capture(['decode', plain, '--format', 'csv'])
  expect(expected.stdout.length).toBeGreaterThan(1_000_000)
  expect(await capture(['decode', packed, '--format', 'csv'])).toEqual(expected)
})

test('stops early where nothing more can come', async () => {
  let read = 0
  const log = Array.from(
    { length: 400_000 },
    (_, at) =>
      `(${1000 + Math.floor(at / 1000)}.${String((at % 1000) * 1000).padStart(6, '0')}) can0 18FEEE00#7DFFFFFFFFFFFFFF\n`,
  ).join('')
  const bytes = Buffer.from(log)
  const chunks = {
    async *[Symbol.asyncIterator]() {
      for (; read < bytes.length; read += 65_536) yield bytes.subarray(read, read + 65_536)
    },
  }
  const sink = () => new Writable({ write: (_chunk, _encoding, done) => done() })
  expect(await main(['decode', '-', '--to', '2'], { stdin: chunks, stdout: sink(), stderr: sink() })).toBe(0)
  expect(read).toBeLessThan(bytes.length / 20)
})
