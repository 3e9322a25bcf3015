import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { confidenceOf, GROUPS } from '@firstcrank/decoder/catalog'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'

const explain = async (...argv: string[]) => {
  const { stdout, stderr, exitCode } = await capture(['explain', ...argv])
  expect({ stderr, exitCode }).toEqual({ stderr: '', exitCode: 0 })
  return stdout
}
const json = async (...argv: string[]) => JSON.parse(await explain(...argv, '--format', 'json'))

describe('a frame', () => {
  // The first frame of an open recording of a running truck; its engine speed is 602.125 rpm.
  const FRAME = ['0CF00400', 'F07D7DD11200F47D']

  test('is taken apart bit by bit', async () => {
    const text = await explain(...FRAME)
    expect(text).toContain(`Identifier 0CF00400
  bits 28-26  011       priority            3    0 is the highest
  bit  25     0         extended data page  0
  bit  24     0         data page           0
  bits 23-16  11110000  PDU format          240  from 240 on: for all nodes
  bits 15-8   00000100  PDU specific        4    part of the group's number
  bits 7-0    00000000  source address      0    usually Engine 1

Group 61444 (F004)  EEC1, Electronic engine controller 1
`)
    expect(text).toContain(`Data, 8 bytes
  byte          1        2        3        4        5        6        7        8
  hex          F0       7D       7D       D1       12       00       F4       7D
  bits   11110000 01111101 01111101 11010001 00010010 00000000 11110100 01111101
  signal bbbbaaaa cccccccc dddddddd eeeeeeee eeeeeeee ffffffff ....gggg hhhhhhhh
`)
    expect(text).toMatch(
      /^e {2}Engine speed \(SPN 190\): 602\.125 rpm\n {3}byte 4, 16 bits; raw 12D1 \(4817\), valid; 0\.125 rpm a step; confirmed by \d/m,
    )
    expect(text).toMatch(/^b {2}Actual engine percent torque, fractional \(SPN 4154\): not available\n/m)
  })

  test.each<[string, string[]]>([
    ['two words', ['18FEEE00', '7D6E']],
    ['0x in front', ['0x18FEEE00', '0x7D6E']],
    ['one word', ['18FEEE00#7D6E']],
    ['blanks between bytes', ['18FEEE00', '7D', '6E']],
    ['blanks in one word', ['18FEEE00 # 7D 6E']],
    ['dots between bytes', ['18feee00#7d.6e']],
    ['the extended flag left in', ['98FEEE00', '7D6E']],
  ])('may be written with %s', async (_name, argv) => {
    expect(await explain(...argv)).toBe(await explain('18FEEE00', '7D6E'))
  })

  test('without data explains the identifier', async () => {
    const text = await explain('0CEA00F9')
    expect(text).toContain('15-8   00000000  PDU specific        0    the destination, Engine 1 (address 0)')
    expect(text).toContain('No data given.')
  })

  test('says where a destination or sender is none', async () => {
    expect(await explain('18EEFFFE')).toContain('a node that holds no address')
    expect(await explain('18EEFFFF')).toContain('means all nodes: no sender can have it')
  })

  test('longer than a frame is drawn in rows of eight bytes', async () => {
    // A DM1 of two faults; layout of the codes: an engine maker's published J1939 chapter.
    const text = await explain('18FECA00', '04FF6E00030164000101')
    expect(text).toContain('\n  byte          9       10\n')
    expect(text).toContain(`  DM1
    active faults: 2.
    Lamps on: amber warning lamp.
    SPN 110 FMI 3: Engine coolant temperature: voltage above normal or shorted high; 1 occurrence.
      Circuit voltage too high: short to supply, lost sensor ground, or an open wire where the input
      is pulled up.
    SPN 100 FMI 1: Engine oil pressure: below normal range, most severe; 1 occurrence.
      The value is dangerously low.
`)
  })

  test.each<[string, string[], RegExp]>([
    ['no definition', ['18E5FF00', 'AABB'], /^Group 58624 \(E500\)\n {2}It has no definition here\./m],
    ["a maker's own group", ['18FF1234', '01'], /^Group 65298 \(FF12\)\n {2}What is in it only its maker knows/m],
    ['fewer bytes than defined', ['18FEEE00', '7D6E'], /^Data, 2 bytes \(the definition has 8\)$/m],
    ['a signal past the data', ['18FEEE00', '7D'], /Engine fuel temperature 1 \(SPN 174\): not sent$/m],
    ['an error code', ['18FEEE00', '7DFE'], /SPN 174\): error reported by the sender \(raw FE\)$/m],
    ['a request', ['18EA00F9', 'EEFE00'], /Asks for group 65262 \(FEEE\), ET1, Engine temperature 1\./],
    ['a refusal', ['18E8FF00', '01FFFFFFF9EEFE00'], /Negative: not supported, or not done\.\n {2}About group 65262/],
    // A BAM to one address occurs on real trucks (open recording).
    [
      'an announcement',
      ['18EC258B', '2042000AFF00D400'],
      /Broadcast announcement \(BAM\): 66 bytes in 10 packets\.\n {2}Carries group 54272/,
    ],
    ['a request to send', ['18EC00F9', '10120003FFCAFE00'], /Request to send: 18 bytes in 3 packets\./],
    ['a clearance', ['18ECF900', '110203FFFFCAFE00'], /Clear to send: 2 packets, from packet 3 on\./],
    ['an acknowledgement of the end', ['18ECF900', '13120003FFCAFE00'], /End of message acknowledged: 18 bytes/],
    ['an abort', ['18ECF900', 'FF03FFFFFFCAFE00'], /Abort: time-out\./],
    [
      'an unknown control byte',
      ['18ECF900', '05FFFFFFFFCAFE00'],
      /Control byte 5, which the protocol does not define\./,
    ],
    ['a packet', ['18EBF900', '0201020304050607'], /Packet 2 of a longer message: 7 bytes of it\./],
    // NAME 1000810C008001A1h, worked out by hand from the bits of SAE J1939-81.
    [
      'a claim',
      ['18EEFF80', 'A10180000C810010'],
      /NAME 1000810C008001A1\n.*\(function 129\), instance 1, ECU instance 4\n.*\n {2}Manufacturer 4, identity number 417/,
    ],
    ['a commanded address', ['18FED8F9', 'A10180000C81001085'], /shall take address 133\./],
    ['readiness', ['18FECE00', '0201140107FF0301'], /^ {4}Monitors, complete: misfire/m],
    ['what is wrong with a payload', ['18FECA00', '04'], /Wrong with it, from byte 2 on: the payload ends before/],
  ])('says: %s', async (_name, argv, pattern) => {
    expect(await explain(...argv)).toMatch(pattern)
  })

  test('as json', async () => {
    const { schema, version, kind, identifier, group, data, signals } = await json(...FRAME)
    expect({ schema, version, kind, data }).toEqual({
      schema: 'firstcrank.explain',
      version: 1,
      kind: 'frame',
      data: FRAME[1],
    })
    expect(identifier).toEqual({
      id: '0CF00400',
      priority: 3,
      extendedDataPage: 0,
      dataPage: 0,
      pduFormat: 240,
      pduSpecific: 4,
      sa: 0,
      da: 255,
      pgn: 61444,
    })
    expect(group).toMatchObject({ acronym: 'EEC1', length: 8, confidence: 'confirmed' })
    expect(signals.find(({ spn }: { spn: number }) => spn === 190)).toMatchObject({
      name: 'Engine speed',
      at: '4',
      bits: 16,
      resolution: 0.125,
      offset: 0,
      raw: 4817,
      value: 602.125,
      unit: 'rpm',
      status: 'valid',
    })
  })

  test('with faults, as json', async () => {
    const { diagnostic } = await json('18FECA00', '04FF6E000301FFFF')
    expect(diagnostic).toMatchObject({
      kind: 'fault-list',
      source: 'DM1',
      faults: [{ spn: 110, fmi: 3, occurrenceCount: 1 }],
    })
  })
})

