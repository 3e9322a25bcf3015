import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { describe, expect, test } from 'vitest'
import { capture } from './capture.js'

/**
 * Made up to check the form, not any engine. Trouble codes are laid out as in version 4 (an engine maker's
 * published J1939 chapter): SPN low byte, middle byte, 3 bits and FMI, count.
 * Node 0: SPN 110 FMI 3, off the list at 3 s, back at 5 s; from 2 s on SPN 100 FMI 1 with the red stop lamp.
 * Node 33: an amber lamp and no fault. Node 49: no DM1. A DM2 with SPN 91 FMI 2; a clear command.
 */
const LOG = `(1700000000.000000) can0 18FECA00#00FF00000000FFFF
(1700000001.000000) can0 18FECA00#04FF6E000301FFFF
(1700000001.100000) can0 18FECA21#04FF00000000FFFF
(1700000001.200000) can0 18FEEE31#7DFFFFFFFFFFFFFF
(1700000002.000000) can0 1CECFF00#200A0002FFCAFE00
(1700000002.050000) can0 1CEBFF00#0114FF6E00030164
(1700000002.100000) can0 1CEBFF00#02000101FFFFFFFF
(1700000003.000000) can0 18FECA00#10FF64000101FFFF
(1700000004.000000) can0 18EAFFF9#D3FE00
(1700000004.200000) can0 18FECB00#00FF5B00020CFFFF
(1700000005.000000) can0 1CECFF00#200A0002FFCAFE00
(1700000005.050000) can0 1CEBFF00#0114FF6E00030264
(1700000005.100000) can0 1CEBFF00#02000101FFFFFFFF
(1700000005.500000) can0 18FEEE31#7DFFFFFFFFFFFFFF
`

const faults = async (log: string, ...argv: string[]) => {
  const { stdout, stderr, exitCode } = await capture(['faults', '-', ...argv], log)
  expect({ stderr, exitCode }).toEqual({ stderr: '', exitCode: 0 })
  return stdout
}
const json = async (log: string) => JSON.parse(await faults(log, '--format', 'json'))

test('an archive that is cut short is told of, and what came before is shown', async () => {
  const { stdout, stderr, exitCode } = await capture(['faults', '-'], gzipSync(LOG.repeat(2000)).subarray(0, -100))
  expect(exitCode).toBe(0)
  expect(stdout).toMatch(/^\d+ active faults reported/)
  expect(stderr).toBe('firstcrank: the compressed log is damaged or ends early; only what came before was read\n')
})

test('the text, whole', async () => {
  expect(
    await faults(LOG),
  ).toBe(`2 active faults reported in 3 episodes, 2 still active at the end. 2 nodes sent DM1, the list of
active faults; 2 nodes sent no DM1, so nothing is known of theirs.
Lamps at the end: red stop lamp and amber warning lamp from Engine 1 (address 0); amber warning lamp
from Body controller (address 33).
The log is 5.500 s long; times count from its first frame, 2023-11-14 22:13:20.000 UTC.

Active; still listed at the end

  Engine coolant temperature: voltage above normal or shorted high
    SPN 110 FMI 3, Engine 1 (address 0)
    Circuit voltage too high: short to supply, lost sensor ground, or an open wire where the input
    is pulled up.
    Lamps the node asked for meanwhile: amber warning lamp and red stop lamp.
    first seen  last seen  off the list  node's own count of occurrences
       1.000 s    2.100 s       3.000 s  1
       5.100 s    5.100 s  still listed  2

  Engine oil pressure: below normal range, most severe
    SPN 100 FMI 1, Engine 1 (address 0)
    The value is dangerously low.
    Lamps the node asked for meanwhile: red stop lamp and amber warning lamp.
    first seen  last seen  off the list  node's own count of occurrences
       2.100 s    5.100 s  still listed  1

Previously active (DM2): kept by the node, from this run or from before; in the last list

  Accelerator pedal position 1: erratic, intermittent or wrong data
    SPN 91 FMI 2, Engine 1 (address 0)
    The value jumps about or cannot be right.
    first seen  last seen  off the list  node's own count of occurrences
       4.200 s    4.200 s  still listed  12

Lamps asked for without a fault listed
  Body controller (address 33): amber warning lamp from 1.100 s

Commands to clear faults (clearing is not repairing)
  4.000 s  Off-board diagnostic service tool 1 (address 249) to all nodes: clear active faults
  (DM11)

Caution: a node asked for the red stop lamp, which means stop now. What the engine maker's manual
says of the fault comes before anything printed here.

Caution: low oil pressure. Stop the engine; do not rev it or restart it to see. Look with a
mechanical gauge before blaming the sensor. The engine maker's manual comes first.
`)
})

