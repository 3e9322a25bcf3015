import { Writable } from 'node:stream'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { Progress } from './progress.js'

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['performance'] })
})
afterEach(() => {
  vi.useRealTimers()
})

function terminal(isTTY: boolean) {
  const written: string[] = []
  const stream = new Writable({
    write(chunk: Buffer, _encoding, done) {
      written.push(chunk.toString())
      done()
    },
  })
  return { written, stream: Object.assign(stream, { isTTY }) }
}

test('says nothing of a short read, then how far a long one is, and erases it', () => {
  const { written, stream } = terminal(true)
  const progress = new Progress(stream)
  progress.expect(200_000_000)
  progress.show(1_000_000)
  expect(written).toEqual([])
  vi.advanceTimersByTime(1100)
  progress.show(50_000_000)
  progress.show(51_000_000)
  expect(written).toEqual(['\r\u001b[Kread 50 MB of 200 MB, 25 %'])
  vi.advanceTimersByTime(300)
  progress.show(200_000_000)
  progress.end()
  expect(written.slice(1)).toEqual(['\r\u001b[Kread 200 MB of 200 MB, 100 %', '\r\u001b[K'])
})

test('leaves the size out where nobody knows it', () => {
  const { written, stream } = terminal(true)
  const progress = new Progress(stream)
  vi.advanceTimersByTime(1100)
  progress.show(3_500_000)
  expect(written).toEqual(['\r\u001b[Kread 3 MB'])
})

test('says nothing where nobody looks', () => {
  const { written, stream } = terminal(false)
  const progress = new Progress(stream)
  vi.advanceTimersByTime(5000)
  progress.show(3_500_000)
  progress.end()
  expect(written).toEqual([])
})
