import { describe, expect, it } from 'vitest'
import { inChunks, utf8 } from '../../../../tests/support/log.js'
import { LogReader, type OtherFrame, type ReaderOptions } from './reader.js'

const LINE = '(1626905042.645596) can1 0CF00400#507D8DD11200F48E'

interface Read {
  readonly reader: LogReader
  /** `time channel id data`, of all kinds of frames, in the order they were handed on. */
  readonly frames: string[]
  /** Frames in each batch. */
  readonly batches: number[]
}

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex').toUpperCase()

function readChunks(chunks: Iterable<Uint8Array>, options?: ReaderOptions): Read {
  const frames: string[] = []
  const batches: number[] = []
  const reader = new LogReader(
    {
      frames: ({ count, time, key, length, bytes }) => {
        batches.push(count)
        for (let row = 0; row < count; row++) {
          const { channels, channel, id } = reader.keys
          const data = hex(bytes.subarray(row * 8, row * 8 + length[row]))
          frames.push(`${time[row]} ${channels[channel[key[row]]]} ${id[key[row]].toString(16)} ${data}`)
        }
      },
      other: ({ kind, time, channel, id, length, data }: OtherFrame) => {
        frames.push(`${time} ${reader.keys.channels[channel]} ${kind} ${id.toString(16)} ${length} ${hex(data)}`)
      },
    },
    options,
  )
  for (const chunk of chunks) reader.push(chunk)
  reader.finish()
  return { reader, frames, batches }
}

const read = (text: string, options?: ReaderOptions): Read => readChunks([utf8(text)], options)

describe('a reader', () => {
  it('hands on frames of all kinds in the order of the log', () => {
    const { frames, batches } = read(
      [LINE, '(1626905042.700000) can0 301#0102', LINE, '(1626905042.800000) can0 18FEEE00#R3', LINE].join('\n'),
    )
    const frame = '1626905042645596 can1 cf00400 507D8DD11200F48E'
    expect(frames).toEqual([
      frame,
      '1626905042700000 can0 standard 301 2 0102FFFFFFFFFFFF',
      frame,
      '1626905042800000 can0 remote 18feee00 3 FFFFFFFFFFFFFFFF',
      frame,
    ])
    expect(batches).toEqual([1, 1, 1])
  })

  it('counts every line once', () => {
    const { reader } = read(
      [
        LINE,
        '',
        '# note',
        'nonsense',
        '(1.0) can0 301#',
        '(1.0) can0 18FEEE00#R',
        '(1.0) can0 20000001#',
        '(1.0) can0 1##0',
      ].join('\n'),
    )
    expect(reader.counts).toEqual({
      ...{ lines: 8, blank: 1, comments: 1, malformed: 1, extended: 1, standard: 1, remote: 1, error: 1, fd: 1 },
    })
    expect(reader.problems.kept).toEqual([{ code: 'not-a-log-line', line: 4, text: 'nonsense' }])
  })

  it('hands on all frames of whole lines before it takes the next chunk, full batches as they fill', () => {
    const frames: number[] = []
    const reader = new LogReader({ frames: (batch) => frames.push(batch.count) })
    reader.push(utf8(`${LINE}\n${LINE}\n${LINE.slice(0, 20)}`))
    expect(frames).toEqual([2])
    reader.push(utf8(`${LINE.slice(20)}\n`))
    expect(frames).toEqual([2, 1])
    reader.push(utf8(`${LINE}\n`.repeat(2500)))
    expect(frames.slice(2)).toEqual([1024, 1024, 452])
    expect(reader.counts).toMatchObject({ lines: 2503, extended: 2503 })
    reader.finish()
    expect(frames).toHaveLength(5)
  })

  it('reads chunks whose memory is used again, wherever they are cut', () => {
    const text = `${LINE}\r\n  can0  18FEEE00   [2]  11 22\n\n${LINE.toLowerCase()}\n(1626905043.000000) can0 301#0102\n${LINE}`
    const whole = read(text)
    for (const size of [1, 2, 3, 7, 50, 64, 1000]) {
      const cut = readChunks(inChunks(utf8(text), [size]))
      expect(cut.frames).toEqual(whole.frames)
      expect(cut.reader.counts).toEqual(whole.reader.counts)
    }
  })

  it('reads a view into a larger buffer', () => {
    const buffer = utf8(`XXX${LINE}\n${LINE}\nXXX`)
    const { frames, reader } = readChunks([buffer.subarray(3, buffer.length - 3)])
    expect(frames).toHaveLength(2)
    expect(reader.problems.total).toBe(0)
  })

  it('needs nobody to take the other kinds', () => {
    const reader = new LogReader({ frames: () => {} })
    reader.push(utf8('(1.0) can0 301#0102\n'))
    reader.finish()
    expect(reader.counts).toMatchObject({ lines: 1, standard: 1 })
  })

  it('finishes without a byte', () => {
    expect(readChunks([]).reader.counts.lines).toBe(0)
    expect(readChunks([new Uint8Array()]).reader.counts.lines).toBe(0)
  })
})

