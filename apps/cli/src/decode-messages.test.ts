/** `decode --messages`: each message with its bytes, defined or not. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { readMessages } from '@firstcrank/decoder'
import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
afterAll(() => rmSync(folder, { recursive: true }))

/** Made up: single frames of a known group, of a maker's own, of no group known here, and one without data. */
const SINGLE = `(1436509052.249713) can0 0CF00400#F07D7DD11200F47D
(1436509052.250000) can1 18FF2117#0102030405060708
(1436509053.000001) can0 18EF0021#ab
(1436509053.500000) can0 19FDFF2A#
(1436509054.000000) can0 123#00
`

/** "A1*B22*" by BAM, then nine bytes of a maker's own group by RTS and CTS: made up, laid out as in J1939-21. */
const MANY_FRAMES = `(1.000000) can0 1CECFF00#20080002FFEBFE00
(1.100000) can0 1CEBFF00#0141312A4232322A
(1.200000) can0 1CEBFF00#022AFFFFFFFFFFFF
(2.000000) can0 18EC2103#10090002FF00EF00
(2.001000) can0 1CEC0321#110201FFFF00EF00
(2.002000) can0 18EB2103#0101020304050607
(2.003000) can0 18EB2103#020809FFFFFFFFFF
(2.004000) can0 1CEC0321#13090002FF00EF00
`

const decode = (log: string | Uint8Array, ...argv: string[]) => capture(['decode', '-', '--messages', ...argv], log)
const objects = async (log: string | Uint8Array, ...argv: string[]): Promise<Record<string, unknown>[]> => {
  const { stdout, stderr, exitCode } = await decode(log, '--format', 'ndjson', ...argv)
  expect({ stderr, exitCode }).toEqual({ stderr: '', exitCode: 0 })
  return stdout
    .split('\n')
    .slice(0, -1)
    .map((line) => JSON.parse(line))
}

describe('forms', () => {
  test('the table says of each group whether it is known', async () => {
    const { stdout } = await decode(SINGLE)
    expect(stdout.split('\n')).toEqual([
      '      time s  channel  from  to    priority     PGN  group        sent as   bytes  data',
      '    0.000000  can0        0  all          3   61444  EEC1         single        8  F0 7D 7D D1 12 00 F4 7D',
      "    0.000287  can1       23  all          6   65313  maker's own  single        8  01 02 03 04 05 06 07 08",
      "    0.750288  can0       33  0            6   61184  maker's own  single        1  AB",
      '    1.250287  can0       42  all          6  130559  not defined  single        0  none',
      '',
    ])
  })

  test('ndjson is one object a line, with these keys in this order', async () => {
    const { stdout } = await decode(SINGLE, '--format', 'ndjson')
    expect(stdout.split('\n').slice(0, 2)).toEqual([
      '{"t":1436509052.249713,"channel":"can0","pgn":61444,"acronym":"EEC1","name":"Electronic engine controller 1","defined":true,"sa":0,"da":255,"priority":3,"transport":"single","length":8,"data":"F07D7DD11200F47D"}',
      '{"t":1436509052.250000,"channel":"can1","pgn":65313,"acronym":null,"name":null,"defined":false,"sa":23,"da":255,"priority":6,"transport":"single","length":8,"data":"0102030405060708"}',
    ])
  })

  test('csv has a header, and a message a line', async () => {
    const { stdout } = await decode(SINGLE, '--format', 'csv', '--sa', '0,42')
    expect(stdout.split('\r\n')).toEqual([
      't,channel,pgn,acronym,name,defined,sa,da,priority,transport,length,data',
      '1436509052.249713,can0,61444,EEC1,Electronic engine controller 1,true,0,255,3,single,8,F07D7DD11200F47D',
      '1436509053.500000,can0,130559,,,false,42,255,6,single,0,',
      '',
    ])
  })

  test('an own definition names its group', async () => {
    const file = join(folder, 'own.json')
    const group = { pgn: 65313, acronym: 'ABOX', name: 'Air box, rear', length: 8, signals: [] }
    const signals = [{ kind: 'numeric', spn: 520192, name: 'Pressure', at: '2', bits: 8, resolution: 1, unit: 'kPa' }]
    writeFileSync(file, JSON.stringify({ version: 1, source: 'made up', groups: [{ ...group, signals }] }))
    const { stdout } = await decode(SINGLE, '--format', 'csv', '--definitions', file, '--pgn', '65313')
    expect(stdout.split('\r\n')[1]).toContain(',65313,ABOX,"Air box, rear",true,23,')
  })
})

