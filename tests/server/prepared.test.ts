/** A busy recording is told of when every window of it can be had at once: its indexes have been made by then. */
import { afterEach, expect, test } from 'vitest'
import { ask, askJson, SPEED, serve, speedLine, undoAll, upload } from './support.js'

afterEach(undoAll)

/** Messages from which a signal's index is made ahead, and some more. */
const LINES = 210_000

test('indexes of all busy signals are there with the first description of a recording', async () => {
  const { port } = await serve({ threads: 1 })
  const log = Array.from({ length: LINES }, (_, n) => speedLine(1_700_000_000_000_000 + n * 1_000, n % 8_000)).join('')
  const id = await upload(port, log)
  const held = async (): Promise<number> =>
    Number(/^firstcrank_recordings_bytes (\d+)/m.exec((await ask(port, '/metrics')).text)?.[1])

  const { json } = await ask(port, `/api/runs/${id}/recording`)
  const described = await held()
  const { length } = json.signals as readonly unknown[]
  expect(length).toBeGreaterThan(4)
  // The log's own share, and a byte for every message of every signal.
  expect(described).toBeGreaterThanOrEqual(log.length * 0.4 + length * LINES)

  const query = { signals: [SPEED], from: 0, to: 1e16, columns: 800 }
  expect((await askJson(port, `/api/runs/${id}/window`, 'POST', query)).status).toBe(200)
  expect(await held()).toBe(described)
})
