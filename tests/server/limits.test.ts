/** Limits on what is open are kept, also where many ask in one moment. */
import { readFile } from 'node:fs/promises'
import { afterEach, expect, test } from 'vitest'
import { type Answer, ask, askJson, serve, undoAll, upload } from './support.js'

afterEach(undoAll)

const PACKED = new URL('../../sample-logs/clean-first-start.log.gz', import.meta.url)

const count = (answers: readonly Answer[], status: number): number =>
  answers.filter((answer) => answer.status === status).length

test('replays of a log that has to be unpacked first', async () => {
  const { port } = await serve()
  const run = await upload(port, await readFile(PACKED))
  const asked = Array.from({ length: 30 }, () => askJson(port, '/api/sources', 'POST', { run, paused: true }))
  const answers = await Promise.all(asked)
  expect([count(answers, 201), count(answers, 503)]).toEqual([16, 14])
  expect((await ask(port, '/api/sources')).json.sources).toHaveLength(16)
})

test('exports of a recording that has to be read first', async () => {
  const { port } = await serve()
  const run = await upload(port, await readFile(PACKED))
  const answers = await Promise.all(Array.from({ length: 20 }, () => ask(port, `/api/runs/${run}/values.csv?spn=190`)))
  expect([count(answers, 200), count(answers, 503)]).toEqual([8, 12])
  expect(answers.find(({ status }) => status === 503)?.json.code).toBe('too-busy')
  // Each has given its place back.
  expect((await ask(port, `/api/runs/${run}/values.csv?spn=190`)).status).toBe(200)
})
