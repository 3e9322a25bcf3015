/** Servers killed while they record, at moments of chance, and every byte compared. */
import { join } from 'node:path'
import { afterEach, expect, test } from 'vitest'
import { killTrial } from '../server/kill-trial.js'
import { newFolder, undoAll } from '../server/support.js'

afterEach(undoAll)

const TRIALS = Number(process.env['SOAK_TRIALS'] ?? 50)

test(
  `${TRIALS} kills`,
  async () => {
    const results = []
    for (let trial = 0; trial < TRIALS; trial++) {
      const result = await killTrial(join(await newFolder(), 'library'), 50 + Math.random() * 1_500)
      expect(result.wrong, `trial ${trial}`).toEqual([])
      results.push(result)
      await undoAll()
    }
    const given = results.reduce((sum, one) => sum + one.given, 0)
    const kept = results.reduce((sum, one) => sum + one.kept, 0)
    const lost = Math.max(...results.map((one) => one.lost))
    console.log(`${TRIALS} kills: ${kept} of ${given} lines kept, nothing older than ${Math.round(lost)} ms lost`)
  },
  TRIALS * 60_000,
)