describe('messages of more than one frame', () => {
  test('come whole, when complete, after the frames they were made of', async () => {
    const found = await objects(MANY_FRAMES, '--absolute')
    expect(found.map(({ t, pgn, transport, length }) => [t, pgn, transport, length])).toEqual([
      [1, 60416, 'single', 8],
      [1.1, 60160, 'single', 8],
      [1.2, 60160, 'single', 8],
      [1.2, 65259, 'bam', 8],
      [2, 60416, 'single', 8],
      [2.001, 60416, 'single', 8],
      [2.002, 60160, 'single', 8],
      [2.003, 60160, 'single', 8],
      [2.003, 61184, 'rts-cts', 9],
      [2.004, 60416, 'single', 8],
    ])
    expect(found[3]).toMatchObject({ sa: 0, da: 255, priority: 7, acronym: 'CI', data: '41312A4232322A2A' })
    expect(found[8]).toMatchObject({ sa: 3, da: 33, priority: 6, defined: false, data: '010203040506070809' })
  })

  test('are named for a person as the standard does', async () => {
    const { stdout } = await decode(MANY_FRAMES, '--absolute', '--pgn', '65259,61184')
    expect(stdout.split('\n').slice(1, -1)).toEqual([
      '    0.200000  can0        0  all          7   65259  CI           BAM           8  41 31 2A 42 32 32 2A 2A',
      "    1.003000  can0        3  33           6   61184  maker's own  RTS/CTS       9  01 02 03 04 05 06 07 08 09",
    ])
  })

  test('by the extended protocol too', async () => {
    // 1,800 bytes, more than J1939-21 can carry: made up, laid out as in ISO 11783-3.
    const hex = (...bytes: number[]) => Buffer.from(bytes).toString('hex').toUpperCase()
    const packets = Math.ceil(1800 / 7)
    const lines = [`(1.0) can0 18C82103#${hex(20, 0x08, 0x07, 0, 0, 0x21, 0xff, 0)}`]
    lines.push(`(1.0) can0 18C80321#${hex(21, 255, 1, 0, 0, 0x21, 0xff, 0)}`)
    for (let packet = 0; packet < packets; packet++) {
      if (packet % 255 === 0) {
        const many = Math.min(255, packets - packet)
        lines.push(`(1.0) can0 18C82103#${hex(22, many, packet & 255, packet >> 8, 0, 0x21, 0xff, 0)}`)
      }
      lines.push(`(1.0) can0 18C72103#${hex((packet % 255) + 1, 1, 2, 3, 4, 5, 6, 7)}`)
    }
    const [message] = await objects(`${lines.join('\n')}\n`, '--pgn', '0xFF21')
    expect(message).toMatchObject({ transport: 'extended', length: 1800, sa: 3, da: 33 })
    expect(message?.['data']).toHaveLength(3600)
  })
})

describe('filters', () => {
  test.each<[string, string[], number[]]>([
    ['none', [], [61444, 65313, 61184, 130559]],
    ['group', ['--pgn', '61184,0xFF21'], [65313, 61184]],
    ['node', ['--sa', '0x21'], [61184]],
    ['interface', ['--channel', 'can1'], [65313]],
    ['time', ['--from', '0.000287', '--to', '0.750288'], [65313, 61184]],
    ['all together', ['--channel', 'can0', '--from', '1', '--sa', '42'], [130559]],
  ])('by %s', async (_name, argv, pgns) => {
    expect((await objects(SINGLE, ...argv)).map(({ pgn }) => pgn)).toEqual(pgns)
  })

  test.each<[string, string, string[], string]>([
    [
      'an interface that is not there',
      SINGLE,
      ['--channel', 'can7'],
      'there is no can7 in the log, only can0 and can1',
    ],
    ['a time without messages', SINGLE, ['--from', '100'], 'nothing that was asked for was sent in that time'],
    ['a group that did not come', SINGLE, ['--pgn', '1'], 'nothing that was asked for was sent'],
    [
      '11-bit frames only',
      '(1.0) can0 123#00\n',
      [],
      'the log holds no frame with a 29-bit identifier; see firstcrank summary',
    ],
  ])('say why there is nothing: %s', async (_name, log, argv, reason) => {
    const { stdout, stderr, exitCode } = await decode(log, '--format', 'ndjson', ...argv)
    expect({ stdout, stderr, exitCode }).toEqual({
      stdout: '',
      stderr: `firstcrank: no messages: ${reason}\n`,
      exitCode: 0,
    })
  })
})

test.each<[string, string[], string]>([
  ['a signal', ['--spn', '190'], '--messages and --spn: a message is shown whole; choose it by its group, with --pgn'],
  ['a form there is not', ['--format', 'json'], '--format json: decode writes table, csv, ndjson'],
  ['a value', ['--messages=all'], '--messages takes no value'],
  ['an empty list', ['--pgn', '61444,'], '--pgn has an empty place in its list'],
])('%s is refused in one line', async (_name, argv, complaint) => {
  const { stdout, stderr, exitCode } = await decode(SINGLE, ...argv)
  expect({ stdout, stderr, exitCode }).toEqual({ stdout: '', stderr: `firstcrank: ${complaint}\n`, exitCode: 2 })
})

test('an archive that is cut short is told of', async () => {
  const { stdout, stderr } = await decode(gzipSync(SINGLE.repeat(2000)).subarray(0, -100))
  expect(stdout).toContain('F0 7D 7D D1')
  expect(stderr).toBe('firstcrank: the compressed log is damaged or ends early; only what came before was read\n')
})

test('says what the library says, for any frames', async () => {
  const frame = fc.record({ id: fc.integer({ min: 0, max: 0x1fffffff }), data: fc.uint8Array({ maxLength: 8 }) })
  await fc.assert(
    fc.asyncProperty(fc.array(frame, { minLength: 1, maxLength: 60 }), async (frames) => {
      const log = frames
        .map(({ id, data }) => `(5.0) can0 ${id.toString(16).padStart(8, '0')}#${Buffer.from(data).toString('hex')}\n`)
        .join('')
      const expected: Record<string, unknown>[] = []
      for await (const message of readMessages(Buffer.from(log))) {
        const { pgn, sa, da, priority, transport, payload, group } = message
        const data = Buffer.from(payload).toString('hex').toUpperCase()
        const [acronym, name] = [group?.acronym ?? null, group?.name ?? null]
        const defined = group !== undefined
        expected.push({ pgn, acronym, name, defined, sa, da, priority, transport, length: payload.length, data })
      }
      expect((await objects(log)).map(({ t: _t, channel: _channel, ...rest }) => rest)).toEqual(expected)
    }),
    { numRuns: 60 },
  )
})
