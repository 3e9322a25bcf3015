import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type DtcInput, decodeDtc, encodeDtc } from './dtc.js'
import { type Episode, Episodes } from './episodes.js'
import { decodeFaultList, encodeFaultList, type FaultListSource } from './fault-list.js'
import { decodeLamps } from './lamps.js'

const SECOND = 1_000_000

/** Lamp status and flash bytes. */
type LampBytes = readonly [status: number, flash: number]
const STEADY_OFF: LampBytes = [0x00, 0xff]

interface Sent {
  readonly at: number
  readonly faults?: readonly DtcInput[]
  readonly lamps?: LampBytes
  readonly sa?: number
  readonly channel?: number
  readonly source?: FaultListSource
}

const fault = (spn: number, fmi: number, occurrenceCount: number | null = 1): DtcInput => ({
  spn,
  fmi,
  occurrenceCount,
})

/** Adds lists as nodes send them, times in seconds. */
function collect(sent: readonly Sent[], episodes: Episodes = new Episodes()): Episodes {
  for (const { at, faults = [], lamps = STEADY_OFF, sa = 0, channel = 0, source = 'DM1' } of sent) {
    const payload = encodeFaultList(decodeLamps(...lamps), faults)
    episodes.add(decodeFaultList(source, payload), { channel, sa, time: at * SECOND })
  }
  return episodes
}

/** SPN, FMI, and first, last and clear time in seconds. */
const outline = ({ spn, fmi, firstSeen, lastSeen, clearedAt }: Episode) => [
  spn,
  fmi,
  firstSeen / SECOND,
  lastSeen / SECOND,
  clearedAt === null ? null : clearedAt / SECOND,
]

describe('one fault', () => {
  it('is one episode, however often the list is repeated', () => {
    const { list } = collect([
      { at: 0 },
      { at: 1, faults: [fault(100, 1)] },
      { at: 2, faults: [fault(100, 1)] },
      { at: 3, faults: [fault(100, 1)] },
      { at: 4 },
      { at: 5 },
    ])
    expect(list).toHaveLength(1)
    expect(list[0]).toMatchObject({
      channel: 0,
      sa: 0,
      source: 'DM1',
      state: 'active',
      spn: 100,
      fmi: 1,
      ambiguous: false,
      firstSeen: 1 * SECOND,
      lastSeen: 3 * SECOND,
      clearedAt: 4 * SECOND,
      endedBy: 'cleared',
      unseen: null,
    })
    expect(list[0].occurrenceCounts).toEqual([{ time: 1 * SECOND, count: 1 }])
  })

  it('keeps each change of its count, with the time', () => {
    const { list } = collect([
      { at: 1, faults: [fault(91, 2, 3)] },
      { at: 2, faults: [fault(91, 2, 3)] },
      { at: 3, faults: [fault(91, 2, 4)] },
      { at: 4, faults: [fault(91, 2, 4)] },
      { at: 5, faults: [fault(91, 2, null)] },
    ])
    expect(list[0].occurrenceCounts).toEqual([
      { time: 1 * SECOND, count: 3 },
      { time: 3 * SECOND, count: 4 },
      { time: 5 * SECOND, count: null },
    ])
  })

  it('begins a new episode when it comes again', () => {
    const { list } = collect([{ at: 1, faults: [fault(91, 2, 1)] }, { at: 2 }, { at: 3, faults: [fault(91, 2, 2)] }])
    expect(list.map(outline)).toEqual([
      [91, 2, 1, 1, 2],
      [91, 2, 3, 3, null],
    ])
    expect(list[1].occurrenceCounts).toEqual([{ time: 3 * SECOND, count: 2 }])
  })
})

