/**
 * Shapes of logs, from the bytes to the recording. Shapes marked "seen" are lines of public recordings
 * of heavy vehicles, shortened or completed; the others are known from memory.
 */
import { gunzipSync, gzipSync } from 'node:zlib'
import { openRecording, type Recording, type RecordingOptions } from '@firstcrank/decoder'
import { describe, expect, it } from 'vitest'
import { hexOf, inChunks, printLog, utf8 } from '../support/log.js'

const open = (text: string, options: RecordingOptions = {}): Promise<Recording> => openRecording(utf8(text), options)

/** Messages as `time channel pgn sa payload`, in order of time. */
function messagesOf(recording: Recording): string[] {
  return [...recording.messages()].map(
    ({ time, channel, pgn, sa, payload }) => `${time} ${channel} ${pgn} ${sa} ${hexOf(payload)}`,
  )
}

const codesOf = ({ problems }: Recording): string[] => problems.counts().map(({ code, count }) => `${code} ${count}`)

/** Every line is in one count. */
function expectAccounted({ counts }: Recording): void {
  const { lines, blank, comments, malformed, extended, standard, remote, error, fd } = counts
  expect(blank + comments + malformed + extended + standard + remote + error + fd).toBe(lines)
}

const EEC1 = '(1626905042.645596) can1 0CF00400#507D8DD11200F48E'
const EEC1_READ = '1626905042645596 can1 61444 0 507D8DD11200F48E'

describe('one frame, however it is written', () => {
  // A second file-form line with the same frame, so that the reader's memory of lines is used too.
  it.each([
    ['file form (seen)', EEC1],
    ['lower case (seen)', '(1626905042.645596) can1 0cf00400#507d8dd11200f48e'],
    ['bit 31 left in (seen)', '(1626905042.645596) can1 8CF00400#507D8DD11200F48E'],
    ['a direction behind', '(1626905042.645596) can1 0CF00400#507D8DD11200F48E R'],
    ['a comment behind', '(1626905042.645596) can1 0CF00400#507D8DD11200F48E // idle'],
    ['console form (seen)', ' (1626905042.645596)  can1  0CF00400   [8]  50 7D 8D D1 12 00 F4 8E'],
    ['console form, no blank before it', '(1626905042.645596)  can1  0CF00400   [8]  50 7D 8D D1 12 00 F4 8E'],
    [
      'console form with flags and text',
      " (1626905042.645596)  can1  RX - -  0CF00400   [8]  50 7D 8D D1 12 00 F4 8E   'P}......'",
    ],
    ['dated (seen)', ' (2021-07-21 22:04:02.645596)  can1  RX - -  0CF00400   [8]  50 7D 8D D1 12 00 F4 8E'],
    ['identifier without its zero', '(1626905042.645596) can1 CF00400#507D8DD11200F48E'],
    ['more than six decimals', '(1626905042.645596123) can1 0CF00400#507D8DD11200F48E'],
    ['torn before it (seen)', '(1626905042.64(1626905042.645596) can1 0CF00400#507D8DD11200F48E'],
  ])('%s', async (_, line) => {
    for (const ended of [line, `${line}\n`, `${line}\r\n`, `\ufeff${line}\n`]) {
      const recording = await open(ended)
      expect(messagesOf(recording)).toEqual([EEC1_READ])
      expect(recording.signal({ spn: 190 })?.values()).toEqual(Float64Array.of(602.125))
      expectAccounted(recording)
    }
    const twice = await open(`${EEC1}\n${line}\n${EEC1}`)
    expect(messagesOf(twice)).toEqual([EEC1_READ, EEC1_READ, EEC1_READ])
  })
})

describe('data of every length', () => {
  it.each(Array.from({ length: 9 }, (_, length) => length))('%i bytes', async (length) => {
    const data = '0102030405060708'.slice(0, length * 2)
    const console = data.replaceAll(/../g, ' $&')
    const recording = await open(
      [
        `(1.000000) can0 18FEEE00#${data}`,
        `(1.500000) can0 18FEEE00#${data}`,
        ` (002.000000)  can0  18FEEE00   [${length}] ${console} `,
      ].join('\n'),
      { deltas: false },
    )
    expect(messagesOf(recording)).toEqual(
      [1_000_000, 1_500_000, 2_000_000].map((time) => `${time} can0 65262 0 ${data}`),
    )
    // Coolant temperature is byte 1, oil temperature bytes 3 and 4.
    expect(recording.signal({ spn: 110 })?.values()).toEqual(new Float64Array(3).fill(length < 1 ? Number.NaN : 1 - 40))
    expect(recording.signal({ spn: 175 })?.statuses()).toEqual(new Uint8Array(3).fill(length < 4 ? 5 : 0))
    expect(recording.streams[0].uniform).toBe(length === 8)
  })
})

