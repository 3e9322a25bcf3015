/** Limits on what is open are kept, also where many ask in one moment. */
import { readFile } from 'node:fs/promises'
import { get, type IncomingMessage } from 'node:http'
import { afterEach, expect, test, vi } from 'vitest'
import { type Answer, ask, askJson, expectProblem, later, serve, undoAll, upload } from './support.js'

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

/** Asks for what is too long for the buffers between, and does not read it: it lasts until it is let go of. */
function hold(port: number, path: string): Promise<IncomingMessage> {
  return new Promise((resolve, reject) => {
    const request = get({ host: '127.0.0.1', port, path, agent: false }, resolve).on('error', reject)
    later(() => request.destroy())
  })
}

test('exports of a recording that has to be read first', async () => {
  const { port } = await serve()
  const run = await upload(port, await readFile(PACKED))
  // 30 MB each: none ends while others are still coming.
  const long = Array.from({ length: 20 }, () => hold(port, `/api/runs/${run}/values.ndjson`))
  const answers = await Promise.all(long)
  const served = answers.filter(({ statusCode }) => statusCode === 200)
  expect([served.length, answers.filter(({ statusCode }) => statusCode === 503).length]).toEqual([8, 12])
  const short = `/api/runs/${run}/values.csv?spn=190`
  expectProblem(await ask(port, short), 503, 'too-busy')
  // The head alone makes no export, and needs no place.
  const head = await ask(port, short, { method: 'HEAD' })
  expect([head.status, head.headers['content-disposition'], head.text]).toEqual([
    200,
    'attachment; filename=run.csv',
    '',
  ])
  // Each gives its place back, whether it is read to its end or left.
  for (const answer of served) answer.destroy()
  await vi.waitUntil(async () => (await ask(port, short)).status === 200, { timeout: 5_000 })
  for (let i = 0; i < 10; i++) expect((await ask(port, short)).status).toBe(200)
})
