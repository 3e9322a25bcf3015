import { describe, expect, it, vi } from 'vitest'
import { bamFrames, hexOf, type LogFrame, printLog, utf8 } from '../../../../tests/support/log.js'
import type { BusOptions } from './bus-decoder.js'
import type { BusEvent } from './events.js'
import { createLogDecoder, type LogDecoder } from './log-decoder.js'

const S = 1_000_000
const START = 1_600_000_000 * S

/** What a decoder said, in order: rows as `pgn/sa data`, long messages as `= pgn payload`, events as `! code`. */
interface Heard {
  readonly said: string[]
  readonly events: BusEvent[]
  readonly log: LogDecoder
}

function listen(options: BusOptions = {}): Heard {
  const said: string[] = []
  const events: BusEvent[] = []
  const log = createLogDecoder(
    ({ keys }) => ({
      frames: (batch, from, to) => {
        for (let row = from; row < to; row++) {
          const id = keys.id[batch.key[row]].toString(16).padStart(8, '0')
          said.push(`${id} ${hexOf(batch.bytes.subarray(row * 8, row * 8 + batch.length[row]))}`)
        }
      },
      assembled: ({ pgn, payload }) => said.push(`= ${pgn} ${hexOf(payload)}`),
      event: (event) => {
        events.push(event)
        said.push(`! ${event.kind === 'clear' ? event.command.kind : event.code}`)
      },
    }),
    options,
  )
  return { said, events, log }
}

/** Frames with times in microseconds from the start of the recording. */
function hear(frames: readonly LogFrame[], options?: BusOptions): Heard {
  const heard = listen(options)
  const text = printLog(frames.map((frame) => ({ ...frame, time: START + frame.time })))
  heard.log.reader.push(utf8(text))
  heard.log.reader.finish()
  heard.log.bus.finish()
  return heard
}

describe('frames and messages', () => {
  const long = bamFrames({ time: 1000, pgn: 65251, sa: 3, data: '01 02 03 04 05 06 07 08 09 0A' })

  it('come once each, in the order of the log, a long message behind its last frame', () => {
    const plain = (time: number, data: string): LogFrame => ({ time, pgn: 61444, priority: 3, data })
    const { said } = hear([
      plain(0, '00'),
      long[0],
      plain(2000, '01'),
      plain(3000, '02'),
      long[1],
      long[2],
      plain(200_000, '03'),
    ])
    expect(said).toEqual([
      '0cf00400 00',
      '1cecff03 200A0002FFE3FE00',
      '0cf00400 01',
      '0cf00400 02',
      '1cebff03 0101020304050607',
      '1cebff03 0208090AFFFFFFFF',
      '= 65251 0102030405060708090A',
      '0cf00400 03',
    ])
  })

  it('that stay unfinished are an event at the end, and are counted', () => {
    const { said, log } = hear(long.slice(0, 2))
    expect(said.at(-1)).toBe('! recording-ended')
    expect(log.bus.transportCounts).toEqual({ completed: 0, byCode: new Map([['recording-ended', 1]]) })
    expect(hear(long).log.bus.transportCounts).toEqual({ completed: 1, byCode: new Map() })
  })

  it('that were given up before the end say so, though no other transport frame came', () => {
    const { events } = hear([...long.slice(0, 2), { time: 9 * S, pgn: 61444, data: '00' }])
    // Silence of twice the 750 ms of J1939-21, from the last packet on.
    expect(events).toMatchObject([{ code: 'timed-out', time: START + 51_000 + 1_500_000 }])
  })

  it('are limited as asked', () => {
    const { said, log } = hear(long, { transportLimits: { maxPayload: 9 } })
    expect(said).toContain('! over-size-limit')
    expect(log.bus.transportCounts.completed).toBe(0)
  })
})

