/** Live lines on their way to the disk: kills, resumes, rotation, a folder that is taken. */
import { appendFile, readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { afterEach, expect, test, vi } from 'vitest'
import { killTrial } from './kill-trial.js'
import { startProcess } from './process.js'
import { ask, later, newFolder, pipe, serve, speedLine, undoAll } from './support.js'

afterEach(undoAll)

const lines = (from: number, to: number): string =>
  Array.from({ length: to - from }, (_, i) => speedLine(1_700_000_000_000_000 + (from + i) * 1_000, from + i)).join('')

test.each([130, 450, 900])(
  'a server killed after %i ms loses no line older than its interval, and goes on',
  async (runFor) => {
    const { wrong, given, kept } = await killTrial(join(await newFolder(), 'library'), runFor)
    expect(wrong).toEqual([])
    expect(given).toBeGreaterThan(40)
    expect(kept).toBeLessThanOrEqual(given)
  },
)

test('a source that ends becomes a run of the library, read like any other', async () => {
  const { source, write, end } = pipe('the bus of a test')
  const { port } = await serve({ live: [{ source }] })
  write(lines(0, 500))
  end()
  const runs = async () => (await ask(port, '/api/runs')).json.runs
  await vi.waitUntil(async () => (await runs())[0]?.state === 'ready', { timeout: 5_000 })
  const [run] = await runs()
  expect(run).toMatchObject({
    title: 'Live: the bus of a test',
    session: { part: 1 },
    summary: { frames: 500, malformed: 0 },
  })
  const { text } = await ask(port, `/api/runs/${run.id}/log`)
  const own = text.split('\n').filter((line) => line.startsWith('# firstcrank '))
  expect(own).toHaveLength(2)
  expect(
    text
      .split('\n')
      .filter((line) => !line.startsWith('#'))
      .join('\n'),
  ).toBe(lines(0, 500))
})

test('a long recording is in parts, each a run', async () => {
  const { source, write, end } = pipe('long')
  const { port } = await serve({ live: [{ source }], recorder: { rotateAt: 20_000, syncEvery: 50 } })
  for (let n = 0; n < 1_500; n += 300) {
    write(lines(n, n + 300))
    await new Promise((resolve) => setTimeout(resolve, 160))
  }
  end()
  const runs = async () => (await ask(port, '/api/runs')).json.runs
  await vi.waitUntil(
    async () =>
      (await runs()).reduce(
        (sum: number, { summary }: { summary: { frames: number } | null }) => sum + (summary?.frames ?? 0),
        0,
      ) === 1_500,
    { timeout: 8_000 },
  )
  const parts = (await runs()).map(({ session }: { session: { part: number } }) => session.part).sort()
  expect(parts.length).toBeGreaterThan(1)
  expect(parts).toEqual(parts.map((_: number, n: number) => n + 1))
})

test('a recording that nobody goes on with becomes a run at the next start', async () => {
  const library = join(await newFolder(), 'library')
  const first = await startProcess({ library, port: 0, live: [{ source: '-' }] })
  first.child.stdin.write(lines(0, 100))
  await vi.waitUntil(
    async () => {
      const { recorder } = (await ask(first.port, '/api/sources')).json.sources[0]
      return recorder.written > 4_000
    },
    { timeout: 5_000 },
  )
  await first.kill()
  // As a power cut leaves it: a line that ends after a whole byte looks like a shorter frame.
  const [name = ''] = (await readdir(join(library, 'logs'))).filter((file) => file.startsWith('live-'))
  await appendFile(join(library, 'logs', name), lines(100, 101).slice(0, -9))
  const second = await serve({ library })
  const runs = async () => (await ask(second.port, '/api/runs')).json.runs
  await vi.waitUntil(async () => (await runs())[0]?.state === 'ready', { timeout: 5_000 })
  expect((await runs())[0]).toMatchObject({ title: 'Live: standard input', summary: { frames: 100, malformed: 0 } })
})

test('a disk that fails is told of, and the live view goes on', async () => {
  const { source, write } = pipe()
  const openFile = (() =>
    Promise.reject(Object.assign(new Error('ENOSPC: no space left on device'), { code: 'ENOSPC' }))) as never
  const { port, sources } = await serve({ live: [{ source }], recorder: { openFile } })
  write(lines(0, 100))
  const told = async () => (await ask(port, `/api/sources/${sources[0]}`)).json
  await vi.waitUntil(async () => (await told()).recorder.state === 'disk-full')
  expect(await told()).toMatchObject({ state: 'live', lines: 100, recorder: { written: 0 } })
  const health = await ask(port, '/healthz')
  expect([health.status, health.json.status]).toEqual([503, 'degraded'])
  expect(health.json.problems[0]).toContain('the disk is full')
  expect((await ask(port, '/metrics')).text).toMatch(/recorder_written_bytes\{source="[^"]+"\} 0/)
})

test('a second server on the same folder is refused, and may have it when the first is gone', async () => {
  const library = join(await newFolder(), 'library')
  const first = await startProcess({ library, port: 0 })
  later(() => first.kill())
  const second = await startProcess({ library, port: 0 })
  expect(second).toMatchObject({ error: 'library-in-use' })
  expect(second.message).toContain(`process ${first.child.pid} at http://localhost:${first.port}`)
  // Killed, not stopped: its lock goes with it.
  await first.kill()
  const third = await startProcess({ library, port: 0 })
  expect(third.error).toBeUndefined()
  expect(JSON.parse(await readFile(join(library, 'server.json'), 'utf8')).process).toBe(third.child.pid)
  expect(await third.stop()).toBe(0)
})
