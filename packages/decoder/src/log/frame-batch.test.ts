import { describe, expect, it } from 'vitest'
import { FrameBatch, FrameKeys } from './frame-batch.js'

describe('a batch', () => {
  it('takes frames row by row and fills short ones with FF', () => {
    const batch = new FrameBatch(4)
    batch.append(1000, 7, Uint8Array.of(9, 1, 2, 3, 9), 1, 3)
    batch.append(2000, 8, Uint8Array.of(1, 2, 3, 4, 5, 6, 7, 8), 0, 8)
    expect(batch.count).toBe(2)
    expect([...batch.time.subarray(0, 2)]).toEqual([1000, 2000])
    expect([...batch.key.subarray(0, 2)]).toEqual([7, 8])
    expect([...batch.length.subarray(0, 2)]).toEqual([3, 8])
    expect([...batch.bytes.subarray(0, 16)]).toEqual([1, 2, 3, 255, 255, 255, 255, 255, 1, 2, 3, 4, 5, 6, 7, 8])
    expect(new Uint8Array(batch.words.buffer)).toEqual(batch.bytes)
    expect(batch.capacity).toBe(4)
  })
})

describe('keys', () => {
  it('number interfaces and identifiers in order of first appearance', () => {
    const keys = new FrameKeys()
    expect([keys.channelNumber('can1'), keys.channelNumber('can0'), keys.channelNumber('can1')]).toEqual([0, 1, 0])
    expect([keys.intern(0, 5), keys.intern(1, 5), keys.intern(0, 0x1fffffff), keys.intern(0, 5)]).toEqual([0, 1, 2, 0])
    expect(keys).toMatchObject({ channels: ['can1', 'can0'], id: [5, 5, 0x1fffffff], channel: [0, 1, 0], count: 3 })
  })

  it('refuse further ones past their limits, and go on knowing the others', () => {
    const keys = new FrameKeys(2)
    for (let number = 0; number < 64; number++) expect(keys.channelNumber(`can${number}`)).toBe(number)
    expect(keys.channelNumber('can64')).toBe(-1)
    expect(keys.channelNumber('can63')).toBe(63)
    expect([keys.intern(0, 1), keys.intern(0, 2), keys.intern(0, 3), keys.intern(0, 2)]).toEqual([0, 1, -1, 1])
  })
})