describe('lines that are no extended data frame', () => {
  it('are counted by kind, and nothing of them is decoded', async () => {
    const recording = await open(
      [
        '(1.000000) can1 1F8A3FB7#R3', // seen
        '  can0  0CD02496   [8]  remote request', // seen
        '(1.000000) can1      301#096fa73b0ab80c98', // seen
        '(1.000000) can1 100#00000B8C0000429A', // seen
        ' (1970-01-01 02:41:33.856148)  can1  RX - -  20000004   [8]  00 04 00 00 00 00 00 00   ERRORFRAME', // seen
        '\tcontroller-problem{rx-overflow}', // seen
        '(1.000000) can1 20000088#0000000000000000',
        '(1.000000) can1 18FEEE00##1112233445566778899AA',
        '(1.000000) can1 123##0',
        '# a comment',
        '; another',
        '// and another',
        '',
        '   ',
        '\r',
      ].join('\n'),
    )
    expect(recording.counts).toEqual({
      ...{ lines: 15, blank: 3, comments: 4, malformed: 0, extended: 0 },
      ...{ standard: 2, remote: 2, error: 2, fd: 2 },
    })
    expect(recording.streams).toEqual([])
    expect(recording.problems.total).toBe(0)
    expect(recording.channels).toEqual(['can1', 'can0'])
  })
})

describe('damaged lines', () => {
  it('are counted by code, kept with number and text, and cost no other line', async () => {
    const bad: readonly (readonly [string, string])[] = [
      ['bad-time', '(16x) can0 18FEEE00#11'],
      ['bad-identifier', '(1.000000) can0 18FEEE0G#11'],
      ['bad-identifier', '(1.000000) can0 FFF#11'],
      ['bad-data', '(1.000000) can0 18FEEE00#1122XX'],
      ['odd-data', '(1.000000) can0 18FEEE00#112'],
      ['too-many-bytes', '(1.000000) can0 18FEEE00#112233445566778899'],
      ['length-mismatch', '  can0  18FEEE00   [3]  11 22'],
      ['cut-short', '(1.000000) can0 18FE'],
      ['not-a-log-line', 'Segmentation fault'],
      ['not-a-log-line', '\0\0\0\0\0\0'],
    ]
    const text = bad.map(([, line]) => `${line}\n${EEC1}`).join('\n')
    const recording = await open(text)
    expect(messagesOf(recording)).toEqual(bad.map(() => EEC1_READ))
    expect(recording.problems.kept.map(({ code, line }) => [code, line])).toEqual(
      bad.map(([code], index) => [code, index * 2 + 1]),
    )
    expect(recording.problems.kept.at(-1)?.text).toBe('\ufffd'.repeat(6))
    expect(recording.counts).toMatchObject({ lines: 20, malformed: 10, extended: 10 })
  })

  it('torn by the recorder, they give their good half (seen)', async () => {
    const recording = await open(
      [
        '(1648574057.733906(1648575604.162655) can0 18EFA2FF#23D8010000000000',
        '(1648(1648577042.771725) can1 18FD7C00#E0870000C30F03FF',
      ].join('\n'),
    )
    expect(messagesOf(recording)).toEqual([
      '1648575604162655 can0 61184 255 23D8010000000000',
      '1648577042771725 can1 64892 0 E0870000C30F03FF',
    ])
    expect(codesOf(recording)).toEqual(['torn-line 2'])
    expectAccounted(recording)
  })

  it('a line that is too long is a problem, and so is one that never ends', async () => {
    const long = `(1.000000) can0 18FEEE00#${'11'.repeat(4000)}`
    for (const text of [`${long}\n${EEC1}\n`, `${EEC1}\n${long}`]) {
      const recording = await open(text)
      expect(messagesOf(recording)).toEqual([EEC1_READ])
      expect(codesOf(recording)).toEqual(['line-too-long 1'])
      expect(recording.problems.kept[0].text).toBe(long.slice(0, 120))
      expectAccounted(recording)
    }
    const allowed = await open(`${EEC1} # ${'x'.repeat(5000)}`, { maxLineBytes: 8192 })
    expect(messagesOf(allowed)).toEqual([EEC1_READ])
  })

  it('problems beyond the limit are counted, not kept', async () => {
    const recording = await open(`${'nonsense\n'.repeat(500)}(x) y\n`, { maxProblems: 7 })
    expect(codesOf(recording)).toEqual(['bad-time 1', 'not-a-log-line 500'])
    expect(recording.problems.kept.length).toBe(8)
  })
})

