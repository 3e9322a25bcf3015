/**
 * A server that works for long: a full bus recorded and watched, viewers that come and go, logs that
 * come in, replays, windows. Its memory is flat once its buffers are full.
 */
import { join } from 'node:path'
import { afterEach, expect, test } from 'vitest'
import { startProcess } from '../server/process.js'
import { ask, askJson, later, newFolder, speedLine, undoAll, viewer } from '../server/support.js'
import { FULL_LOAD, Traffic, WATCHED } from './traffic.js'

afterEach(undoAll)

const MINUTES = Number(process.env['SOAK_MINUTES'] ?? 15)
/** Milliseconds between two looks at the memory, and share of the time in which buffers fill. */
const LOOK_EVERY = 2_000
const WARM_UP = 0.4
const MEGABYTE = 2 ** 20

const pause = (milliseconds: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, milliseconds))
const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] as number

test(
  `memory over ${MINUTES} min`,
  async () => {
    const server = await startProcess({
      library: join(await newFolder(), 'library'),
      port: 0,
      live: [{ source: '-' }],
      memory: 64 * MEGABYTE,
      // Full after a short while, so that what grows is not the buffer.
      liveLimits: { keep: 20_000_000, messages: 200_000 },
      recorder: { rotateAt: 8 * MEGABYTE },
    })
    later(() => server.kill())
    const traffic = new Traffic((text) => server.child.stdin.write(text), FULL_LOAD)
    later(() => traffic.stop())
    const { port, sources } = server
    const recording = `live:${sources[0]}`
    const end = performance.now() + MINUTES * 60_000
    const resident: number[] = []

    for (let round = 0; performance.now() < end; round++) {
      const client = viewer(port)
      const source = client.source(recording)
      let rows = 0
      source.follow(
        { signals: WATCHED, span: 1e7, columns: 800 },
        { columns: ({ entries }) => (rows += entries.length) },
      )
      const log = Array.from({ length: 3_000 }, (_, n) =>
        speedLine(1_700_000_000_000_000 + round * 1e9 + n * 1_000, (n + round) % 8_000),
      )
      const { json } = await ask(port, `/api/runs?name=run-${round}`, { method: 'PUT', body: log.join('') })
      const run = `run:${json.run.id}`
      const query = { signals: [WATCHED[0]], from: 0, to: 1e16, columns: 500 }
      for (let n = 0; n < 5; n++) await client.source(run).window(query)
      const replay = await askJson(port, '/api/sources', 'POST', { run: json.run.id, speed: 100, loop: true })
      client
        .source(`live:${replay.json.id}`)
        .follow({ signals: [WATCHED[0]], span: 1e9, columns: 500 }, { columns: () => undefined })
      await ask(port, `/api/runs/${json.run.id}/values.csv`)
      await pause(LOOK_EVERY)
      await ask(port, `/api/sources/${replay.json.id}`, { method: 'DELETE' })
      await ask(port, `/api/runs/${json.run.id}?confirm=${json.run.id}`, { method: 'DELETE' })
      client.close()
      expect(rows).toBeGreaterThan(0)
      const { text } = await ask(port, '/metrics')
      resident.push(Number(/^firstcrank_resident_bytes (\d+)/m.exec(text)?.[1]) / MEGABYTE)
    }

    const warm = resident.slice(Math.floor(resident.length * WARM_UP))
    const half = Math.floor(warm.length / 2)
    const [before, after] = [median(warm.slice(0, half)), median(warm.slice(half))]
    console.log(
      `memory over ${MINUTES} min: ${Math.round(before)} MB, then ${Math.round(after)} MB; most ${Math.round(Math.max(...resident))} MB`,
    )
    // One in ten: what the collector leaves lying about from one look to the next.
    expect(after).toBeLessThan(before * 1.1 + 10)
    expect((await ask(port, '/healthz')).json.status).toBe('ok')
  },
  MINUTES * 60_000 + 120_000,
)