describe('absence is not proof', () => {
  const NONE = '(1700000000.0) can0 18FECA00#00FF00000000FFFF\n(1700000001.0) can0 18FEEE31#7D\n'

  test.each<[string, string, string]>([
    [
      'no fault',
      NONE,
      'No active fault was reported by 1 node; 1 node sent no DM1, so nothing is known of its faults. A fault that is not in the recording may still be there. ',
    ],
    [
      'no DM1',
      '(1.0) can0 18FEEE31#7D\n',
      'No node sent DM1, the list of active faults: whether there are any is not known. Lamps: not known, no node reported them. ',
    ],
    ['nothing at all', '', 'No faults can be told: the log is empty. '],
    [
      'no log',
      'Dear diary\n',
      'No faults can be told: not one line of the log is a frame; firstcrank reads the text that candump writes, plain or gzip. ',
    ],
    [
      'no J1939',
      '(1.0) can0 123#00\n',
      'No faults can be told: the log holds no frame with a 29-bit identifier, and J1939 uses no other. ',
    ],
  ])('%s', async (_name, log, start) => {
    expect((await faults(log)).replaceAll('\n', ' ')).toContain(start)
  })

  test('a fault of the first list may be older, one of a node that fell silent may have gone', async () => {
    const text = await faults('(10.0) can0 18FECA00#04FF6E000301FFFF\n(14.0) can0 18FEEE31#7D\n')
    expect(text).toContain("It was in the node's first list, so it may be older than the recording.")
    expect(text).toContain('The node sent no list in the 4.000 s after that: its end was not seen.')
  })
})

describe('cautions come with what calls for them', () => {
  const dm1 = (code: string, lamps = '04') =>
    `(1.0) can0 18FECA00#00FF00000000FFFF\n(2.0) can0 18FECA00#${lamps}FF${code}FFFF\n`

  test.each<[string, string, RegExp | null]>([
    ['low oil pressure', dm1('64000101'), /low oil pressure\. Stop the engine/],
    ['oil pressure moderately low', dm1('64001201'), /low oil pressure/],
    ['oil pressure sensor, voltage high', dm1('64000301'), null],
    ['rail pressure', dm1('9D000101'), /Never feel for a leak with a hand/],
    ['intake heater', dm1('D9020501'), /one that stays on is a fire risk/],
    ['red stop lamp', dm1('6E000001', '10'), /red stop lamp, which means stop now/],
    ['coolant temperature sensor', dm1('6E000301'), null],
  ])('%s', async (_name, log, caution) => {
    const text = (await faults(log)).replaceAll('\n', ' ')
    if (caution === null) expect(text).not.toContain('Caution')
    else expect(text).toMatch(caution)
    if (caution !== null) expect(text).toContain("engine maker's manual")
  })
})

test('with several interfaces says which, wherever a node is named', async () => {
  const log = `(1700000000.000000) can0 18FECA00#04FF6E000301FFFF
(1700000000.000000) can1 18FECA00#04FF6E000301FFFF
(1700000001.000000) can1 18FECA21#04FF00000000FFFF
(1700000002.000000) can1 18FED3F9#FFFFFFFFFFFFFFFF
`
  const text = (await faults(log)).replaceAll(/\n {2,}/g, ' ').replaceAll('\n', ' ')
  for (const part of [
    'amber warning lamp from Engine 1 (address 0) on can0;',
    'amber warning lamp from Engine 1 (address 0) on can1;',
    'SPN 110 FMI 3, Engine 1 (address 0) on can1',
    'Body controller (address 33) on can1: amber warning lamp from 1.000 s',
    'Off-board diagnostic service tool 1 (address 249) to all nodes on can1: clear active faults (DM11)',
  ]) {
    expect(text).toContain(part)
  }
  const { stdout } = await capture(['summary', '-'], log)
  expect(stdout).toMatch(/^ {2}list {2}node +SPN .* on$/m)
  expect(stdout).toMatch(/^ {2}DM1 +0 +110 .* can0\n {2}DM1 +0 +110 .* can1$/m)
})