describe('times', () => {
  const speeds = (times: readonly string[]) =>
    open(times.map((time) => `(${time}) can0 0CF00400#507D8DD11200F48E\n`).join(''))
  const timesOf = (recording: Recording): number[] => [...(recording.signal({ spn: 190 })?.samples().time ?? [])]

  it('that are differences from the line before are added up', async () => {
    const steps = Array.from({ length: 40 }, (_, index) => (index === 0 ? 0 : [10_000, 100, 2_000_000, 500][index % 4]))
    const recording = await speeds(
      steps.map((micros) => `00${Math.floor(micros / 1e6)}.${String(micros % 1e6).padStart(6, '0')}`),
    )
    let sum = 0
    expect(timesOf(recording)).toEqual(steps.map((step) => (sum += step)))
    expect(recording.clock.deltas).toBe(true)
  })

  it('that count from the start of the recording are left as they are', async () => {
    const recording = await speeds(['0.000000', '0.010000', '0.020000', '3.000000'])
    expect(timesOf(recording)).toEqual([0, 10_000, 20_000, 3_000_000])
    expect(recording.clock).toMatchObject({ deltas: false, first: 0, last: 3_000_000, holes: { total: 1 } })
  })

  it('can be said to be differences, or not to be', async () => {
    const lines = printLog([1, 1, 1].map((time) => ({ time: time * 1e6, pgn: 61444, data: '00' })))
    expect((await open(lines, { deltas: true })).clock.last).toBe(3_000_000)
    expect((await open(lines, { deltas: false })).clock.last).toBe(1_000_000)
  })

  it('that are missing are those of the line before', async () => {
    const recording = await open(`  can0  0CF00400   [1]  11\n${EEC1}\ncan0  0CF00400   [1]  22\n`)
    expect([...recording.streams[0].times()]).toEqual([0, 1_626_905_042_645_596])
    expect(recording.clock.untimed).toBe(2)
  })

  it('that run backwards a little put rows in order and are reported (seen)', async () => {
    const recording = await speeds(['1648577725.930000', '1648577725.910000', '1648577725.950000'])
    expect(timesOf(recording)).toEqual([1648577725910000, 1648577725930000, 1648577725950000])
    expect(recording.clock).toMatchObject({ first: 1648577725910000, backwards: { count: 1, largest: 20_000 } })
  })

  it('of a clock set back go on from the latest, and the step is reported', async () => {
    const recording = await speeds(['1648577725.000000', '1648577726.000000', '1648570000.000000', '1648570000.500000'])
    const latest = 1_648_577_726_000_000
    expect(timesOf(recording)).toEqual([latest - 1_000_000, latest, latest, latest + 500_000])
    expect(recording.clock.steps).toEqual({ total: 1, kept: [{ at: latest, step: 7_726_000_000 }] })
  })

  it('with a hole and with a leap of more than a day are left as they are, and both reported', async () => {
    const seconds = ['1648577725.000000', '1648577730.000000', '1648750000.000000', '1648750000.010000']
    const recording = await speeds(seconds)
    expect(recording.clock.holes.kept).toEqual([{ from: 1_648_577_725_000_000, to: 1_648_577_730_000_000 }])
    expect(recording.clock.jumps.kept).toEqual([{ from: 1_648_577_730_000_000, to: 1_648_750_000_010_000 }])
    expect(timesOf(recording)).toHaveLength(4)
  })

  it('that leap on and are set back until they are past exact microseconds stay where they are', async () => {
    const start = 1_648_577_725
    const set = start + 3_000_000_000
    const seconds = [start, set, set + 1, start + 1, set + 3_000_000_000, start + 2]
    const recording = await speeds(seconds.map((time) => `${time}.000000`))
    expect(timesOf(recording)).toEqual([start, start, set + 1, set + 1, set + 1, set + 2].map((time) => time * 1e6))
    expect(recording.clock).toMatchObject({ untimed: 1, steps: { total: 1 }, jumps: { total: 1 } })
  })

  it('with one damaged digit far ahead move nothing that follows, and are reported', async () => {
    const recording = await speeds(['1648577725.000000', '7648577725.010000', '1648577725.020000'])
    expect(timesOf(recording)).toEqual([1648577725000000, 1648577725000000, 1648577725020000])
    expect(recording.clock).toMatchObject({
      ...{ last: 1648577725020000, steps: { total: 0 }, jumps: { total: 0 } },
      strays: { total: 1, kept: [{ at: 1648577725000000, printed: 7648577725010000 }] },
    })
  })

  it('beyond what is exact are no times', async () => {
    const recording = await speeds(['1648577725.000000', '9999999999.000000', '1648577725.500000'])
    expect(timesOf(recording)).toEqual([1648577725000000, 1648577725500000])
    expect(codesOf(recording)).toEqual(['bad-time 1'])
  })
})

