import { gzipSync } from 'node:zlib'
import { describe, expect, test } from 'vitest'
import { capture } from './capture.js'

/**
 * Made up to check the form, not any engine: a claim, engine speed, a request that is answered and one that
 * is not, a multi-packet DM1 (frames of a keypad's J1939 manual), a hole of 4 s, and lines that are no frames.
 */
const LOG = `# made up
(1700000000.000000) can0 18EEFF80#A10180000C810010
(1700000000.100000) can0 0CF00400#F07D7DD11200F47D
(1700000000.120000) can0 0CF00400#F07D7DD11200F47D
(1700000000.140000) can0 0CF00400#F07D7DD11200F47D
(1700000000.200000) can0 18EA00F9#EEFE00
(1700000000.210000) can0 18FEEE00#7D6EFFFFFFFFFFFF
(1700000000.300000) can0 18EA00F9#E9FE00

(1700000000.400000) can0 1CECFF80#20120003FFCAFE00
(1700000000.450000) can0 1CEBFF80#01000073F0E20374
(1700000000.500000) can0 1CEBFF80#02F0E20775F0E203
(1700000000.550000) can0 1CEBFF80#0360F2E403FFFFFF
(1700000000.600000) can0 7DF#0201
(1700000000.700000) can0 18FF1280#01
(1700000004.700000) can0 18FF1280#01
(1700000004.800000) can0 20000004#0004000000000000
(1700000004.9000
not a line
(1700000005.000000) can1 7DF#0201
`

const summary = async (log: string, ...argv: string[]) => {
  const { stdout, stderr, exitCode } = await capture(['summary', '-', ...argv], log)
  expect({ stderr, exitCode }).toEqual({ stderr: '', exitCode: 0 })
  return stdout
}
const json = async (log: string, ...argv: string[]) => JSON.parse(await summary(log, '--format', 'json', ...argv))

describe('the first lines of the text', () => {
  test('say what a tired person wants to know', async () => {
    expect((await summary(LOG)).split('\n').slice(0, 9)).toEqual([
      '5.000 s from 2023-11-14 22:13:20.000 UTC, on can0 and can1.',
      'can0: J1939; 84.6 % of its frames are of groups known here, 15.4 % of ones only their makers define.',
      '  3 nodes: Engine 1 (address 0), Door controller (address 128) and Off-board diagnostic service tool',
      '  1 (address 249).',
      'can1: no J1939; no frame with a 29-bit identifier.',
      '4 active faults reported, 4 still active at the end. 1 node sent DM1, the list of active faults; 2',
      'nodes sent no DM1, so nothing is known of theirs.',
      '',
      'Frames        16: 13 with 29-bit identifiers, 2 with 11-bit identifiers (not J1939, skipped), 1',
    ])
  })

  test.each<[string, string, string]>([
    ['an empty log', '', 'The log is empty.'],
    ['no frame', 'hello\n', 'No frame in 1 line. firstcrank reads the text that candump writes, plain or gzip.'],
    ['no times', 'can0 0CF00400 [8] F0 7D 7D D1 12 00 F4 7D\n', 'A log without times, on can0.'],
    [
      'times from zero',
      '(000.000000) can0 18FEEE00#7D\n(002.500000) can0 18FEEE00#7D\n',
      '2.500 s from 0.000 s (the log has no date), on can0.',
    ],
    [
      'hours',
      '(1700000000.0) can0 18FEEE00#7D\n(1700007384.0) can0 18FEEE00#7D\n',
      '2 h 03 min from 2023-11-14 22:13:20.000 UTC, on can0.',
    ],
  ])('%s', async (_name, log, first) => {
    expect((await summary(log)).split('\n')[0]).toBe(first)
  })

  test('an archive that is cut short before its first line is not called empty', async () => {
    const { stdout, exitCode } = await capture(['summary', '-'], gzipSync(LOG).subarray(0, 10))
    expect(exitCode).toBe(0)
    expect(stdout.split('\n')[0]).toMatch(/^No frame in 0 lines/)
    expect(stdout).toMatch(/1 damaged-compression: /)
  })

  test('11-bit frames only: no J1939, and nothing is said of faults', async () => {
    const text = await summary('(1.0) can0 123#00\n(1.5) can0 123#00\n')
    expect(text.split('\n')[1]).toBe('can0: no J1939; no frame with a 29-bit identifier.')
    expect(text).not.toMatch(/fault/i)
  })

  test('29-bit frames of something else: perhaps not J1939', async () => {
    // Groups 1 to 9 of data page 1: not assigned, as far as is known here.
    const log = Array.from({ length: 9 }, (_, at) => `(1.${at}) can0 190${at + 1}0000#00\n`).join('')
    expect((await summary(log)).split('\n')[1]).toMatch(/^can0: perhaps not J1939; 0\.0 % /)
  })
})