describe('times', () => {
  const steps = Array.from({ length: 80 }, (_, index) => (index % 3) * 0.01)
  const lines = (times: readonly number[]): string =>
    times.map((time) => `(${time.toFixed(6)}) can0 18FEEE00#\n`).join('')
  const last = ({ frames }: Read): number => Number(frames.at(-1)?.split(' ')[0])

  it('are found out to be differences from the first lines, however these come', () => {
    const sum = Math.round(steps.reduce((total, step) => total + step, 0) * 1e6)
    for (const size of [1, 500, 100_000]) {
      const done = readChunks(inChunks(utf8(lines(steps)), [size]))
      expect(done.reader.clock.deltas).toBe(true)
      expect(last(done)).toBe(sum)
    }
  })

  it('are taken as they are where a date or an absolute time is among the first lines', () => {
    for (const first of ['(1626905042.645596) can0 301#\n', ' (2021-07-21 22:04:02.0)  can0  301   [0]\n']) {
      expect(read(first + lines(steps)).reader.clock.deltas).toBe(false)
    }
  })

  it('are taken as they are said to be', () => {
    expect(read(lines(steps), { deltas: false }).reader.clock).toMatchObject({ deltas: false, last: 20_000 })
    expect(read(lines([1, 1, 1]), { deltas: true }).reader.clock).toMatchObject({ deltas: true, last: 3_000_000 })
  })

  it('wait for no more than 64 lines, or 64 KiB', () => {
    const taken: number[] = []
    const reader = new LogReader({ frames: (batch) => taken.push(batch.count) })
    reader.push(utf8(lines(steps.slice(0, 63))))
    expect(taken).toEqual([])
    reader.push(utf8(lines(steps.slice(0, 1))))
    expect(taken).toEqual([64])
    const wide = new LogReader({ frames: (batch) => taken.push(batch.count) })
    wide.push(utf8(`${lines([0])}${`# ${'x'.repeat(1000)}\n`.repeat(66)}`))
    expect(taken).toEqual([64, 1])
  })
})

describe('limits', () => {
  it.each([
    [100, 512],
    [512, 512],
    [2000, 2000],
    [1e9, 65_536],
  ])('a longest line of %i bytes, asked for, is one of %i', (asked, given) => {
    const comment = (length: number): string => `#${'x'.repeat(length - 1)}\n`
    const { reader } = read(comment(given) + comment(given + 1), { maxLineBytes: asked })
    expect(reader.counts).toMatchObject({ lines: 2, comments: 1, malformed: 1 })
    expect(reader.problems.counts()).toEqual([{ code: 'line-too-long', count: 1, lost: true }])
  })

  it('a line that is too long is shown the same, in one piece or in many', () => {
    const text = `(1.0) can0 ${'ü'.repeat(1000)}\n${LINE}\n`
    const whole = read(text, { maxLineBytes: 512 })
    const cut = readChunks(inChunks(utf8(text), [10]), { maxLineBytes: 512 })
    expect(whole.reader.problems.kept).toEqual([
      { code: 'line-too-long', line: 1, text: `(1.0) can0 ${'ü'.repeat(109)}` },
    ])
    expect(cut.reader.problems.kept).toEqual(whole.reader.problems.kept)
    expect(cut.frames).toEqual(whole.frames)
  })

  it('an interface with the longest name is read', () => {
    const name = 'x'.repeat(65_000)
    expect(read(`${name} 18FEEE00#11`, { maxLineBytes: 1e9 }).reader.keys.channels).toEqual([name])
  })

  it('frames with more identifiers than allowed are problems, in every form of line', () => {
    const { frames, reader } = read(
      `${LINE}\n(1626905042.7) can1 18FEEE00#11\n${LINE}\n(1626905042.700000) can1 18FEEF00#11\n${LINE}\n`,
      { maxKeys: 1 },
    )
    expect(frames).toHaveLength(3)
    expect(reader.problems.counts()).toEqual([{ code: 'too-many-identifiers', count: 2, lost: true }])
    expect(reader.counts).toMatchObject({ lines: 5, extended: 3, malformed: 2 })
  })

  it('problems beyond the limit are counted, not kept', () => {
    const { reader } = read('nonsense\n'.repeat(20), { maxProblems: 3 })
    expect(reader.problems.kept.map(({ line }) => line)).toEqual([1, 2, 3])
    expect(reader.problems.total).toBe(20)
  })
})

describe('an archive that breaks off', () => {
  it.each([
    ['behind a line', `${LINE}\n${LINE}\n`, 3],
    ['inside a line', `${LINE}\n${LINE.slice(0, 30)}`, 2],
    ['before the times are understood', '(1.5) can0 18FEEE00#11\n', 2],
  ])('%s is a problem of the line that follows', (_, text, line) => {
    const reader = new LogReader({ frames: () => {} })
    reader.push(utf8(text))
    reader.damaged()
    reader.finish()
    expect(reader.problems.kept[0]).toEqual({ code: 'damaged-compression', line, text: '' })
  })
})