describe('messages', () => {
  it('a request padded to eight bytes asks as one of three does (seen)', async () => {
    const recording = await open(
      '(1.000000) can0 0CEA1C00#00EE000000000000\n(1.010000) can0 18EEFF1C#0100000000000000\n(2.000000) can0 18EA1C00#00EE00\n',
      { summary: true, deltas: false },
    )
    expect(recording.summary()?.requests).toMatchObject([
      { asker: 0, asked: 0x1c, pgn: 60928, requests: 2, answered: 1 },
    ])
  })

  it('of fewer bytes than their group has give what they hold (seen)', async () => {
    const recording = await open('(1.000000) can0 18D48025#000F\n(1.000000) can0 0CF00400#507D8D\n', { deltas: false })
    const [short, speed] = [...recording.messages()]
    expect(short).toMatchObject({ pgn: 54272, sa: 0x25, da: 0x80, payload: Uint8Array.of(0, 15) })
    expect(speed?.signals().map(({ spn }) => spn)).toEqual([899, 4154, 512, 513])
  })

  it('announced to all but sent to one address come whole (seen)', async () => {
    const announced = '(1.000000) can0 18EC258B#2042000AFF00D400'
    const packets = Array.from({ length: 10 }, (_, at) => {
      const number = (at + 1).toString(16).padStart(2, '0')
      return `(1.${(at + 1) * 50}000) can0 18EB258B#${number}${number.repeat(7)}`
    })
    const recording = await open(
      [announced, ...packets.map((line) => line.replace('(1.50000)', '(1.050000)'))].join('\n'),
    )
    const found = [...recording.messages({ pgn: 54272 })]
    expect(found).toMatchObject([{ sa: 0x8b, da: 0x25, transport: 'bam' }])
    expect(found[0]?.payload).toHaveLength(0x42)
    expect(recording.events).toMatchObject([{ kind: 'transport', code: 'directed-bam' }])
  })

  it('of which the recording has only the end are told of once, and cost nothing that follows (seen)', async () => {
    const recording = await open(
      [
        '(1.000000) can0 18EBFF00#02BE000201FF6E00',
        '(1.050000) can0 18EBFF00#030301FFFFFFFFFF',
        '(2.000000) can0 18ECFF00#20090002FFCAFE00',
        '(2.050000) can0 18EBFF00#0104FF64000101FF',
        '(2.100000) can0 18EBFF00#02FFFFFFFFFFFFFF',
      ].join('\n'),
    )
    expect([...recording.messages({ pgn: 65226 })].map(({ payload }) => hexOf(payload))).toEqual(['04FF64000101FFFFFF'])
    expect(recording.events.map((event) => ('code' in event ? event.code : event.kind))).toEqual([
      'data-without-session',
    ])
  })
})