describe('several faults', () => {
  it('come and go on their own', () => {
    const { list } = collect([
      { at: 1, faults: [fault(3509, 4)] },
      { at: 2, faults: [fault(3509, 4), fault(102, 4), fault(100, 4)] },
      { at: 3, faults: [fault(102, 4), fault(100, 4)] },
      { at: 4, faults: [fault(100, 4)] },
    ])
    expect(list.map(outline)).toEqual([
      [3509, 4, 1, 2, 3],
      [102, 4, 2, 3, 4],
      [100, 4, 2, 4, null],
    ])
  })

  it('differ by FMI, node, channel and kind of list', () => {
    const { list } = collect([
      { at: 1, faults: [fault(100, 1), fault(100, 3)] },
      { at: 2, faults: [fault(100, 1)], sa: 1 },
      { at: 3, faults: [fault(100, 1)], channel: 1 },
      { at: 4, faults: [fault(100, 1)], source: 'DM2' },
      { at: 5, sa: 1 },
      { at: 6, source: 'DM2' },
    ])
    expect(list.map(({ sa, channel, source, fmi, clearedAt }) => [sa, channel, source, fmi, clearedAt])).toEqual([
      [0, 0, 'DM1', 1, null],
      [0, 0, 'DM1', 3, null],
      [1, 0, 'DM1', 1, 5 * SECOND],
      [0, 1, 'DM1', 1, null],
      [0, 0, 'DM2', 1, 6 * SECOND],
    ])
    expect(list[4].state).toBe('previously-active')
  })

  it('are one where a list names them twice, with the higher count', () => {
    const twice = [fault(1668, 9, null), fault(1668, 9, 2), fault(1668, 9, 5), fault(1668, 9, 3)]
    const { list } = collect([
      { at: 1, faults: twice },
      { at: 2, faults: twice },
    ])
    expect(list).toHaveLength(1)
    expect(list[0].occurrenceCounts).toEqual([{ time: 1 * SECOND, count: 5 }])
  })
})

describe('what does not clear a fault', () => {
  it('is silence', () => {
    const episodes = collect([
      { at: 1, faults: [fault(100, 1)] },
      { at: 2, faults: [fault(100, 1)] },
      { at: 9, sa: 3 },
    ])
    expect(episodes.list[0]).toMatchObject({ endedBy: null, unseen: null })
    expect(episodes.finish(30 * SECOND).map(outline)).toEqual([[100, 1, 1, 2, null]])
    expect(episodes.list[0]).toMatchObject({ endedBy: 'recording-ended', unseen: 28 * SECOND })
  })

  it('is a list cut short', () => {
    const episodes = collect([{ at: 1, faults: [fault(100, 1), fault(102, 4)] }])
    const cut = encodeFaultList(decodeLamps(0, 0xff), [fault(100, 1), fault(190, 8)]).subarray(0, 9)
    episodes.add(decodeFaultList('DM1', cut), { channel: 0, sa: 0, time: 2 * SECOND })
    episodes.add(decodeFaultList('DM1', new Uint8Array()), { channel: 0, sa: 0, time: 3 * SECOND })
    expect(episodes.list.map(outline)).toEqual([
      [100, 1, 1, 2, null],
      [102, 4, 1, 1, null],
    ])
  })

  it('is another kind of list, or another node', () => {
    const { list } = collect([
      { at: 1, faults: [fault(100, 1)] },
      { at: 2, source: 'DM12' },
      { at: 3, sa: 1 },
    ])
    expect(list.map(outline)).toEqual([[100, 1, 1, 1, null]])
  })
})

it('is cleared by a list of lamps alone', () => {
  const episodes = collect([{ at: 1, faults: [fault(100, 1)] }])
  episodes.add(decodeFaultList('DM1', Uint8Array.of(0x00, 0xff)), { channel: 0, sa: 0, time: 2 * SECOND })
  expect(episodes.list.map(outline)).toEqual([[100, 1, 1, 1, 2]])
})

it('keeps the readings of an SPN the data leaves open', () => {
  const bytes = encodeDtc({ spn: 190, fmi: 2, occurrenceCount: 5, version: 2 })
  const payload = Uint8Array.of(0, 0xff, ...bytes, 0xff, 0xff)
  const episodes = new Episodes()
  episodes.add(decodeFaultList('DM1', payload), { channel: 0, sa: 0, time: 0 })
  const { spn, fmi, readings } = decodeDtc(bytes)
  expect(episodes.list[0]).toMatchObject({ spn, fmi, ambiguous: true, readings })
  expect(readings).toHaveLength(3)
})

it('never ends before it was last seen, when times run backwards', () => {
  const { list } = collect([{ at: 5, faults: [fault(100, 1)] }, { at: 4.9, faults: [fault(100, 1)] }, { at: 4.8 }])
  expect(list.map(outline)).toEqual([[100, 1, 5, 5, 5]])
})

