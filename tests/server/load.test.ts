/** The soak in short: viewers on a bus at full load, while a large log comes in. */
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { afterEach, expect, test } from 'vitest'
import { FULL_LOAD } from '../soak/traffic.js'
import { watchFullBus } from '../soak/watch.js'
import { newFolder, speedLine, undoAll, upload } from './support.js'

afterEach(undoAll)

const VIEWERS = 20
const SECONDS = 4

test('viewers of a full bus are told of every message at once, also while a large log is read', async () => {
  const lines = 300_000
  const log = Array.from({ length: lines }, (_, n) => speedLine(1_700_000_000_000_000 + n * 300, n % 60_000))
  const packed = gzipSync(log.join(''), { level: 1 })
  let read = ''
  const seen = await watchFullBus(join(await newFolder(), 'library'), VIEWERS, SECONDS, async (port) => {
    read = await upload(port, packed, 'large')
  })
  expect(read).toMatch(/^[0-9a-f]{32}$/)
  expect(seen).toMatchObject({ gaps: 0, skipped: 0, broken: 0, resets: VIEWERS })
  expect(seen.rate).toBeGreaterThan(FULL_LOAD * 0.8)
  expect(seen.messages).toBeGreaterThan(VIEWERS * SECONDS * FULL_LOAD * 0.8)
  // A tick is 50 ms; the rest is room for a machine that does other things meanwhile.
  expect(seen.p99).toBeLessThan(1_000)
})
