/** Rows of a stream in order of time, whatever the order they came in; and pictures of a signal, against the plain search. */
import type { GroupDefinition, NumericDefinition } from '@firstcrank/decoder'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Signal } from '../../packages/decoder/src/recording/signal.js'
import { Stream } from '../../packages/decoder/src/recording/stream.js'

const KEY = { channel: 0, priority: 6, pgn: 65280, sa: 0, da: 255 }

interface Row {
  readonly time: number
  /** More than eight make a message of several frames. */
  readonly payload: readonly number[]
}

function append(stream: Stream, { time, payload }: Row): void {
  const bytes = Uint8Array.from(payload)
  if (bytes.length > 8) {
    stream.appendLong({ ...KEY, firstTime: time - 50, time, payload: bytes, transport: 'bam' })
    return
  }
  const row = new Uint8Array(8).fill(0xff)
  row.set(bytes)
  const [low, high] = new Uint32Array(row.buffer)
  stream.appendFrame(time, low, high, bytes.length)
}

/** The rows in order of time, equal times in the order they came. */
function inOrder(rows: readonly Row[]): Row[] {
  return rows
    .map((row, index) => ({ row, index }))
    .sort((a, b) => a.row.time - b.row.time || a.index - b.index)
    .map(({ row }) => row)
}

const someBytes = fc.oneof(
  fc.array(fc.nat(255), { minLength: 8, maxLength: 8 }),
  fc.array(fc.nat(255), { maxLength: 20 }),
)
const rows = (maxLength: number) =>
  fc.array(fc.record({ time: fc.oneof(fc.nat(50), fc.nat(1e6)), payload: someBytes }), { maxLength })

describe('a stream', () => {
  const contents = (stream: Stream): Row[] =>
    Array.from({ length: stream.count }, (_, row) => ({ time: stream.time(row), payload: [...stream.payload(row)] }))

  it('holds its messages in order of time, also when more come after it was read', () => {
    fc.assert(
      fc.property(rows(200), rows(20), (before, after) => {
        const stream = new Stream(KEY)
        for (const row of before) append(stream, row)
        expect(contents(stream)).toEqual(inOrder(before))
        for (const row of after) append(stream, row)
        expect(contents(stream)).toEqual(inOrder([...inOrder(before), ...after]))
        expect(stream.longest).toBe(Math.max(0, ...[...before, ...after].map((row) => row.payload.length)))
      }),
      { numRuns: 150 },
    )
  })

  it('keeps thousands of rows in order across its blocks', () => {
    const many = Array.from({ length: 20_000 }, (_, index) => ({
      time: index * 10 - (index % 7 === 0 ? 35 : 0),
      payload:
        index % 1000 === 0
          ? Array.from({ length: 12 }, () => index % 251)
          : [index % 251, index >> 8, 0, 0, 0, 0, 0, 1],
    }))
    const stream = new Stream(KEY)
    for (const row of many) append(stream, row)
    const sorted = inOrder(many)
    expect(stream.times()).toEqual(Float64Array.from(sorted, ({ time }) => time))
    for (const row of [0, 1, 8191, 8192, 16_383, 16_384, 19_999]) {
      expect([...stream.payload(row)]).toEqual(sorted[row].payload)
    }
  })

  it('finds the rows of a window', () => {
    fc.assert(
      fc.property(rows(100), fc.integer({ min: -5, max: 60 }), (taken, time) => {
        const stream = new Stream(KEY)
        for (const row of taken) append(stream, row)
        expect(stream.rowAt(time)).toBe(taken.filter((row) => row.time < time).length)
        expect(stream.rowAfter(time)).toBe(taken.filter((row) => row.time <= time).length)
      }),
    )
  })
})

describe('an overview', () => {
  const definition: NumericDefinition = {
    ...{ kind: 'numeric', spn: 1, name: 'N', at: '2', bits: 16, resolution: 0.125, offset: -20, unit: '%' },
    ...{ sources: ['memory'], confirmed: 0 },
  }
  const group: GroupDefinition = {
    ...{ pgn: 65280, acronym: 'TEST', name: 'Test', length: 8, signals: [definition], sources: ['memory'] },
  }

  /** What the picture's columns hold, by looking at each message. */
  function search(taken: readonly Row[], from: number, to: number, columns: number) {
    return Array.from({ length: columns }, (_, column) => {
      const edge = (number: number): number => from + ((to - from) * number) / columns
      const inside = ({ time }: Row): boolean =>
        time >= edge(column) && (column === columns - 1 ? time <= to : time < edge(column + 1))
      const here = inOrder(taken).filter(inside)
      const values = here.flatMap(({ payload: [, low = 255, high = 255] }) =>
        high > 250 ? [] : [(low + high * 256) * 0.125 - 20],
      )
      return [
        ...[values[0] ?? Number.NaN, values.length > 0 ? Math.min(...values) : Number.NaN],
        ...[values.length > 0 ? Math.max(...values) : Number.NaN, values.at(-1) ?? Number.NaN, here.length],
      ]
    })
  }

  // Runs of 256 rows have an index of their own, so there must be more rows than that. Made from a seed, since
  // an array of so many is slow to shrink.
  const manyRows = fc.record({ seed: fc.nat(), count: fc.integer({ min: 1, max: 1200 }) }).map(({ seed, count }) => {
    const all: Row[] = []
    let time = 0
    let state = seed
    for (let row = 0; row < count; row++) {
      state = (Math.imul(state, 1_103_515_245) + 12_345) & 0x7fffffff
      const bytes = [state >>> 8, state >>> 12, state >>> 20, state >>> 16].map((byte) => byte & 0xff)
      time += (bytes[0] % 13) - 3
      // Every tenth message ends before the signal.
      all.push({ time, payload: row % 10 === 9 ? bytes.slice(0, 2) : bytes })
    }
    return all
  })
  const share = fc.double({ min: -0.1, max: 1.1, noNaN: true })
  const window = fc.oneof(
    fc.constant({ from: 0, to: 1, columns: 1 }),
    fc.record({ from: share, to: share, columns: fc.integer({ min: 1, max: 5 }) }),
    fc.record({ from: share, to: share, columns: fc.integer({ min: 1, max: 60 }) }),
  )

  it('is what looking at every message gives, also when more come after it was drawn', () => {
    fc.assert(
      fc.property(manyRows, window, (taken, { from: a, to: b, columns }) => {
        const last = Math.max(...taken.map(({ time }) => time))
        const [from, to] = [a, b].map((part) => Math.round(part * last)).toSorted((x, y) => x - y)
        const stream = new Stream(KEY)
        const signal = new Signal(group, definition, stream)
        const half = Math.floor(taken.length / 2)
        for (const [start, end] of [
          [0, half],
          [half, taken.length],
        ]) {
          for (const row of taken.slice(start, end)) append(stream, row)
          const picture = signal.overview(from, to, columns)
          const { first: firsts, least, greatest, last: lasts } = picture
          const got = Array.from(picture.count, (count, column) => [
            ...[firsts[column], least[column], greatest[column], lasts[column], count],
          ])
          expect(got).toEqual(search(taken.slice(0, end), from, to, columns))
        }
      }),
      { numRuns: 120 },
    )
  })
})
