import { openRecording } from '@firstcrank/decoder'
import { expect, test } from 'vitest'
import { prepareWindows } from './prepare.js'

/** Lines of a group each millisecond, and of another each second. */
function log(seconds: number): Uint8Array {
  let text = ''
  for (let n = 0; n < seconds * 1_000; n++) {
    const time = `(${1_700_000_000 + Math.floor(n / 1_000)}.${String((n % 1_000) * 1_000).padStart(6, '0')})`
    text += `${time} can0 0CF00400#FFFFFF${(n & 0xff).toString(16).padStart(2, '0')}40FFFFFF\n`
    if (n % 1_000 === 0) text += `${time} can0 18FEEE00#7DFFFFFFFFFFFFFF\n`
  }
  return new TextEncoder().encode(text)
}

test('makes the indexes of signals with many messages, one at a step, and changes nothing they say', async () => {
  const [recording, untouched] = [await openRecording(log(20)), await openRecording(log(20))]
  const busy = recording.signals().filter(({ count }) => count >= 10_000)
  expect(busy.length).toBeGreaterThan(0)
  expect([...prepareWindows(recording, 10_000)]).toEqual(busy.map(({ count }) => count))
  const pictureOf = (of: typeof recording) =>
    of.signal({ spn: 190 })?.overview(of.clock.first ?? 0, of.clock.last ?? 0, 300)
  expect(pictureOf(recording)?.count.reduce((sum, messages) => sum + messages, 0)).toBe(20_000)
  expect(pictureOf(recording)).toEqual(pictureOf(untouched))
})

test('has nothing to do where nothing is busy', async () => {
  expect([...prepareWindows(await openRecording(log(2)))]).toEqual([])
})
