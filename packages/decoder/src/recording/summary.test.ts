import { describe, expect, it } from 'vitest'
import { bamFrames, type LogFrame, printLog, utf8 } from '../../../../tests/support/log.js'
import type { GroupDefinition } from '../catalog/definition.js'
import { openRecording } from './recording.js'
import { type SummaryOptions, summarizeLog } from './summary.js'

const S = 1_000_000
const START = 1_600_000_000 * S

const FRAMES: readonly LogFrame[] = [
  { time: 0, pgn: 60928, sa: 3, da: 255, data: '0100000000000000' },
  { time: 0.1 * S, pgn: 61444, sa: 0, data: '50 7D 8D D1 12 00 F4 8E' },
  { time: 0.2 * S, pgn: 65297, sa: 0, data: '01 02' },
  { time: 0.3 * S, pgn: 59904, sa: 37, da: 0, data: 'E5FE00' },
  { time: 0.4 * S, pgn: 65253, sa: 0, data: '2E 05 05 00 BF F3 0D 00' },
  { time: 0.5 * S, pgn: 59904, sa: 37, da: 3, data: 'E5FE00' },
  ...bamFrames({ time: 0.6 * S, pgn: 65259, sa: 0, data: '4F574E2A44454D4F2A303030312A' }),
  { time: 1 * S, pgn: 65226, sa: 0, data: '04FF5E000301FFFF' },
  { time: 1.1 * S, pgn: 0, sa: 254, da: 0, data: 'FF' },
  { time: 1.2 * S, pgn: 61444, sa: 3, channel: 'can1', data: '00' },
  ...bamFrames({ time: 2 * S, pgn: 65251, sa: 0, data: '00'.repeat(20) }).slice(0, 2),
  { time: 5 * S, pgn: 61444, sa: 0, data: '50 7D 8D D1 12 00 F4 8E' },
]
const LOG = utf8(
  `${printLog(FRAMES.map((frame) => ({ ...frame, time: START + frame.time })))}nonsense\n(1600000005.000000) can0 123#11\n`,
)

const summarize = (options?: SummaryOptions) => summarizeLog(LOG, options)

describe('a summary', () => {
  it('is the same from one pass and from a recording', async () => {
    const recording = await openRecording(LOG, { summary: true })
    expect(await summarize()).toEqual(recording.summary())
  })

  it('counts lines, frames and problems', async () => {
    const { channels, counts, problems, clock } = await summarize()
    expect(channels).toEqual(['can0', 'can1'])
    expect(counts).toMatchObject({ lines: 17, extended: 15, standard: 1, malformed: 1 })
    expect(problems).toEqual({
      counts: [{ code: 'not-a-log-line', count: 1, lost: true }],
      first: [{ code: 'not-a-log-line', line: 16, text: 'nonsense' }],
    })
    expect(clock).toMatchObject({ first: START, last: START + 5 * S, holes: { total: 1 } })
  })

  it('has a node for each source address of each channel, with what it sends', async () => {
    const { nodes } = await summarize()
    expect(
      nodes.map(({ channel, sa, frames, firstTime, lastTime }) => [
        channel,
        sa,
        frames,
        firstTime - START,
        lastTime - START,
      ]),
    ).toEqual([
      [0, 0, 10, 0.1 * S, 5 * S],
      [0, 3, 1, 0, 0],
      [0, 37, 2, 0.3 * S, 0.5 * S],
      [0, 254, 1, 1.1 * S, 1.1 * S],
      [1, 3, 1, 1.2 * S, 1.2 * S],
    ])
    expect(
      nodes[0].groups.map(({ pgn, count, frames, definition }) => [pgn, count, frames, definition?.acronym]),
    ).toEqual([
      [60160, 3, 3, 'TPDT'],
      [60416, 2, 2, 'TPCM'],
      [61444, 2, 2, 'EEC1'],
      [65226, 1, 1, 'DM1'],
      [65253, 1, 1, 'HOURS'],
      [65259, 1, 0, 'CI'],
      [65297, 1, 1, undefined],
    ])
  })

  it('knows who holds an address, and what nodes say of themselves', async () => {
    const { nodes } = await summarize()
    expect(nodes[1]).toMatchObject({ name: { value: 1n }, holdings: [{ from: START, until: null }] })
    expect([nodes[0].name, nodes[3].name, nodes[4].name]).toEqual([null, null, null])
    expect(nodes.map(({ identifications }) => identifications.map(({ fields }) => fields[0].text))).toEqual([
      ['OWN'],
      ...[[], [], [], []],
    ])
  })

  it('has what became of long messages and of requests', async () => {
    const { transport, requests, events } = await summarize()
    expect(transport).toEqual({ completed: 1, byCode: new Map([['timed-out', 1]]) })
    expect(
      requests.map(({ asker, asked, pgn, answered, unanswered }) => [asker, asked, pgn, answered, unanswered]),
    ).toEqual([
      [37, 0, 65253, 1, 0],
      [37, 3, 65253, 0, 1],
    ])
    expect(events.map((event) => event.kind)).toEqual(['node', 'transport'])
  })

  it('has faults, lamps and loads', async () => {
    const { episodes, lamps, loads, eventsDropped } = await summarize({ bitRate: 500_000 })
    expect(episodes).toMatchObject([{ spn: 94, fmi: 3, sa: 0, unseen: 4 * S }])
    expect(lamps).toMatchObject([{ sa: 0, source: 'DM1' }])
    expect(loads.map(({ channel, frames, bitRate }) => [channel, frames, bitRate])).toEqual([
      [0, 15, { value: 500_000, basis: 'given' }],
      [1, 1, { value: 500_000, basis: 'given' }],
    ])
    expect(eventsDropped).toBe(0)
  })

  it('names groups by a person’s own definitions', async () => {
    const own: GroupDefinition = { pgn: 65297, acronym: 'OWN', name: 'Own', length: 8, sources: ['own'], signals: [] }
    const { nodes } = await summarize({ definitions: [own] })
    expect(nodes[0].groups.find(({ pgn }) => pgn === 65297)?.definition).toBe(own)
  })

  it('of an empty log is empty', async () => {
    expect(await summarizeLog(new Uint8Array())).toMatchObject({
      ...{ channels: [], nodes: [], loads: [], requests: [], episodes: [], lamps: [], events: [] },
      clock: { first: undefined, last: undefined },
    })
  })

  it('cannot be made of what is no source, nor at an impossible bit rate', async () => {
    await expect(summarizeLog(7 as unknown as Uint8Array)).rejects.toMatchObject({ code: 'not-a-source' })
    await expect(summarize({ bitRate: 0 })).rejects.toMatchObject({ code: 'bit-rate' })
  })
})

it('finds one gap among 20,000 messages', async () => {
  const lines = Array.from({ length: 20_000 }, (_, index) => {
    const time = START + index * 10_000 + (index >= 10_000 ? 0.5 * S : 0)
    return printLog([{ time, pgn: 61444, data: '00' }])
  })
  const { nodes } = await summarizeLog(utf8(lines.join('')))
  expect(nodes[0].groups[0].intervals).toEqual({
    ...{ period: 10_000, jitter: 0, gaps: 1 },
    longestGaps: [{ from: START + 9999 * 10_000, to: START + 10_000 * 10_000 + 0.5 * S }],
  })
})
