import { describe, expect, it } from 'vitest'
import { bamFrames, hexOf, type LogFrame, printLog, utf8 } from '../../../../tests/support/log.js'
import type { GroupDefinition, SignalDefinition } from '../catalog/definition.js'
import { openRecording, Recording, type RecordingOptions } from './recording.js'

const S = 1_000_000
const START = 1_600_000_000 * S

/** Opens frames whose times count from the start. */
function open(frames: readonly LogFrame[], options?: RecordingOptions): Promise<Recording> {
  return openRecording(utf8(printLog(frames.map((frame) => ({ ...frame, time: START + frame.time })))), options)
}

const engine = (time: number, data: string, more: Partial<LogFrame> = {}): LogFrame => ({
  time,
  pgn: 61444,
  priority: 3,
  data,
  ...more,
})

describe('signals', () => {
  const frames: readonly LogFrame[] = [
    engine(0, 'FF FF FF 00 10 FF FF FF'),
    engine(1 * S, 'FF FF FF 00 FF FF FF FF'),
    engine(2 * S, 'FF FF FF 00 20 FF FF FF'),
    engine(0.5 * S, 'FF FF FF 00 30 FF FF FF', { sa: 33, channel: 'can1' }),
    { time: 0, pgn: 65262, data: '50' },
    { time: 0, pgn: 0, sa: 11, da: 0, data: 'FF FF FF 7D' },
    { time: 0, pgn: 0, sa: 11, da: 15, data: 'FF FF FF 7E' },
  ]

  it.each([
    [{}, ['61444/0>255', '61444/33>255', '65262/0>255', '0/11>0', '0/11>15']],
    [{ spn: 190 }, ['61444/0>255', '61444/33>255']],
    [{ spn: 190, sa: 33 }, ['61444/33>255']],
    [{ spn: 190, channel: 'can1' }, ['61444/33>255']],
    [{ spn: 190, channel: 'can7' }, []],
    [{ pgn: 65262 }, ['65262/0>255']],
    [{ spn: 518, da: 15 }, ['0/11>15']],
    [{ spn: 9 }, []],
    [{ spn: 190, instance: 0 }, []],
  ])('that fit %j', async (query, wanted) => {
    const recording = await open(frames)
    const places = recording.signals(query).map(({ group, stream }) => `${group.pgn}/${stream.sa}>${stream.da}`)
    // Each of a stream's signals that fits, in order of the streams' first appearance.
    expect([...new Set(places)]).toEqual(wanted)
  })

  it('one signal is the one with the most messages, of equals the one that came first', async () => {
    const recording = await open(frames)
    expect(recording.signal({ spn: 190 })?.stream.sa).toBe(0)
    expect(recording.signal({ spn: 190, sa: 33 })?.count).toBe(1)
    expect(recording.signal({ spn: 518 })?.stream.da).toBe(0)
    expect(recording.signal({ spn: 1 })).toBeUndefined()
  })

  it('are the same objects each time, and grow with the recording', async () => {
    const recording = await open(frames.slice(0, 2))
    const [signal] = recording.signals({ spn: 190 })
    expect(recording.signal({ spn: 190 })).toBe(signal)
    expect(signal.count).toBe(2)
    recording.log.reader.push(utf8(printLog([{ ...frames[2], time: START + 2 * S }])))
    expect(recording.signals({ spn: 190 })).toEqual([signal])
    expect([...signal.values()]).toEqual([512, Number.NaN, 1024])
  })

  it('say what they are of', async () => {
    const signal = (await open(frames)).signal({ spn: 190 })
    expect(signal).toMatchObject({ spn: 190, count: 3, instance: undefined, group: { acronym: 'EEC1' } })
    expect(signal?.definition).toMatchObject({ name: 'Engine speed', kind: 'numeric', unit: 'rpm' })
  })
})

