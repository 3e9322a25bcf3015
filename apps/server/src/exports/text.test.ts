import { openRecording } from '@firstcrank/decoder'
import { describe, expect, test } from 'vitest'
import { type ExportBlock, exactSeconds, exportBlocks } from './blocks.js'
import { csvChunks, ndjsonChunks } from './text.js'

const HEAD = {
  channel: 'can0',
  pgn: 61444,
  sa: 0,
  da: 255,
  spn: 190,
  name: 'Engine speed',
  unit: 'rpm',
  instance: null,
}
const ROW = { time: 1_500_000, value: 1.5, raw: 12, status: 'valid', label: null }
const textOf = (chunks: Iterable<Uint8Array>): string =>
  [...chunks].map((chunk) => Buffer.from(chunk).toString()).join('')
const block = (changes: Partial<ExportBlock> = {}): ExportBlock => ({ ...HEAD, rows: [ROW], ...changes })

describe('comma-separated values', () => {
  test.each<[string, ExportBlock, string]>([
    ['a number', block(), '1.500000,can0,61444,0,255,190,Engine speed,1.5,rpm,12,valid,,,'],
    [
      'quotes and commas',
      block({ name: 'a "b", c' }),
      '1.500000,can0,61444,0,255,190,"a ""b"", c",1.5,rpm,12,valid,,,',
    ],
    ['a formula', block({ channel: '=cmd()' }), "1.500000,'=cmd(),61444,0,255,190,Engine speed,1.5,rpm,12,valid,,,"],
    [
      'no value, and the reason',
      block({ unit: null, instance: 2, rows: [{ ...ROW, value: null, status: 'error' }] }),
      '1.500000,can0,61444,0,255,190,Engine speed,,,12,error,,,2',
    ],
    [
      'a state',
      block({ rows: [{ ...ROW, label: 'on' }] }),
      '1.500000,can0,61444,0,255,190,Engine speed,1.5,rpm,12,valid,on,,',
    ],
  ])('%s', (_, given, line) => {
    expect(textOf(csvChunks([given])).split('\r\n')).toEqual([expect.stringContaining('t,channel,'), line, ''])
  })
})

describe('JSON, one object a line', () => {
  test.each<[string, ExportBlock, object]>([
    ['a number', block(), { t: 1.5, ...HEAD, ...ROW, time: undefined, label: undefined, instance: undefined }],
    ['an instance', block({ instance: 0 }), { instance: 0 }],
    ['a state', block({ rows: [{ ...ROW, label: 'on' }] }), { label: 'on' }],
    ['a name with a quote', block({ name: 'a "b"' }), { name: 'a "b"' }],
  ])('%s', (_, given, expected) => {
    const line = textOf(ndjsonChunks([given]))
    expect(line).toMatch(/^\{"t":1\.500000,"channel"/)
    expect(JSON.parse(line)).toMatchObject(
      Object.fromEntries(Object.entries(expected).filter(([, value]) => value !== undefined)),
    )
  })
})

test.each([
  [0, '0.000000'],
  [1, '0.000001'],
  [1_436_509_052_249_713, '1436509052.249713'],
  [-1_500_000, '-1.500000'],
])('%i µs are %s s', (micros, text) => {
  expect(exactSeconds(micros)).toBe(text)
})

describe('what is exported', async () => {
  // EEC1 of which engine speed is not available in the second message, and the third ends before it.
  const log = [
    '(1.0) can0 0CF00400#FFFFFF6813FFFFFF',
    '(2.0) can0 0CF00400#FFFFFFFFFFFFFFFF',
    '(3.0) can0 0CF00400#FFFF',
    '(4.0) can1 0CF00403#F0FFFF0100FFFFFF',
  ].join('\n')
  const recording = await openRecording(new TextEncoder().encode(`${log}\n`))
  const rows = (query: Partial<Parameters<typeof exportBlocks>[1]>) =>
    [...exportBlocks(recording, { all: false, ...query })].flatMap(({ sa, spn, rows: found }) =>
      found.map(({ time, value, status }) => [sa, spn, time / 1e6, value, status]),
    )

  test('are values, without what has none', () => {
    expect(rows({ spn: [190] })).toEqual([
      [0, 190, 1, 621, 'valid'],
      [3, 190, 4, 0.125, 'valid'],
    ])
  })

  test('are all that were sent, where that is asked for', () => {
    expect(rows({ spn: [190], all: true, sa: 0 })).toEqual([
      [0, 190, 1, 621, 'valid'],
      [0, 190, 2, null, 'not-available'],
    ])
  })

  test('are of a channel and a stretch of time, both ends in it', () => {
    expect(rows({ spn: [190], channel: 'can1' })).toHaveLength(1)
    expect(rows({ spn: [190], from: 1e6, to: 1e6 })).toHaveLength(1)
    expect(rows({ spn: [190], from: 1e6 + 1, to: 4e6 - 1 })).toEqual([])
    expect(rows({ spn: [1] })).toEqual([])
  })
})
