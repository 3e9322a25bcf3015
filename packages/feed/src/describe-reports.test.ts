/** Reports of a recording. Frames are made up so that no two fields are alike; layouts from memory, as the decoder has them. */
import { openRecording } from '@firstcrank/decoder'
import { describe, expect, test } from 'vitest'
import { answerRequest } from './answer.js'
import { type RecordingInfo, recordingInfo } from './recording-info.js'

const START = 1_700_000_000_000_000

/**
 * An expanded freeze frame of SPN 100 FMI 1, read by the list in the DM24 before it; readiness twice with one
 * content and once with another; a memory access request to one node.
 */
const LOG = `(1700000000.000000) can0 1CECFF00#20080002FFB6FD00
(1700000000.050000) can0 1CEBFF00#01BE0018026E0018
(1700000000.100000) can0 1CEBFF00#0201FFFFFFFFFFFF
(1700000001.000000) can0 18FDB700#0764000101E015FF
(1700000002.000000) can1 18FECE00#0203140703000000
(1700000003.000000) can1 18FECE00#0103140703010001
(1700000004.000000) can1 18FECE00#0203140703000000
(1700000005.000000) can1 18D903F9#0102030405060708
`

async function infoOf(log: string): Promise<RecordingInfo> {
  const recording = await openRecording(new TextEncoder().encode(log))
  return recordingInfo.parse(answerRequest({ recording, epoch: 'e', complete: true }, { ask: 'info' }))
}

describe('reports', () => {
  test('each content once, with who said it to whom and when', async () => {
    const { reports, reportsDropped } = await infoOf(LOG)
    expect(reportsDropped).toBe(0)
    const head = ({ channel, sa, da, pgn, dm, name, kind, firstTime, lastTime, count }: (typeof reports)[number]) => {
      const at = [firstTime, lastTime].map((time) => (time - START) / 1e6)
      return [channel, sa, da, pgn, dm, name, kind, ...at, count]
    }
    expect(reports.map(head)).toEqual([
      ['can0', 0, 255, 64950, 24, 'Supported parameters', 'spn-support', 0.1, 0.1, 1],
      ['can0', 0, 255, 64951, 25, 'Expanded freeze frame', 'expanded-freeze-frames', 1, 1, 1],
      ['can1', 0, 255, 65230, 5, 'Diagnostic readiness 1', 'readiness-1', 2, 4, 2],
      ['can1', 0, 255, 65230, 5, 'Diagnostic readiness 1', 'readiness-1', 3, 3, 1],
      ['can1', 249, 3, 55552, 14, 'Memory access request', 'other', 5, 5, 1],
    ])
  })

  test('with the fault of a freeze frame, its values and their units', async () => {
    const { reports } = await infoOf(LOG)
    expect(reports[1]?.parts).toEqual([
      {
        fault: {
          ...{ spn: 100, fmi: 1, name: 'Engine oil pressure', meaning: 'below normal range, most severe' },
          ...{ ambiguous: false, count: 1 },
        },
        lines: [
          { label: 'Engine speed', spn: 190, value: 700, status: 'valid', unit: 'rpm', resolution: 0.125 },
          {
            ...{ label: 'Engine coolant temperature', spn: 110, value: null, status: 'not-available' },
            ...{ unit: '°C', resolution: 1 },
          },
        ],
      },
    ])
  })

  test('in words where there is no number, and a count without a unit', async () => {
    const { reports } = await infoOf(LOG)
    expect(reports[2]?.parts[0]?.fault).toBeNull()
    expect(reports[2]?.parts[0]?.lines.slice(0, 3)).toEqual([
      { label: 'Active trouble codes', spn: 1218, value: 2, status: 'valid', unit: null, resolution: 1 },
      { label: 'Previously active trouble codes', spn: 1219, value: 3, status: 'valid', unit: null, resolution: 1 },
      {
        ...{ label: 'Built to comply with', spn: 1220, value: 'HD OBD (code 20)', status: 'valid' },
        ...{ unit: null, resolution: null },
      },
    ])
  })

  test('as many as fit a page, the others counted', async () => {
    // DM24 of many nodes, each of 200 parameters.
    const bytes = Array.from({ length: 800 }, (_, at) => (['6E', '00', '18', '01'] as const)[at % 4])
    const broadcast = (sa: number): string => {
      const from = sa.toString(16).toUpperCase().padStart(2, '0')
      const packets = Array.from({ length: Math.ceil(bytes.length / 7) }, (_, at) => {
        const data = bytes.slice(at * 7, at * 7 + 7).join('')
        return `1CEBFF${from}#${(at + 1).toString(16).toUpperCase().padStart(2, '0')}${data.padEnd(14, 'F')}`
      })
      const frames = [`1CECFF${from}#20200373FFB6FD00`, ...packets]
      return frames
        .map((frame, at) => `(${1_700_000_000 + sa}.${String(at * 1000).padStart(6, '0')}) can0 ${frame}\n`)
        .join('')
    }
    const { reports, reportsDropped } = await infoOf(Array.from({ length: 40 }, (_, sa) => broadcast(sa)).join(''))
    expect(reports.length).toBeGreaterThan(5)
    expect(reports.length).toBeLessThan(40)
    expect(reportsDropped).toBe(40 - reports.length)
    expect(JSON.stringify(reports).length).toBeLessThan(300_000)
  })

  test('none where nobody sent any', async () => {
    const { reports, reportsDropped } = await infoOf('(1700000000.000000) can0 0CF00400#F07D7D0000000000\n')
    expect({ reports, reportsDropped }).toEqual({ reports: [], reportsDropped: 0 })
  })
})