describe('groups of a person’s own', () => {
  const numeric = (spn: number, at: string, bits: number): SignalDefinition => ({
    ...{ kind: 'numeric', spn, name: `Own ${spn}`, at, bits, resolution: 1, offset: 0, unit: 'count' },
    ...{ sources: ['own'], confirmed: 0 },
  })
  const own = (more: Partial<GroupDefinition>): GroupDefinition => ({
    ...{ pgn: 65297, acronym: 'OWN', name: 'Own', length: 8, sources: ['own'], signals: [numeric(520_192, '2', 16)] },
    ...more,
  })

  it('win over the built-in ones with the same number', async () => {
    const frames = [engine(0, '01 02 03 04'), { time: 0, pgn: 65297, data: '01 02 03' }]
    const recording = await open(frames, { definitions: [own({}), own({ pgn: 61444 })] })
    expect(recording.signals().map(({ spn, group }) => [spn, group.pgn])).toEqual([
      [520_192, 61444],
      [520_192, 65297],
    ])
    expect([...(recording.signal({ pgn: 65297 })?.values() ?? [])]).toEqual([0x0302])
    expect(recording.catalogue.find(61444)?.acronym).toBe('OWN')
    expect(recording.catalogue.find(65262)?.acronym).toBe('ET1')
  })

  it('may reach beyond eight bytes', async () => {
    const definitions = [own({ length: 12, signals: [numeric(520_192, '8', 16), numeric(520_193, '12', 8)] })]
    const frames = [
      ...bamFrames({ time: 0, pgn: 65297, data: '00 01 02 03 04 05 06 07 08 09 0A 0B' }),
      { time: 1 * S, pgn: 65297, data: '00 01 02 03 04 05 06 07' },
      ...bamFrames({ time: 2 * S, pgn: 65297, data: '10 11 12 13 14 15 16 17 18' }),
    ]
    const [first, second] = (await open(frames, { definitions })).signals({ pgn: 65297 })
    expect([...first.values()]).toEqual([0x0807, Number.NaN, 0x1817])
    expect([...first.statuses()]).toEqual([0, 5, 0])
    expect([...first.raws()]).toEqual([0x0807, 0xffff, 0x1817])
    expect([...second.values()]).toEqual([11, Number.NaN, Number.NaN])
    expect(first.samples().time).toEqual(Float64Array.of(START + 100_000, START + S, START + 2 * S + 100_000))
  })

  it('may repeat: each block has its own signals, as many as the longest message has blocks', async () => {
    const definitions = [
      own({ length: 'variable', signals: [], repeat: { at: 2, bytes: 4, signals: [numeric(520_192, '2', 16)] } }),
    ]
    const frames = [
      { time: 0, pgn: 65297, data: '09 01 02 03 04' },
      ...bamFrames({ time: S, pgn: 65297, data: '09 11 12 13 14 21 22 23 24 31 32' }),
    ]
    const recording = await open(frames, { definitions })
    const signals = recording.signals({ spn: 520_192 })
    expect(signals.map(({ instance }) => instance)).toEqual([0, 1])
    expect(signals.map((signal) => [...signal.values()])).toEqual([
      [0x0302, 0x1312],
      [Number.NaN, 0x2322],
    ])
    expect(recording.signals({ spn: 520_192, instance: 1 })).toEqual([signals[1]])
  })
})

