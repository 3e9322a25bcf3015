/** 200 viewers on one live bus at 500 kbit/s without a pause. */
import { join } from 'node:path'
import { afterEach, expect, test } from 'vitest'
import { newFolder, undoAll } from '../server/support.js'
import { FULL_LOAD } from './traffic.js'
import { watchFullBus } from './watch.js'

afterEach(undoAll)

const SECONDS = Number(process.env['SOAK_SECONDS'] ?? 60)
const VIEWERS = 200

test(
  `${VIEWERS} viewers for ${SECONDS} s`,
  async () => {
    const seen = await watchFullBus(join(await newFolder(), 'library'), VIEWERS, SECONDS)
    console.log(`${VIEWERS} viewers, ${Math.round(seen.rate)} lines/s:`, seen)
    expect(seen.rate).toBeGreaterThan(FULL_LOAD * 0.95)
    expect(seen).toMatchObject({ gaps: 0, skipped: 0, broken: 0, resets: expect.any(Number) })
    expect(seen.messages).toBeGreaterThan(VIEWERS * SECONDS * FULL_LOAD * 0.8)
    // A batch waits 50 ms for its tick; the rest is the way through three processes.
    expect(seen.p99).toBeLessThan(1_000)
  },
  (SECONDS + 60) * 1_000,
)