test('an SPN in the old layout keeps all its readings', async () => {
  // Method bit 1: 64 00 01 81 is SPN 100 by version 3. Source of the layouts: a genset controller manual.
  const log = '(1.0) can0 18FECA00#04FF64000181FFFF\n'
  expect((await faults(log)).replaceAll(/\s+/g, ' ')).toContain(
    'an old way, which can be read as SPN 100 (version 3) or',
  )
  const [episode] = (await json(log)).episodes
  expect(episode).toMatchObject({ spn: 100, ambiguous: true })
  expect(episode.readings.map(({ version }: { version: number }) => version)).toEqual([3, 2, 1])
})

test('names faults by own definitions first', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
  const file = join(folder, 'box.json')
  const signal = { kind: 'numeric', spn: 520307, name: 'Winch motor', at: '1', bits: 8, resolution: 1, unit: 'A' }
  const groups = [{ pgn: 65313, acronym: 'BOX', name: 'Winch', signals: [signal] }]
  writeFileSync(file, JSON.stringify({ version: 1, source: 'made up for this test', groups }))
  // SPN 520307 FMI 2: a trouble code of a keypad's J1939 manual.
  const log = '(1.0) can0 18FECA00#04FF73F0E203FFFF\n'
  expect(await faults(log)).toContain('SPN 520307, not in the public list known here: erratic')
  expect(await faults(log, '--definitions', file)).toContain('  Winch motor: erratic, intermittent or wrong data\n')
  rmSync(folder, { recursive: true })
})

describe('json', () => {
  test('has the documented keys', async () => {
    const report = await json(LOG)
    expect(Object.keys(report)).toEqual([
      'schema',
      'version',
      'time',
      'episodes',
      'nodes',
      'lampsWithoutFault',
      'clears',
      'reports',
      'reportsDropped',
    ])
    expect(report).toMatchObject({ schema: 'firstcrank.faults', version: 1 })
    expect(Object.keys(report.episodes[0])).toEqual(
      expect.arrayContaining([
        'channel',
        'sa',
        'spn',
        'fmi',
        'source',
        'firstSeen',
        'lastSeen',
        'clearedAt',
        'occurrenceCounts',
        'lamps',
      ]),
    )
  })

  test('tells episodes apart, and never counts repeats', async () => {
    const { episodes } = await json(LOG)
    expect(episodes).toMatchObject([
      {
        channel: 'can0',
        sa: 0,
        spn: 110,
        fmi: 3,
        source: 'DM1',
        firstSeen: 1700000001,
        lastSeen: 1700000002.1,
        clearedAt: 1700000003,
        occurrenceCounts: [{ t: 1700000001, count: 1 }],
      },
      {
        spn: 100,
        fmi: 1,
        source: 'DM1',
        firstSeen: 1700000002.1,
        lastSeen: 1700000005.1,
        clearedAt: null,
        occurrenceCounts: [{ t: 1700000002.1, count: 1 }],
      },
      { spn: 91, fmi: 2, source: 'DM2', state: 'previously-active', clearedAt: null },
      { spn: 110, fmi: 3, firstSeen: 1700000005.1, occurrenceCounts: [{ t: 1700000005.1, count: 2 }] },
    ])
    expect(episodes[1].lamps[0]).toMatchObject({ t: 1700000002.1, redStop: { state: 'on' }, protect: { state: 'off' } })
  })

  test('prints times with six decimals', async () => {
    expect(await faults(LOG, '--format', 'json')).toContain('"firstSeen": 1700000002.100000,')
  })

  test('tells who spoke, which lamps were lit alone, and what was cleared', async () => {
    const { nodes, lampsWithoutFault, clears } = await json(LOG)
    expect(nodes).toEqual({
      reporting: [
        { channel: 'can0', sa: 0 },
        { channel: 'can0', sa: 33 },
      ],
      silent: [
        { channel: 'can0', sa: 49 },
        { channel: 'can0', sa: 249 },
      ],
    })
    expect(lampsWithoutFault).toMatchObject([{ sa: 33, t: 1700000001.1, amberWarning: { state: 'on' } }])
    expect(clears).toEqual([
      { channel: 'can0', sa: 249, da: 255, t: 1700000004, dm: 11, clears: 'active', spn: null, fmi: null },
    ])
  })
})