describe('messages', () => {
  const frames = [
    { time: 0.2 * S, pgn: 65262, sa: 0, data: '00' },
    { time: 0.1 * S, pgn: 65263, sa: 3, channel: 'can1', data: '01' },
    { time: 0.3 * S, pgn: 65262, sa: 0, data: '02' },
    { time: 0.25 * S, pgn: 65297, sa: 3, data: '03' },
    ...bamFrames({ time: 1 * S, pgn: 65251, sa: 0, data: '04'.repeat(9) }),
    { time: 1.05 * S, pgn: 65262, sa: 3, data: '05' },
  ] satisfies LogFrame[]
  const firstBytes = async (query?: Parameters<Recording['messages']>[0]) =>
    [...(await open(frames)).messages(query)]
      .filter(({ pgn }) => pgn < 60000 || pgn > 60500)
      .map(({ payload }) => payload[0])

  it.each([
    [undefined, [1, 0, 3, 2, 5, 4]],
    [{ pgn: 65262 }, [0, 2, 5]],
    [{ sa: 3 }, [1, 3, 5]],
    [{ channel: 'can1' }, [1]],
    [{ channel: 'can9' }, []],
    [{ from: START + 0.2 * S, to: START + 0.3 * S }, [0, 3, 2]],
    [{ from: START + 0.200001 * S, to: START + 0.299999 * S }, [3]],
    [{ pgn: 65262, from: START + 0.3 * S }, [2, 5]],
    [{ to: START - 1 }, []],
  ])('come in order of time and fit %j', async (query, wanted) => {
    expect(await firstBytes(query)).toEqual(wanted)
  })

  it('of groups that nobody has defined are there with their payloads', async () => {
    const recording = await open(frames)
    const [message] = recording.messages({ pgn: 65297 })
    expect(message).toMatchObject({ group: undefined, sa: 3, channel: 'can0', transport: 'single' })
    expect(message.signals()).toEqual([])
    const stream = recording.streams.find(({ pgn }) => pgn === 65297)
    expect(stream && hexOf(stream.payload(0))).toBe('03')
    expect(recording.signals({ pgn: 65297 })).toEqual([])
  })

  it('of several frames know when they began and how they came', async () => {
    const [message] = (await open(frames)).messages({ pgn: 65251 })
    expect(message).toMatchObject({ firstTime: START + S, time: START + 1.1 * S, transport: 'bam' })
    expect(message.payload).toEqual(new Uint8Array(9).fill(4))
  })
})

describe('what happens on the bus', () => {
  const dm1 = (time: number, code: string, lamps = '04FF'): LogFrame => ({
    time,
    pgn: 65226,
    data: `${lamps}${code}`.padEnd(16, 'F'),
  })

  it('faults are episodes, lamps a history', async () => {
    const recording = await open([
      dm1(0, '5E000301'),
      dm1(1 * S, '5E000301'),
      dm1(2 * S, '5E000302', '44FF'),
      dm1(3 * S, '00000000', '00FF'),
      dm1(4 * S, '5E000303'),
      engine(9 * S, '00'),
    ])
    expect(recording.episodes).toMatchObject([
      {
        ...{
          spn: 94,
          fmi: 3,
          source: 'DM1',
          state: 'active',
          firstSeen: START,
          lastSeen: START + 2 * S,
          clearedAt: START + 3 * S,
        },
        occurrenceCounts: [
          { time: START, count: 1 },
          { time: START + 2 * S, count: 2 },
        ],
      },
      { firstSeen: START + 4 * S, clearedAt: null, endedBy: 'recording-ended', unseen: 5 * S },
    ])
    expect(recording.lamps).toHaveLength(1)
    expect(
      recording.lamps[0].changes.map(({ time, lamps }) => [
        time - START,
        lamps.malfunction.state,
        lamps.amberWarning.state,
      ]),
    ).toEqual([
      [0, 'off', 'on'],
      [2 * S, 'on', 'on'],
      [3 * S, 'off', 'off'],
      [4 * S, 'off', 'on'],
    ])
  })

  it('events come in order of time, of all kinds', async () => {
    const claim = (time: number, name: string): LogFrame => ({ time, pgn: 60928, sa: 3, da: 255, data: name })
    const recording = await open([
      claim(0, '0100000000000000'),
      bamFrames({ time: 0.1 * S, pgn: 65251, data: '00'.repeat(20) })[0],
      { time: 3 * S, pgn: 59904, sa: 249, da: 255, data: 'D3FE00' },
      claim(2.5 * S, '0200000000000000'),
      { time: 9 * S, pgn: 60160, da: 255, sa: 8, data: '01' },
    ])
    expect(
      recording.events.map((event) => [event.time - START, event.kind === 'clear' ? 'clear' : event.code]),
    ).toEqual([
      [0, 'claimed'],
      [1.6 * S, 'timed-out'],
      [2.5 * S, 'contested'],
      [3 * S, 'clear'],
      [3.75 * S, 'taken-over'],
      [9 * S, 'data-without-session'],
    ])
  })
})