describe('requests', () => {
  const ask = (time: number, data: string, da = 0): LogFrame => ({ time, pgn: 59904, sa: 37, da, data })
  const answer = (time: number, pgn: number, sa = 0, da = 37): LogFrame => ({
    time,
    pgn,
    sa,
    da,
    data: 'FFFFFFFFFFFFFFFF',
  })
  const rowsOf = (frames: readonly LogFrame[]) =>
    hear(frames)
      .log.bus.requests.results()
      .map(({ pgn, requests, answered, acknowledged, refused, unanswered, fastest }) => ({
        ...{ pgn, requests, answered, acknowledged, refused: refused.negative, unanswered, fastest },
      }))
  const once = { requests: 1, answered: 0, acknowledged: 0, refused: 0, unanswered: 0, fastest: null }

  it.each([
    ['a group for all', 'E5FE00', 65253],
    ['a group nobody has defined', '11FF00', 65297],
    ['a directed group', '00E000', 57344],
    ['a directed group whose low byte is filled in', 'FFE000', 57344],
  ])('are answered by the group: %s', (_, data, pgn) => {
    const wanted = [{ ...once, pgn, answered: 1, fastest: 200_000 }]
    expect(rowsOf([ask(0, data), answer(200_000, pgn)])).toEqual(wanted)
    // The same where the group had been sent before anybody asked for it.
    expect(rowsOf([answer(-9 * S, pgn), ask(0, data), answer(200_000, pgn), answer(300_000, pgn)])).toEqual(wanted)
  })

  it('are answered by a long message, from when it began', () => {
    const [row] = rowsOf([ask(0, 'E3FE00'), ...bamFrames({ time: 100_000, pgn: 65251, data: '00'.repeat(39) })])
    expect(row).toEqual({ ...once, pgn: 65251, answered: 1, fastest: 100_000 })
  })

  it('are refused, or acknowledged', () => {
    const acknowledge = (control: string): LogFrame => ({
      time: 50_000,
      pgn: 59392,
      da: 255,
      data: `${control} FF FF FF 25 E5 FE 00`,
    })
    expect(rowsOf([ask(0, 'E5FE00'), acknowledge('01')])).toEqual([{ ...once, pgn: 65253, refused: 1 }])
    expect(rowsOf([ask(0, 'E5FE00'), acknowledge('00')])).toEqual([{ ...once, pgn: 65253, acknowledged: 1 }])
  })

  it('stay unanswered, by the latest time of the recording', () => {
    const other = (time: number): LogFrame => ({ time, pgn: 61444, sa: 9, data: '00' })
    expect(rowsOf([ask(0, 'E5FE00'), other(2 * S)])).toEqual([{ ...once, pgn: 65253, unanswered: 1 }])
    expect(rowsOf([ask(0, 'E5FE00'), other(2 * S), other(1.1 * S)])).toEqual([{ ...once, pgn: 65253, unanswered: 1 }])
    expect(rowsOf([ask(0, 'E5FE00'), other(1 * S)])).toEqual([{ ...once, pgn: 65253 }])
    expect(rowsOf([ask(0, 'E5FE00'), answer(2 * S, 65253)])).toEqual([{ ...once, pgn: 65253, unanswered: 1 }])
  })

  it('with too few bytes are counted as malformed', () => {
    expect(hear([ask(0, 'E5')]).log.bus.requests.malformed).toBe(1)
    expect(hear([{ time: 0, pgn: 59392, da: 255, data: '01' }]).log.bus.requests.malformed).toBe(1)
  })
})

describe('nodes', () => {
  const claim = (time: number, sa: number, name: string): LogFrame => ({ time, pgn: 60928, sa, da: 255, data: name })

  it('are known by any of their frames; the null and global addresses are none', () => {
    const frames = [0, 3, 254, 255, 3].map(
      (sa, index): LogFrame => ({ time: index * S, pgn: 65262 + index, sa, data: '' }),
    )
    expect(
      hear(frames)
        .log.bus.nodes.nodes()
        .map(({ address, firstTime }) => [address, firstTime - START]),
    ).toEqual([
      [0, 0],
      [3, S],
    ])
  })

  it('claim addresses, and a contest is settled by the end of the recording', () => {
    const { events, log } = hear([
      claim(0, 3, '0100000000000000'),
      claim(1 * S, 3, '0200000000000000'),
      { time: 4 * S, pgn: 61444, data: '00' },
    ])
    expect(events.map((event) => 'code' in event && event.code)).toEqual(['claimed', 'contested', 'taken-over'])
    expect(log.bus.nodes.nameAt(0, 3, START + 4 * S)?.value).toBe(2n)
  })

  it('are commanded to take another address by a long message', () => {
    const { events } = hear(bamFrames({ time: 0, pgn: 65240, sa: 37, data: '01 00 00 00 00 00 00 80 07' }))
    expect(events).toMatchObject([{ kind: 'node', code: 'commanded', address: 7 }])
  })

  it('say who they are, in one frame or in several', () => {
    const { log } = hear([
      ...bamFrames({ time: 0, pgn: 65259, data: '4F574E2A44454D4F2A303030312A' }),
      { time: 2 * S, pgn: 65242, sa: 3, data: '01 56 31 2A' },
    ])
    expect(log.bus.identifications.list.map(({ sa, kind, fields }) => [sa, kind, fields[0].text])).toEqual([
      [0, 'component', 'OWN'],
      [3, 'software', 'V1'],
    ])
  })
})