describe('the details', () => {
  test('count as late each line behind an earlier one, not only behind the one before', async () => {
    const times = ['1.000', '1.300', '1.100', '1.200', '1.400'].map((time) => `170000000${time}`)
    const text = await summary(times.map((time) => `(${time}000) can0 18FEEE00#7D\n`).join(''))
    expect(text).toMatch(/^Clock {9}2 lines up to 0\.200 s behind an earlier one\.$/m)
  })

  test.each<[string, RegExp]>([
    ['lines that are no frames', /^Lines {9}20 \(1 blank and 1 comment\): 2 could not be read\.$/m],
    [
      'what was wrong with them',
      /^ {14}1 cut-short: the line ends before its data begin\n {16}line 18: \(1700000004\.9000$/m,
    ],
    ['error frames', /, 1\n {14}error\.$/m],
    ['the hole', /^Clock {9}1 hole, all nodes silent, probably the recorder: 4\.000 s from 0\.700 s\.$/m],
    ['the assumed bit rate', /^Bus load {6}can0: .*250 kbit\/s\n {14}\(assumed\)\.$/m],
    ['messages of several frames', /^Multi-packet {2}1 message put together, none incomplete\.$/m],
    ['requests', /^Requests {6}2 asked, 1 answered, 0 refused, 1 unanswered\.$/m],
    [
      'the unanswered one',
      /^ {14}Off-board diagnostic service tool 1 \(address 249\) asked Engine 1 \(address 0\) for PGN\n {14}65257 \(LFC\) 1 time: 1 unanswered$/m,
    ],
    [
      'faults, a line each',
      /^ {2}DM1 {4}128 {2}520307 {4}2 {2}SPN 520307, not in the public list .*0\.550 s {4}end {9}1$/m,
    ],
    ['a NAME', /^ {2}NAME 1000810C008001A1: /m],
    ['a group with its period', /^ {2}61444 {2}EEC1 .* all {6}3 {7}20\.0 {8}0\.0 {5}0$/m],
    ['a group of the maker', /^ {2}65298 {2}- {6}the maker's own, not public/m],
  ])('%s', async (_name, pattern) => {
    expect(await summary(LOG)).toMatch(pattern)
  })

  test.each<[string, string, RegExp]>([
    [
      'torn lines are not called whole',
      '(1.0(1700000000.0) can0 18FEEE00#7D\n(1700000001.0) can0 18FEEE00#7D\n',
      /^Lines {9}2: 1 could be read only in part\.$/m,
    ],
    [
      'beside lines that are lost',
      '(1.0(1700000000.0) can0 18FEEE00#7D\nhello\n',
      /^Lines {9}2: 1 could not be read, 1 only in part\.$/m,
    ],
    [
      'an abort comes with its reason',
      // A connection for a maker's own group, refused: made up, laid out as in J1939-21.
      '(1.0) can0 18EC2103#10100003FF00EF00\n(1.1) can0 18EC0321#FF02FFFFFF00EF00\n',
      /^ {14}1 aborted: .*; the reason says why\.\n {16}reason 2, 1 time: resources needed for another task$/m,
    ],
  ])('%s', async (_name, log, pattern) => {
    expect(await summary(log)).toMatch(pattern)
  })

  test('a log without times has no periods', async () => {
    const log = 'can0 0CF00400 [8] F0 7D 7D D1 12 00 F4 7D\n'.repeat(3)
    expect(await summary(log)).toMatch(/^ {2}61444 {2}EEC1 .* all {6}3 {10}- {10}- {5}-$/m)
    const [group] = (await json(log)).groups
    expect(group).toMatchObject({ count: 3, period: null, jitter: null, gaps: 0, longestGaps: [] })
  })

  test('error frames that were not recorded are not said to be absent', async () => {
    expect(await summary('(1.0) can0 18FEEE00#7D\n')).toContain('Error frames: none recorded; many recorders')
  })

  test('no line is wider than 120 characters', async () => {
    for (const line of (await summary(LOG)).split('\n')) expect(line.length).toBeLessThanOrEqual(120)
  })

  test('a bit rate that was given is said to be given', async () => {
    expect(await summary(LOG, '--bit-rate', '500000')).toMatch(/at 500 kbit\/s \(as\s+given\)/)
  })

  test('times that are differences are summed, if told so', async () => {
    const log = '(000.000000) can0 18FEEE00#7D\n(000.500000) can0 18FEEE00#7D\n(000.500000) can0 18FEEE00#7D\n'
    expect((await summary(log, '--deltas')).split('\n')[0]).toBe('1.000 s from 0.000 s (the log has no date), on can0.')
    expect((await summary(log, '--absolute')).split('\n')[0]).toBe(
      '0.500 s from 0.000 s (the log has no date), on can0.',
    )
  })
})

describe('json', () => {
  test('has the documented keys, in order', async () => {
    expect(Object.keys(await json(LOG))).toEqual([
      'schema',
      'version',
      'frames',
      'lines',
      'problems',
      'channels',
      'time',
      'nodes',
      'groups',
      'transport',
      'requests',
      'busLoad',
      'faults',
      'events',
      'eventsDropped',
    ])
  })

  test('counts frames and lines', async () => {
    const { schema, version, frames, lines, problems, transport, channels } = await json(LOG)
    expect({ schema, version }).toEqual({ schema: 'firstcrank.summary', version: 1 })
    expect(frames).toEqual({ total: 16, extended: 13, standard: 2, remote: 0, error: 1, fd: 0, skipped: 3 })
    expect(lines).toEqual({ total: 20, blank: 1, comments: 1, malformed: 2, frames: 16 })
    expect(lines.total).toBe(lines.blank + lines.comments + lines.malformed + lines.frames)
    expect(problems).toMatchObject({ total: 2, byCode: { 'cut-short': 1, 'not-a-log-line': 1 } })
    expect(transport).toEqual({ completed: 1, incomplete: 0, byCode: {} })
    expect(channels).toEqual([
      { name: 'can0', extended: 13, defined: 11, proprietary: 2, undefined: 0, j1939: 'yes' },
      { name: 'can1', extended: 0, defined: 0, proprietary: 0, undefined: 0, j1939: 'no' },
    ])
  })

  test('prints times with six decimals', async () => {
    const text = await summary(LOG, '--format', 'json')
    expect(text).toContain('"first": 1700000000.000000,')
    expect(text).toContain('"duration": 5.000000,')
    expect(text).toContain('"holes": {"total": 1, "first": [{"from": 1700000000.700000, "to": 1700000004.700000}]}')
  })

  test('tells who is there', async () => {
    const { nodes, groups } = await json(LOG)
    expect(nodes.map((node: { sa: number }) => node.sa)).toEqual([0, 128, 249])
    // Fields of the NAME 1000810C008001A1h, worked out by hand from the bits of SAE J1939-81.
    expect(nodes[1]).toMatchObject({
      channel: 'can0',
      usually: null,
      frames: 7,
      name: {
        value: '1000810C008001A1',
        identityNumber: 0x1a1,
        manufacturerCode: 4,
        ecuInstance: 4,
        functionInstance: 1,
        function: 0x81,
        vehicleSystem: 0,
        industryGroup: 1,
        arbitraryAddressCapable: false,
      },
      held: [{ name: '1000810C008001A1', from: 1700000000, until: null }],
    })
    const speed = groups.find(({ pgn }: { pgn: number }) => pgn === 61444)
    expect(speed).toMatchObject({ channel: 'can0', sa: 0, da: 255, acronym: 'EEC1', defined: true, proprietary: false })
    expect(speed).toMatchObject({ count: 3, frames: 3, period: 0.02, jitter: 0, gaps: 0, longestGaps: [] })
  })

  test('tells what was asked', async () => {
    const { requests } = await json(LOG)
    expect(requests).toMatchObject([
      { channel: 'can0', asker: 249, asked: 0, pgn: 65262, requests: 1, answered: 1, unanswered: 0, fastest: 0.01 },
      { channel: 'can0', asker: 249, asked: 0, pgn: 65257, requests: 1, answered: 0, unanswered: 1, fastest: null },
    ])
  })

  test('holds no field twice in different words: faults are those of the faults command', async () => {
    const { faults } = await json(LOG)
    const alone = JSON.parse((await capture(['faults', '-', '--format', 'json'], LOG)).stdout)
    const { schema: _, version: __, time: ___, ...fields } = alone
    expect(faults).toEqual(fields)
  })
})