describe('error frames', () => {
  it('are kept with time, interface and data, and what they say', async () => {
    const log = `(1.000000) can0 0CF00400#01
(1.500000) can1 20000204#000800000000600A
(2.000000) can0 20000040#0000000000000000
`
    const recording = await openRecording(utf8(log), { deltas: false })
    expect(recording.channels).toEqual(['can0', 'can1'])
    const [warning, off] = recording.errorFrames
    expect(warning).toEqual({
      ...{ channel: 1, time: 1.5 * S, id: 0x204, data: Uint8Array.of(0, 8, 0, 0, 0, 0, 0x60, 0x0a) },
      ...{ classes: ['controller', 'counters'], controller: ['tx-warning'] },
    })
    expect(off).toMatchObject({ channel: 0, time: 2 * S, classes: ['bus-off'], controller: [] })
    expect(recording.errorFrames).toHaveLength(2)
  })

  it('are all counted, and the first 1,000 kept', async () => {
    const log = Array.from({ length: 1003 }, (_, i) => `(${i}.0) can0 20000080#0000000000000000\n`).join('')
    const recording = await openRecording(utf8(log), { deltas: false })
    expect(recording.counts.error).toBe(1003)
    expect(recording.errorFrames).toHaveLength(1000)
    expect(recording.errorFrames.at(-1)?.time).toBe(999 * S)
  })
})

describe('a recording', () => {
  it('reads diagnostic messages as it read the episodes', async () => {
    const recording = await open(
      [
        { time: 0, pgn: 65226, sa: 7, data: '00 FF 17 00 C2 85' },
        { time: S, pgn: 64950, sa: 7, data: 'BE 00 18 02' },
        { time: 2 * S, pgn: 64951, sa: 7, data: '06 BE 00 02 05 80 25 FF' },
      ],
      { conversion: () => 2 },
    )
    const [faults, , frozen] = [...recording.messages()].map((message) => message.diagnostic())
    expect(recording.episodes[0].spn).toBe(190)
    expect(faults).toMatchObject({ faults: [{ spn: 190, version: 2 }] })
    expect(frozen).toMatchObject({ frames: [{ parameters: [{ spn: 190, raw: 0x2580 }] }] })
  })

  it('is made of pushed chunks too', () => {
    const recording = new Recording()
    recording.log.reader.push(utf8(printLog([engine(START, 'FF FF FF 00 10')])))
    expect(recording.counts.extended).toBe(1)
    recording.log.reader.finish()
    recording.log.bus.finish()
    expect([...(recording.signal({ spn: 190 })?.values() ?? [])]).toEqual([512])
    expect(recording.summary()).toBeUndefined()
  })

  it('takes the limits and knowledge it is given', async () => {
    const text = `${'nonsense\n'.repeat(9)}${printLog([{ time: 0, pgn: 65226, data: '04FF000BC381FFFF' }])}`
    const recording = await openRecording(utf8(text), { maxProblems: 2, conversion: () => 1 })
    expect(recording.problems.kept).toHaveLength(2)
    expect(recording.episodes[0].spn).toBe((0x0b << 3) | 6)
  })

  it('cannot be opened from what is no source', async () => {
    await expect(openRecording({} as Uint8Array)).rejects.toMatchObject({ code: 'not-a-source' })
    await expect(openRecording(['text'] as unknown as Uint8Array[])).rejects.toMatchObject({ code: 'not-a-source' })
  })
})

describe('loads', () => {
  const frames = [0, 0.1, 0.2, 1.5, 3.9].map((second) => engine(second * S, '01 02 03 04 05 06 07 08'))

  it('are told second by second, at the bit rate of each channel', async () => {
    const [load] = (await open(frames, { summary: true, bitRate: 500_000 })).loads()
    expect(load).toMatchObject({ channel: 0, frames: 5, bitRate: { value: 500_000, basis: 'given' } })
    expect([...load.seconds.time]).toEqual([START, START + S, START + 3 * S])
    const [first, second] = load.seconds.load
    expect(first).toBeCloseTo(3 * second, 9)
    expect(load.seconds.load.reduce((sum, share) => sum + share * 500_000, 0)).toBeCloseTo(load.bits, 6)
  })

  it('are not there where no summary was asked for', async () => {
    expect((await open(frames)).loads()).toEqual([])
  })
})
