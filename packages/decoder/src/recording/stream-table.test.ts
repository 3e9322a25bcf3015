import { describe, expect, it } from 'vitest'
import { FrameKeys } from '../log/frame-batch.js'
import { type StreamKey, StreamTable } from './stream-table.js'

describe('a table of streams', () => {
  const keys = new FrameKeys()
  const ids = [0x0cf00400, 0x18f00400, 0x18ea0021, 0x18eaff21, 0x18feee00, 0x19feee00]
  for (const channel of [0, 1]) for (const id of ids) keys.intern(channel, id)
  const table = new StreamTable(keys, (key: StreamKey) => key)

  it('has one for each channel, group, source and destination; the priority is that of the first frame', () => {
    const found = Array.from({ length: keys.count }, (_, key) => table.ofFrame(key))
    expect(new Set(found).size).toBe(10)
    expect(found.slice(0, 6)).toEqual([
      { channel: 0, priority: 3, pgn: 61444, sa: 0, da: 255 },
      { channel: 0, priority: 3, pgn: 61444, sa: 0, da: 255 },
      { channel: 0, priority: 6, pgn: 59904, sa: 0x21, da: 0 },
      { channel: 0, priority: 6, pgn: 59904, sa: 0x21, da: 255 },
      { channel: 0, priority: 6, pgn: 65262, sa: 0, da: 255 },
      { channel: 0, priority: 6, pgn: 65262 + 0x10000, sa: 0, da: 255 },
    ])
    expect(found[1]).toBe(found[0])
    expect(found[6]).toEqual({ ...found[0], channel: 1 })
  })

  it('gives long messages the stream of the single frames of the same group', () => {
    expect(table.ofMessage({ channel: 0, priority: 7, pgn: 65262, sa: 0, da: 255 })).toBe(table.ofFrame(4))
    const other = table.ofMessage({ channel: 0, priority: 7, pgn: 65251, sa: 0, da: 255 })
    expect(table.ofMessage({ channel: 0, priority: 6, pgn: 65251, sa: 0, da: 255 })).toBe(other)
    expect(table.all.at(-1)).toBe(other)
    expect(table.all).toHaveLength(11)
  })

  it('takes frames in any order of their keys', () => {
    const backwards = new StreamTable(keys, ({ pgn }: StreamKey) => ({ pgn }))
    const found = Array.from({ length: keys.count }, (_, index) => backwards.ofFrame(keys.count - 1 - index))
    expect(found.map(({ pgn }) => pgn).slice(0, 3)).toEqual([65262 + 0x10000, 65262, 59904])
    expect(backwards.ofFrame(11)).toBe(found[0])
  })
})