describe('a definition', () => {
  test('of an SPN, with who says so', async () => {
    const text = await explain('--spn', '190')
    expect(text).toMatch(
      /^SPN 190 {2}Engine speed\n\nIn group 61444 \(F004\) {2}EEC1, Electronic engine controller 1\n {2}byte 4, 16 bits\n {2}0\.125 rpm a step\n {2}Position and scale: confirmed by \d+ independent sources\.\n {2}Who mentions it:\n {2}- /,
    )
  })

  test('of a state lists its labels', async () => {
    expect(await explain('--spn', '899')).toMatch(/\n {4}2 {2}cruise control\n/)
  })

  test.each<[string, string[], RegExp]>([
    [
      'a fault no group carries, with a source',
      ['--spn', '639'],
      /^SPN 639 {2}J1939 network 1\n\nNo group here carries it; it names a fault\. The name is published, in\n- /,
    ],
    ['a fault from memory', ['--spn', '2011'], /it names a fault\. The name is from memory, no published source\./],
    [
      'an SPN nobody knows',
      ['--spn', '99999'],
      /^SPN 99999\n {2}No list here has it: neither as a signal nor as a fault\./,
    ],
    ['several', ['--spn', '639,0x63'], /^SPN 639 .*\n[\s\S]*\n\nSPN 99 /],
    [
      'a group',
      ['--pgn', '61444'],
      /^PGN 61444 \(F004\) {2}EEC1, .*\n {2}8 bytes, sent in step with the engine, priority 3\n/,
    ],
    ['a group in hexadecimal', ['--pgn', '0xFEEE'], /^PGN 65262 \(FEEE\) {2}ET1, /],
    ["a maker's own group", ['--pgn', '65298'], /^PGN 65298 \(FF12\)\n {2}Only its maker knows what is in it\./],
    ['a group nobody knows', ['--pgn', '58624'], /^PGN 58624 \(E500\)\n {2}It has no definition here\./],
  ])('of %s', async (_name, argv, pattern) => {
    expect(await explain(...argv)).toMatch(pattern)
  })

  test('says plainly where nothing but memory stands behind it', async () => {
    // Any signal the catalogue has from memory alone.
    const doubtful = GROUPS.flatMap(({ signals }) => signals).find((signal) => confidenceOf(signal) === 'memory')
    expect(await explain('--spn', String(doubtful?.spn))).toContain(
      'Position and scale: from memory, no published source.',
    )
    const { spns } = await json('--spn', String(doubtful?.spn))
    expect(spns[0].places[0]).toMatchObject({ confidence: 'memory', confirmed: 0 })
  })

  test('as json', async () => {
    const { kind, spns } = await json('--spn', '190,99999')
    expect(kind).toBe('spn')
    expect(spns[0]).toMatchObject({ spn: 190, name: 'Engine speed', faultName: { confirmed: expect.any(Number) } })
    expect(spns[0].places[0]).toMatchObject({ group: { pgn: 61444 }, at: '4', bits: 16, sources: expect.any(Array) })
    expect(spns[1]).toEqual({ spn: 99999, name: null, places: [], faultName: null })
    const { pgns } = await json('--pgn', '65262,58624')
    expect(pgns[0].group).toMatchObject({ acronym: 'ET1', signals: expect.any(Array) })
    expect(pgns[1]).toEqual({ pgn: 58624, group: null })
  })
})

describe('own definitions', () => {
  const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
  afterAll(() => rmSync(folder, { recursive: true }))
  const file = join(folder, 'box.json')
  const signal = { kind: 'bit-field', spn: 520192, name: 'Flaps', at: '2', flags: ['left', 'right'] }
  writeFileSync(
    file,
    JSON.stringify({
      version: 1,
      source: 'made up for this test',
      groups: [{ pgn: 65313, acronym: 'BOX', name: 'Air box', signals: [signal] }],
    }),
  )

  test('are used, and said to be the user’s', async () => {
    const text = await explain('18FF2117', '0003000000000000', '--definitions', file)
    expect(text).toContain('a  Flaps (SPN 520192): left, right\n   byte 2, 2 bits; raw 03 (3), valid; flags; your own')
    expect(text).toContain('  signal ........ ......aa ........')
    expect(await explain('--pgn', '65313', '--definitions', file)).toContain('BOX, Air box')
    const flaps = await explain('--spn', '520192', '--definitions', file)
    expect(flaps).toContain('bit 2  right')
    // No list of faults has it, so nobody can have said so.
    expect(flaps).not.toContain('name of a fault')
  })
})