describe('interfaces and limits', () => {
  it('several interfaces are kept apart, though their frames are alike', async () => {
    const frames = Array.from({ length: 30 }, (_, index) => ({
      ...{ time: 1e15 + index * 1000, channel: ['can0', 'vcan1', 'a-very-long-interface'][index % 3], pgn: 65262 },
      data: (index % 3).toString().padStart(2, '0').repeat(8),
    }))
    const recording = await open(printLog(frames))
    expect(recording.channels).toEqual(['can0', 'vcan1', 'a-very-long-interface'])
    for (const [index, channel] of recording.channels.entries()) {
      expect(recording.signal({ spn: 110, channel })?.values()).toEqual(new Float64Array(10).fill(index - 40))
    }
  })

  it('more than 64 interfaces, or more identifiers than allowed, are problems', async () => {
    const lines = (count: number, line: (index: number) => string) =>
      Array.from({ length: count }, (_, i) => line(i)).join('\n')
    const many = await open(lines(70, (index) => `(1.000000) can${index} 18FEEE00#11`))
    expect(many.channels).toHaveLength(64)
    expect(codesOf(many)).toEqual(['too-many-channels 6'])
    expectAccounted(many)
    const wide = await open(
      lines(20, (index) => `(1.000000) can0 18FEEE${(index + 16).toString(16)}#11`),
      { maxKeys: 12 },
    )
    expect(wide.counts).toMatchObject({ extended: 12, malformed: 8 })
    expect(codesOf(wide)).toEqual(['too-many-identifiers 8'])
  })
})

describe('files with little in them', () => {
  it.each([
    ['nothing', '', 0],
    ['one newline', '\n', 1],
    ['a byte-order mark', '\ufeff', 1],
    ['comments alone', '# one\n# two\n', 2],
    ['no frame but noise', '\0\0\0\nhello\n', 2],
    ['11-bit frames alone (seen)', '(1.000000) can1 100#00\n(1.100000) can1 100#01\n', 2],
  ])('%s', async (_, text, lines) => {
    const recording = await open(text, { summary: true })
    expect(recording.counts.lines).toBe(lines)
    expect(recording.streams).toEqual([])
    expect([...recording.messages()]).toEqual([])
    expect(recording.signal({ spn: 190 })).toBeUndefined()
    expect(recording.episodes).toEqual([])
    expect(recording.summary()?.nodes).toEqual([])
    expectAccounted(recording)
  })
})

describe('compressed logs', () => {
  const frames = Array.from({ length: 30_000 }, (_, index) => ({
    ...{ time: 1e15 + index * 10_000, pgn: index % 10 === 0 ? 65262 : 61444, sa: index % 3 },
    data: ((index * 2654435761) % 2 ** 32).toString(16).padStart(16, '0'),
  }))
  const text = printLog(frames)

  it('are unpacked, in one piece or in two joined ones', async () => {
    const half = text.indexOf('\n', text.length / 2) - 3
    const joined = Buffer.concat([gzipSync(text.slice(0, half)), gzipSync(text.slice(half))])
    for (const bytes of [gzipSync(text), joined]) {
      const recording = await openRecording(bytes)
      expect(recording.counts).toMatchObject({ lines: 30_000, extended: 30_000 })
      expect(recording.problems.total).toBe(0)
    }
  })

  it('that end early give what is there, and the problem', async () => {
    const packed = gzipSync(text)
    for (const share of [0.2, 0.5, 0.9]) {
      const cut = packed.subarray(0, Math.floor(packed.length * share))
      // 2 is Z_SYNC_FLUSH: give what can be unpacked of an unfinished file.
      const there = gunzipSync(cut, { finishFlush: 2 }).toString()
      const lines = there.split('\n')
      const recording = await openRecording(cut)
      expect(recording.counts.lines).toBe(lines.length)
      expect(recording.counts.extended).toBeGreaterThanOrEqual(lines.length - 1)
      expect(recording.problems.counts()).toContainEqual({ code: 'damaged-compression', count: 1, lost: true })
    }
  })

  it('with damage give what came before it, however they come, and the problem', async () => {
    const packed = Buffer.from(gzipSync(text))
    packed.fill(0x5a, packed.length / 2, packed.length / 2 + 64)
    const recording = await openRecording(packed)
    expect(recording.counts.extended).toBeGreaterThan(10_000)
    expect(recording.counts.extended).toBeLessThan(20_000)
    expect(recording.problems.counts()).toContainEqual({ code: 'damaged-compression', count: 1, lost: true })
    expectAccounted(recording)
    for (const sizes of [[500], [16_384], [100_000, 3]]) {
      expect((await openRecording(inChunks(packed, sizes))).counts).toEqual(recording.counts)
    }
  })

  it('that are none but begin like one are a problem', async () => {
    const recording = await openRecording(Uint8Array.of(0x1f, 0x8b, 1, 2, 3, 4, 5, 6, 7, 8, 9))
    expect(recording.counts.lines).toBe(0)
    expect(codesOf(recording)).toEqual(['damaged-compression 1'])
  })
})
