import { describe, expect, it } from 'vitest'
import { Stream } from './stream.js'

const KEY = { channel: 2, priority: 6, pgn: 65262, sa: 3, da: 255 }

function streamOf(rows: readonly (readonly [time: number, ...bytes: number[]])[]): Stream {
  const stream = new Stream(KEY)
  for (const [time, ...bytes] of rows) {
    const row = new Uint8Array(8).fill(0xff)
    row.set(bytes.slice(0, 8))
    const [low, high] = new Uint32Array(row.buffer)
    if (bytes.length <= 8) stream.appendFrame(time, low, high, bytes.length)
    else {
      const payload = Uint8Array.from(bytes)
      stream.appendLong({ ...KEY, firstTime: time - 70, time, payload, transport: 'rts-cts' })
      payload.fill(0)
    }
  }
  return stream
}

const EIGHT = [1, 2, 3, 4, 5, 6, 7, 8]
const NINE = [...EIGHT, 9]

describe('a stream', () => {
  it('gives its messages back, short ones and long ones, late ones in their place', () => {
    const stream = streamOf([[100, ...EIGHT], [300, 7], [200, ...NINE], [400]])
    expect(stream.count).toBe(4)
    expect([0, 1, 2, 3].map((row) => stream.message(row))).toEqual([
      { ...KEY, firstTime: 100, time: 100, payload: Uint8Array.from(EIGHT), transport: 'single' },
      { ...KEY, firstTime: 130, time: 200, payload: Uint8Array.from(NINE), transport: 'rts-cts' },
      { ...KEY, firstTime: 300, time: 300, payload: Uint8Array.of(7), transport: 'single' },
      { ...KEY, firstTime: 400, time: 400, payload: new Uint8Array(), transport: 'single' },
    ])
    expect([...stream.times()]).toEqual([100, 200, 300, 400])
    expect([...stream.times(1, 3)]).toEqual([200, 300])
  })

  it.each<[string, number[][], boolean, number]>([
    ['nothing', [], true, 0],
    ['eight bytes each time', [EIGHT, EIGHT], true, 8],
    ['a short one', [EIGHT, [1], EIGHT], false, 8],
    ['a short one at first', [[1], EIGHT], false, 8],
    ['no byte at first', [[], EIGHT], false, 8],
    ['no byte at all', [[], []], false, 0],
    ['a long one', [EIGHT, NINE], false, 9],
    ['a long one at first', [NINE, EIGHT], false, 9],
  ])('knows whether every message has eight bytes, and the longest: %s', (_, payloads, uniform, longest) => {
    expect(streamOf(payloads.map((bytes, index) => [index, ...bytes]))).toMatchObject({ uniform, longest })
  })

  it.each([
    [50, 0, 0],
    [100, 0, 2],
    [150, 2, 2],
    [200, 2, 3],
    [201, 3, 3],
  ])('finds the rows at and after %i', (time, at, after) => {
    const stream = streamOf([
      [100, 1],
      [100, 2],
      [200, 3],
    ])
    expect([stream.rowAt(time), stream.rowAfter(time)]).toEqual([at, after])
  })

  it('finds the same row from any guess', () => {
    const times = [3, 3, 5, 8, 8, 8, 13, 21, 34, 34, 55]
    const stream = streamOf(times.map((time) => [time, 1]))
    for (let time = 0; time < 60; time++) {
      const row = times.filter((each) => each < time).length
      for (let near = -2; near < times.length + 2; near++) expect(stream.rowAt(time, near)).toBe(row)
    }
  })

  it('visits a stretch of rows block by block', () => {
    const stream = streamOf(Array.from({ length: 20_000 }, (_, index) => [index, index % 251]))
    const visited: number[][] = []
    stream.eachBlock(8000, 17_000, (_block, start, end, row) => visited.push([start, end, row]))
    expect(visited).toEqual([
      [8000, 8192, 8000],
      [0, 8192, 8192],
      [0, 616, 16_384],
    ])
    stream.eachBlock(5, 5, () => visited.push([]))
    expect(visited).toHaveLength(3)
    expect(stream.payload(17_000)).toEqual(Uint8Array.of(17_000 % 251))
  })
})

describe('a wrong call', () => {
  const stream = streamOf(Array.from({ length: 10 }, (_, index) => [index, index]))

  it.each([-1, 10, 0.5, Number.NaN])('for row %d is refused', (row) => {
    const refusal = expect.objectContaining({ name: 'RecordingError', code: 'bad-row' })
    expect(() => stream.time(row)).toThrow(refusal)
    expect(() => stream.firstTime(row)).toThrow(refusal)
    expect(() => stream.payload(row)).toThrow(refusal)
    expect(() => stream.message(row)).toThrow(refusal)
  })

  it.each([
    [-1, 3],
    [0, 11],
    [4, 3],
    [0, 1.5],
    [Number.NaN, 3],
  ])('for rows %d to %d is refused', (from, to) => {
    const refusal = expect.objectContaining({ name: 'RecordingError', code: 'bad-range' })
    expect(() => stream.times(from, to)).toThrow(refusal)
    expect(() => stream.eachBlock(from, to, () => undefined)).toThrow(refusal)
  })

  it('is no call for the last row, all rows, or none', () => {
    expect(stream.time(9)).toBe(9)
    expect(stream.times()).toHaveLength(10)
    expect(stream.times(10, 10)).toHaveLength(0)
  })
})
