import { describe, expect, test } from 'vitest'
import { TokenBucket } from './token-bucket.js'

describe('a token bucket', () => {
  test('gives so many at once, and so many a second after that', () => {
    const bucket = new TokenBucket(3, 1, 0)
    expect([bucket.take(0), bucket.take(0), bucket.take(0), bucket.take(0)]).toEqual([true, true, true, false])
    expect(bucket.take(499)).toBe(false)
    expect(bucket.take(1_000)).toBe(true)
    expect(bucket.take(1_010)).toBe(false)
  })

  test('never gives more than it holds, however long it rested', () => {
    const bucket = new TokenBucket(2, 100, 0)
    expect([bucket.take(1e9), bucket.take(1e9), bucket.take(1e9)]).toEqual([true, true, false])
  })

  test('is full again when all has come back', () => {
    const bucket = new TokenBucket(2, 1, 0)
    expect(bucket.isFull(0)).toBe(true)
    bucket.take(0)
    expect([bucket.isFull(500), bucket.isFull(1_000)]).toEqual([false, true])
  })
})