describe('faults', () => {
  /** A DM1 with SPN 94 FMI 3, counted once: an amber lamp. */
  const dm1 = (time: number, data = '04 FF 5E 00 03 01 FF FF', sa = 0, channel = 'can0'): LogFrame => ({
    time,
    channel,
    pgn: 65226,
    sa,
    data,
  })

  it('become episodes, ended at the latest time of the recording', () => {
    const { log } = hear([
      dm1(0),
      dm1(1 * S),
      { time: 5 * S, pgn: 61444, data: '' },
      { time: 4.5 * S, pgn: 65262, data: '' },
    ])
    expect(log.bus.episodes.list).toMatchObject([
      { spn: 94, fmi: 3, firstSeen: START, lastSeen: START + S, endedBy: 'recording-ended', unseen: 4 * S },
    ])
  })

  it('of a list that is repeated are read once; of another list, node or bus anew', () => {
    const { log } = listen()
    const add = vi.spyOn(log.bus.episodes, 'add')
    const other = '04 FF 6E 00 03 01 FF FF'
    const frames = [
      dm1(0),
      dm1(S),
      dm1(2 * S, other),
      dm1(3 * S, other),
      dm1(4 * S),
      dm1(5 * S, undefined, 1),
      dm1(6 * S, undefined, 0, 'can1'),
    ]
    log.reader.push(utf8(printLog(frames.map((frame) => ({ ...frame, time: START + frame.time })))))
    const lists = add.mock.calls.map(([list]) => list)
    expect(lists[1]).toBe(lists[0])
    expect(lists[3]).toBe(lists[2])
    expect(new Set(lists).size).toBe(5)
    expect(lists[4]).toEqual(lists[0])
    expect(lists.map(({ faults }) => faults[0].spn)).toEqual([94, 94, 110, 110, 94, 94, 94])
  })

  it('of a long list are read when it is whole', () => {
    const data = '44FF 5E000301 6E000381 BE001F02'
    const { log } = hear(bamFrames({ time: 0, pgn: 65226, data }))
    expect(log.bus.episodes.list.map(({ spn, fmi }) => [spn, fmi])).toEqual([
      [94, 3],
      [110, 3],
      [190, 31],
    ])
  })

  it('are read by the layout that is said to be a node’s', () => {
    // Method bit 1. As version 1 the three bytes are SPN 18..11, 10..3, 2..0 (genset controller manual).
    const old = dm1(0, '04 FF 00 0B C3 81 FF FF')
    const spnOf = (options?: BusOptions) => hear([old], options).log.bus.episodes.list[0].spn
    expect(spnOf({ conversion: () => 1 })).toBe((0x00 << 11) | (0x0b << 3) | 6)
    expect(spnOf({ conversion: () => 2 })).toBe((0x0b << 11) | (0x00 << 3) | 6)
    expect(spnOf({ conversion: () => 3 })).toBe((6 << 16) | (0x0b << 8))
    const asked: [number, number][] = []
    hear([old], {
      conversion: (channel, sa) => {
        asked.push([channel, sa])
        return undefined
      },
    })
    expect(asked).toEqual([[0, 0]])
  })

  it('are cleared by command, which is an event', () => {
    const { events } = hear([
      { time: 0, pgn: 59904, sa: 249, da: 0, data: 'D3FE00' },
      { time: S, pgn: 65228, sa: 249, data: 'FFFFFFFFFFFFFFFF' },
      { time: 2 * S, pgn: 49920, sa: 249, da: 0, data: '01 FF FF FF FF 5E 00 03' },
      { time: 3 * S, pgn: 59904, sa: 249, da: 255, data: 'CAFE00' },
    ])
    expect(events).toMatchObject([
      {
        kind: 'clear',
        time: START,
        sa: 249,
        da: 0,
        command: { kind: 'clear', dm: 11, form: 'request', clears: 'active' },
      },
      {
        kind: 'clear',
        time: START + S,
        sa: 249,
        da: 255,
        command: { kind: 'clear', dm: 3, form: 'group', clears: 'previously-active' },
      },
      { kind: 'clear', time: START + 2 * S, da: 0, command: { kind: 'individual-clear', fault: { spn: 94, fmi: 3 } } },
    ])
    expect(events).toHaveLength(3)
  })
})