describe('lamps', () => {
  it('are kept with the episode: first, then changes', () => {
    const { list } = collect([
      { at: 1, faults: [fault(100, 1)], lamps: [0x04, 0xff] },
      { at: 2, faults: [fault(100, 1)], lamps: [0x04, 0xff] },
      { at: 3, faults: [fault(100, 1)], lamps: [0x14, 0xdf] },
      { at: 4, faults: [], lamps: [0x00, 0xff] },
    ])
    expect(list[0].lamps).toEqual([
      { time: 1 * SECOND, lamps: decodeLamps(0x04, 0xff) },
      { time: 3 * SECOND, lamps: decodeLamps(0x14, 0xdf) },
    ])
  })

  it('are kept by node, also without a fault, changes only', () => {
    const { lampHistories } = collect([
      { at: 1, lamps: [0x04, 0xff] },
      { at: 2, lamps: [0x04, 0xff] },
      { at: 3, lamps: [0x00, 0xff] },
      { at: 4, lamps: [0x40, 0xff], sa: 11 },
      { at: 5, lamps: [0x00, 0x00] },
    ])
    expect(lampHistories).toEqual([
      {
        channel: 0,
        sa: 0,
        source: 'DM1',
        changes: [
          { time: 1 * SECOND, lamps: decodeLamps(0x04, 0xff) },
          { time: 3 * SECOND, lamps: decodeLamps(0x00, 0xff) },
        ],
      },
      { channel: 0, sa: 11, source: 'DM1', changes: [{ time: 4 * SECOND, lamps: decodeLamps(0x40, 0xff) }] },
    ])
  })
})

describe('limits', () => {
  it('hold back episodes, and go on with those there are', () => {
    const episodes = new Episodes({ episodes: 2 })
    collect(
      [
        { at: 1, faults: [fault(1, 1), fault(2, 2), fault(3, 3)] },
        { at: 2, faults: [fault(1, 1), fault(2, 2)] },
      ],
      episodes,
    )
    expect(episodes.list.map(outline)).toEqual([
      [1, 1, 1, 2, null],
      [2, 2, 1, 2, null],
    ])
    expect(episodes.overflow).toEqual({ episodes: 1, nodes: 0, changes: 0 })
  })

  it('hold back nodes', () => {
    const episodes = new Episodes({ nodes: 1 })
    collect([{ at: 1 }, { at: 2, sa: 1, faults: [fault(1, 1)] }, { at: 3, faults: [fault(2, 2)] }], episodes)
    expect(episodes.list.map(outline)).toEqual([[2, 2, 3, 3, null]])
    expect(episodes.overflow).toEqual({ episodes: 0, nodes: 1, changes: 0 })
  })

  it('hold back changes', () => {
    const episodes = new Episodes({ changes: 2 })
    collect(
      [1, 2, 3, 4].map((at) => ({ at, faults: [fault(1, 1, at)] })),
      episodes,
    )
    expect(episodes.list[0].occurrenceCounts.map(({ count }) => count)).toEqual([1, 2])
    expect(episodes.list[0].lastSeen).toBe(4 * SECOND)
    expect(episodes.overflow).toEqual({ episodes: 0, nodes: 0, changes: 2 })
  })
})

it('agrees with a plain rule: a stretch of lists with the fault is an episode', () => {
  fc.assert(
    fc.property(fc.array(fc.subarray([1, 2, 3]), { maxLength: 30 }), (lists) => {
      const { list } = collect(lists.map((spns, at) => ({ at, faults: spns.map((spn) => fault(spn, 7)) })))
      const expected = [1, 2, 3].flatMap((spn) =>
        stretches(
          lists.map((spns) => spns.includes(spn)),
          spn,
        ),
      )
      const byStart = (a: readonly (number | null)[], b: readonly (number | null)[]) =>
        Number(a[2]) - Number(b[2]) || Number(a[0]) - Number(b[0])
      expect(list.map(outline).sort(byStart)).toEqual(expected.sort(byStart))
    }),
  )

  function stretches(present: readonly boolean[], spn: number): (number | null)[][] {
    const text = present.map((is) => (is ? 'x' : '.')).join('')
    return Array.from(text.matchAll(/x+/g), ({ index, 0: run }) => {
      const end = index + run.length
      return [spn, 7, index, end - 1, end < text.length ? end : null]
    })
  }
})
