/** What recordings take in memory is bounded, whatever people look at. */
import { afterAll, beforeAll, expect, test } from 'vitest'
import { ask, askJson, SPEED, serve, speedLine, undoAll, upload } from './support.js'

/** Bytes recordings may take: two of 10,000 lines, which take 200,000 bytes more than their frames each. */
const MEMORY = 900_000
const log = (lines: number, from: number): string =>
  Array.from({ length: lines }, (_, n) => speedLine(1_700_000_000_000_000 + (from + n) * 1_000, n % 60_000)).join('')

let port: number
beforeAll(async () => {
  ;({ port } = await serve({ memory: MEMORY, threads: 1 }))
})
afterAll(undoAll)

const level = async (name: string): Promise<number> =>
  Number(new RegExp(`^${name} (\\d+)`, 'm').exec((await ask(port, '/metrics')).text)?.[1])

test('a log that does not fit has a summary, and says why it has no more', async () => {
  const id = await upload(port, log(60_000, 0), 'too large')
  const { json } = await ask(port, `/api/runs/${id}`)
  expect(json).toMatchObject({
    state: 'ready',
    problem: 'recording-too-large',
    verdict: null,
    summary: { frames: 60_000 },
  })
  const refused = await ask(port, `/api/runs/${id}/recording`)
  expect([refused.status, refused.json.code]).toEqual([413, 'recording-too-large'])
  // Its log is there all the same.
  expect((await ask(port, `/api/runs/${id}/log`)).text).toBe(log(60_000, 0))
})

test('of several logs, those that were looked at last are held', async () => {
  const ids: string[] = []
  for (let n = 0; n < 4; n++) ids.push(await upload(port, log(10_000, n * 100_000), `run ${n}`))
  const query = { signals: [SPEED], from: 0, to: 1e16, columns: 10 }
  for (let round = 0; round < 2; round++) {
    for (const id of ids) {
      expect((await askJson(port, `/api/runs/${id}/window`, 'POST', query)).status).toBe(200)
      expect(await level('firstcrank_recordings_bytes')).toBeLessThanOrEqual(MEMORY)
      expect(await level('firstcrank_recordings')).toBeLessThan(ids.length)
    }
  }
  expect(await level('firstcrank_recordings')).toBe(2)
})

test('a run that is moved to the trash is not held any longer', async () => {
  const id = await upload(port, log(1_000, 900_000), 'short')
  const query = { signals: [SPEED], from: 0, to: 1e16, columns: 10 }
  await askJson(port, `/api/runs/${id}/window`, 'POST', query)
  const held = await level('firstcrank_recordings')
  expect((await ask(port, `/api/runs/${id}?confirm=${id}`, { method: 'DELETE' })).status).toBe(200)
  expect(await level('firstcrank_recordings')).toBe(held - 1)
})
