/** The feed over real sockets: following, coming back, being slow, asking, talking nonsense. */
import type { ColumnEntry, FeedSocket, FollowBatch, LiveEvent, RecordingInfo, SourceInfo } from '@firstcrank/feed'
import type { RunningServer } from '@firstcrank/server'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import type { WebSocket } from 'ws'
import { ask, askJson, openSocket, pipe, SPEED, serve, speedLine, undoAll, upload, viewer } from './support.js'

/** Enough sources for every test to have one of its own. */
const pipes = Array.from({ length: 16 }, (_, n) => pipe(`bus ${n}`))
let shared: RunningServer
let used = 0
beforeAll(async () => {
  shared = await serve({ live: pipes.map(({ source }) => ({ source, record: false })) })
})
afterAll(undoAll)

const START = 1_700_000_000_000_000
/** Lines of engine speed a hundredth of a second apart; the n-th is n eighths of a revolution. */
const lines = (from: number, to: number): string =>
  Array.from({ length: to - from }, (_, i) => speedLine(START + (from + i) * 10_000, from + i)).join('')

/** Everything a follow has told. */
class Told {
  readonly batches: FollowBatch[] = []
  readonly events: LiveEvent[] = []
  missed = 0
  restarts = 0
  readonly connected: boolean[] = []
  end: string | undefined
  readonly sink = {
    columns: (batch: FollowBatch) => this.batches.push(batch),
    events: (events: readonly LiveEvent[], missed: number) => {
      this.events.push(...events)
      this.missed += missed
    },
    restarted: () => {
      this.restarts++
    },
    connected: (connected: boolean) => this.connected.push(connected),
    ended: (detail: string) => {
      this.end = detail
    },
  }

  /** Entries since the last reset. */
  get entries(): readonly ColumnEntry[] {
    const last = this.batches.findLastIndex(({ reset }) => reset)
    return this.batches.slice(Math.max(0, last)).flatMap(({ entries }) => entries)
  }

  /** Messages told of since the last reset, whole or in an overview. */
  get rows(): number {
    return this.entries.reduce(
      (sum, { columns }) =>
        sum + (columns.form === 'samples' ? columns.time.length : columns.count.reduce((a, b) => a + b, 0)),
      0,
    )
  }

  /** Values that came whole, in eighths. */
  get values(): number[] {
    return this.entries
      .flatMap(({ columns }) => (columns.form === 'samples' ? [...columns.value] : []))
      .map((value) => value * 8)
  }
}

const counting = (from: number, to: number): number[] => Array.from({ length: to - from }, (_, i) => from + i)
const FOLLOW = { signals: [SPEED], span: 1e9, columns: 1_000 }
const pause = (milliseconds: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, milliseconds))

/** A live source that no other test uses. */
function live() {
  const { write, end } = pipes[used] as (typeof pipes)[number]
  return { port: shared.port, write, end, recording: `live:${shared.sources[used++]}` }
}

/** A server with one live source. */
async function liveServer(options: Parameters<typeof serve>[0] = {}) {
  const { source, write } = pipe()
  const server = await serve({ live: [{ source, record: false }], ...options })
  return { port: server.port, server, write, recording: `live:${server.sources[0]}` }
}

describe('following', () => {
  test('gives what was, then what comes: every message once, in order, 20 times a second at most', async () => {
    const { port, write, recording } = live()
    write(lines(0, 50))
    const told = new Told()
    viewer(port).source(recording).follow(FOLLOW, told.sink)
    await vi.waitUntil(() => told.rows === 50)
    expect(told.batches[0]?.reset).toBe(true)
    const begun = performance.now()
    for (let n = 50; n < 300; n += 5) {
      write(lines(n, n + 5))
      await pause(5)
    }
    await vi.waitUntil(() => told.rows === 300)
    const ticks = (performance.now() - begun) / 50
    expect(told.values).toEqual(counting(0, 300))
    expect(told.batches.length).toBeLessThan(ticks + 4)
    expect(told.batches.at(-1)).toMatchObject({ reset: false })
    const [last] = told.entries.slice(-1)
    expect(last).toMatchObject({ next: 300, lastTime: START + 2_990_000, skipped: 0 })
    const { sent, arrived } = told.batches.at(-1) as FollowBatch
    expect(sent - arrived).toBeGreaterThanOrEqual(0)
    expect(sent - arrived).toBeLessThan(5e6)
  })

  test('begins with a signal when its first message comes', async () => {
    const { port, write, recording } = live()
    const told = new Told()
    viewer(port).source(recording).follow(FOLLOW, told.sink)
    write(speedLine(START, 1, '0CF00401'))
    await pause(120)
    expect(told.rows).toBe(0)
    write(lines(0, 3))
    await vi.waitUntil(() => told.rows === 3)
    expect(told.values).toEqual([0, 1, 2])
  })

  test('gives history as a picture where it is long', async () => {
    const { port, write, recording } = live()
    write(lines(0, 5_000))
    const told = new Told()
    viewer(port)
      .source(recording)
      .follow({ ...FOLLOW, columns: 100 }, told.sink)
    await vi.waitUntil(() => told.rows === 5_000)
    const [entry] = told.entries
    expect(entry?.columns.form).toBe('overview')
    if (entry?.columns.form === 'overview') {
      expect(entry.columns.first[0]).toBe(0)
      expect((entry.columns.last.at(-1) as number) * 8).toBe(4_999)
    }
  })

  test('tells what happens, numbered', async () => {
    const { port, write, recording } = live()
    const told = new Told()
    viewer(port).source(recording).follow(FOLLOW, told.sink)
    write(lines(0, 1))
    await vi.waitUntil(() => told.rows === 1)
    // DM1 of the engine: SPN 190, FMI 8, count 3; then none.
    write(`(${START / 1e6 + 1}.000000) can0 18FECA00#04FFBE000803FFFF\n`)
    write(`(${START / 1e6 + 2}.000000) can0 18FECA00#00FF00000000FFFF\n`)
    await vi.waitUntil(() => told.events.length >= 2)
    expect(told.events).toMatchObject([
      { kind: 'fault', change: 'began', fault: { spn: 190, fmi: 8, sa: 0, channel: 'can0', counts: [{ count: 3 }] } },
      { kind: 'fault', change: 'ended', fault: { spn: 190, endedBy: 'cleared' } },
    ])
  })

  test('ends with its source, when that is removed', async () => {
    const { port, write, recording } = live()
    const told = new Told()
    viewer(port).source(recording).follow(FOLLOW, told.sink)
    write(lines(0, 2))
    await vi.waitUntil(() => told.rows === 2)
    await ask(port, `/api/sources/${recording.slice(5)}`, { method: 'DELETE' })
    await vi.waitUntil(() => told.end !== undefined)
    expect(told.end).toMatch(/removed/)
  })

  test('of a run ends at once: it is not live', async () => {
    const { port } = shared
    const id = await upload(port, lines(0, 10))
    const told = new Told()
    viewer(port).source(`run:${id}`).follow(FOLLOW, told.sink)
    await vi.waitUntil(() => told.end !== undefined)
    expect(told.end).toMatch(/not live/)
  })
})

describe('coming back', () => {
  test('goes on without gap or double, however often the connection breaks', async () => {
    const { port, write, recording } = live()
    const sockets: WebSocket[] = []
    const client = viewer(port, {
      connect: (protocol) => {
        const socket = openSocket(port, { protocol })
        sockets.push(socket)
        return socket as unknown as FeedSocket
      },
    })
    const told = new Told()
    client.source(recording).follow(FOLLOW, told.sink)
    for (let round = 0; round < 12; round++) {
      write(lines(round * 30, round * 30 + 30))
      await pause(40 + round * 7)
      if (round % 2 === 1) sockets.at(-1)?.terminate()
    }
    await vi.waitUntil(() => told.rows === 360, { timeout: 5_000 })
    expect(told.values).toEqual(counting(0, 360))
    expect(told.batches.filter(({ reset }) => reset)).toHaveLength(1)
    expect(told.connected.filter((connected) => !connected).length).toBeGreaterThanOrEqual(5)
    expect(told.restarts).toBe(0)
  })

  test('brings the events that happened meanwhile, once', async () => {
    const { port, write, recording } = live()
    const sockets: WebSocket[] = []
    const client = viewer(port, {
      retry: { first: 300, longest: 300 },
      connect: (protocol) => {
        sockets.push(openSocket(port, { protocol }))
        return sockets.at(-1) as unknown as FeedSocket
      },
    })
    const told = new Told()
    client.source(recording).follow(FOLLOW, told.sink)
    const fault = (n: number, spn: number) =>
      `(${START / 1e6 + n}.000000) can0 18FECA00#04FF${spn.toString(16).toUpperCase().padStart(2, '0')}000801FFFF\n`
    write(lines(0, 1))
    await vi.waitUntil(() => told.rows === 1)
    write(fault(1, 190))
    await vi.waitUntil(() => told.events.length === 1)
    sockets.at(-1)?.terminate()
    await vi.waitUntil(() => told.connected.at(-1) === false)
    write(fault(2, 100))
    await vi.waitUntil(() => told.events.length === 3, { timeout: 3_000 })
    expect(told.events.map((event) => event.kind === 'fault' && [event.change, event.fault.spn])).toEqual([
      ['began', 190],
      ['began', 100],
      ['ended', 190],
    ])
    expect(told.missed).toBe(0)
  })

  test('after the server was started anew begins anew', async () => {
    const first = await liveServer()
    let { port } = first
    const client = viewer(0, { connect: (protocol) => openSocket(port, { protocol }) as unknown as FeedSocket })
    const told = new Told()
    first.write(lines(0, 10))
    client.source('live:stays').follow(FOLLOW, told.sink)
    await vi.waitUntil(() => told.end !== undefined)
    expect(told.end).toMatch(/no source/)

    const again = new Told()
    client.source(first.recording).follow(FOLLOW, again.sink)
    await vi.waitUntil(() => again.rows === 10)
    await first.server.stop()
    await vi.waitUntil(() => again.connected.at(-1) === false)
    const second = await liveServer()
    port = second.port
    // Its sources have other names: the follow ends, rather than show another engine.
    await vi.waitUntil(() => again.end !== undefined, { timeout: 3_000 })
  })

  test('answers a question that was asked before the connection broke', async () => {
    const { port, write, recording } = live()
    write(lines(0, 10))
    const sockets: WebSocket[] = []
    const client = viewer(port, {
      connect: (protocol) => {
        sockets.push(openSocket(port, { protocol }))
        return sockets.at(-1) as unknown as FeedSocket
      },
    })
    await vi.waitUntil(() => client.connected)
    const asked = client.source(recording).info()
    sockets.at(-1)?.terminate()
    expect((await asked).counts.extended).toBe(10)
  })
})

describe('a slow client', () => {
  test('gets fewer points and no queue; nobody else waits for it', async () => {
    const { port, write, recording } = live()
    const slow = openSocket(port)
    const texts: string[] = []
    const frames: Buffer[] = []
    slow.on('message', (data, isBinary) => (isBinary ? frames.push(data as Buffer) : texts.push(String(data))))
    await new Promise((resolve) => slow.once('open', resolve))
    // It never acknowledges.
    slow.send(JSON.stringify({ type: 'follow', id: 1, recording, ...FOLLOW }))
    const told = new Told()
    viewer(port).source(recording).follow(FOLLOW, told.sink)
    let n = 0
    for (let round = 0; round < 60; round++) {
      write(lines(n, n + 40))
      n += 40
      await pause(30)
    }
    await vi.waitUntil(() => told.rows === n, { timeout: 5_000 })
    expect(told.batches.length).toBeGreaterThan(16)
    // Sixteen batches, and not one more.
    expect(frames.length).toBe(16)
    const { text } = await ask(port, '/metrics')
    expect(Number(/firstcrank_batches_held_total (\d+)/.exec(text)?.[1])).toBeGreaterThan(10)

    const got = new Told()
    const { decodeFrame } = await import('@firstcrank/feed')
    slow.send(JSON.stringify({ type: 'acknowledge', sequence: 16 }))
    await vi.waitUntil(() => frames.length === 17)
    for (const frame of frames) got.sink.columns(decodeFrame(frame))
    // What it missed came as a picture of 32 columns: fewer points, and every message counted.
    expect(got.rows).toBe(n)
    const last = got.entries.at(-1)
    expect(last?.columns.form).toBe('overview')
    if (last?.columns.form === 'overview') expect(last.columns.first).toHaveLength(32)
    expect(last?.skipped).toBe(0)
  })

  test('that follows several things gets some of each, however little it takes', async () => {
    const { port, write, recording } = live()
    const socket = openSocket(port)
    const frames: number[] = []
    socket.on('message', (data, isBinary) => {
      if (!isBinary) return
      frames.push((data as Buffer).readUInt32LE(4))
      // Room for one more frame at a time, once the first sixteen are there.
      socket.send(JSON.stringify({ type: 'acknowledge', sequence: Math.max(0, frames.length - 15) }))
    })
    await new Promise((resolve) => socket.once('open', resolve))
    for (const id of [1, 2, 3]) socket.send(JSON.stringify({ type: 'follow', id, recording, ...FOLLOW }))
    for (let n = 0; frames.length < 40; n++) {
      write(lines(n, n + 1))
      await pause(10)
    }
    const later = frames.slice(20)
    for (const id of [1, 2, 3]) expect(later.filter((one) => one === id).length).toBeGreaterThan(3)
  })

  test('that does not read at all holds up nobody, and costs a bounded number of bytes', async () => {
    const { port, write, recording } = live()
    const stuck = openSocket(port)
    await new Promise((resolve) => stuck.once('open', resolve))
    stuck.send(JSON.stringify({ type: 'follow', id: 1, recording, ...FOLLOW, columns: 8_192 }))
    stuck.pause()
    const told = new Told()
    viewer(port).source(recording).follow(FOLLOW, told.sink)
    const sent = async () => Number(/batch_bytes_total (\d+)/.exec((await ask(port, '/metrics')).text)?.[1] ?? 0)
    const before = await sent()
    for (let round = 0; round < 40; round++) {
      write(lines(round * 50, round * 50 + 50))
      await pause(15)
    }
    await vi.waitUntil(() => told.rows === 2_000)
    expect((await sent()) - before).toBeLessThan(2_000 * 17 * 4 + 100_000)
  })

  test('that was away longer than is kept is told how many messages it missed', async () => {
    const { port, write, recording } = await liveServer({ liveLimits: { keep: 2_000_000, messages: 1e9 } })
    const socket = openSocket(port)
    const frames: Buffer[] = []
    socket.on('message', (data, isBinary) => isBinary && frames.push(data as Buffer))
    await new Promise((resolve) => socket.once('open', resolve))
    const told = new Told()
    const { decodeFrame } = await import('@firstcrank/feed')
    socket.send(JSON.stringify({ type: 'follow', id: 1, recording, ...FOLLOW }))
    for (let n = 0; n < 16; n++) {
      write(lines(n, n + 1))
      await vi.waitUntil(() => frames.length === n + 1)
    }
    write(lines(16, 10_000))
    await pause(150)
    socket.send(JSON.stringify({ type: 'acknowledge', sequence: 16 }))
    await vi.waitUntil(() => frames.length === 17)
    for (const frame of frames) told.sink.columns(decodeFrame(frame))
    const skipped = told.entries.reduce((sum, entry) => sum + entry.skipped, 0)
    expect(skipped).toBeGreaterThan(1_000)
    expect(told.rows + skipped).toBe(10_000)
  })
})

describe('asking', () => {
  test('a run and a live source the same things', async () => {
    const { port, write, recording } = live()
    const id = await upload(port, lines(0, 500))
    write(lines(0, 500))
    await pause(50)
    const client = viewer(port)
    const query = { signals: [SPEED], from: START, to: START + 4_990_000, columns: 400 }
    for (const source of [client.source(`run:${id}`), client.source(recording)]) {
      const info = await source.info()
      expect(info.counts.extended).toBe(500)
      const [entry] = await source.window(query)
      expect(entry?.columns.form === 'samples' && [...entry.columns.value].map((value) => value * 8)).toEqual(
        counting(0, 500),
      )
      const [moment] = await source.moment({ signals: [SPEED], time: START + 1_005_000 })
      expect(moment).toMatchObject({ time: START + 1_000_000, value: 100 / 8 })
      expect((await source.messages({ limit: 2, from: START })).messages).toHaveLength(2)
    }
    expect(await client.source(`run:${id}`).report()).toMatchObject({ schema: 'firstcrank.report' })
    await expect(client.source(recording).report()).rejects.toMatchObject({ code: 'not-found' })
  })

  test('what is not there', async () => {
    const { port } = shared
    const client = viewer(port)
    await expect(client.source(`run:${'0'.repeat(32)}`).info()).rejects.toMatchObject({ code: 'run-not-found' })
    await expect(client.source('live:none').info()).rejects.toMatchObject({ code: 'source-not-found' })
    const id = await upload(port, lines(0, 10))
    const query = { signals: [{ ...SPEED, spn: 1 }], from: 0, to: 1, columns: 1 }
    await expect(client.source(`run:${id}`).window(query)).rejects.toMatchObject({ code: 'signal-not-found' })
  })
})

describe('a viewer', () => {
  test('is told of the library and of sources', async () => {
    const { port } = shared
    const revisions: number[] = []
    let sources: readonly SourceInfo[] = []
    viewer(port, {
      onLibrary: (revision) => revisions.push(revision),
      onSources: (told) => {
        sources = told
      },
    })
    const id = await upload(port, lines(0, 200))
    await vi.waitUntil(() => revisions.length > 1)
    const { json } = await askJson(port, '/api/sources', 'POST', { run: id, paused: true })
    await vi.waitUntil(() => sources.at(-1)?.state === 'paused')
    expect(sources.at(-1)).toMatchObject({ id: json.id, kind: 'replay', run: id, title: 'run' })
    await ask(port, `/api/sources/${json.id}`, { method: 'DELETE' })
  })

  test('steers a replay, and is told when it begins anew', async () => {
    const { port } = shared
    const id = await upload(port, lines(0, 1_000))
    const { json, status } = await askJson(port, '/api/sources', 'POST', { run: id, paused: true })
    expect(status).toBe(201)
    const path = `/api/sources/${json.id}/control`
    const told = new Told()
    const source = viewer(port).source(`live:${json.id}`)
    source.follow(FOLLOW, told.sink)
    await askJson(port, path, 'POST', { do: 'step', frames: 3 })
    await vi.waitUntil(() => told.rows === 3)
    const moved = await askJson(port, path, 'POST', { do: 'seek', time: START + 5_000_000 })
    expect(moved.json.replay).toMatchObject({ from: START, to: START + 9_990_000, at: START + 5_000_000 })
    await askJson(port, path, 'POST', { do: 'step', frames: 2 })
    await vi.waitUntil(() => told.restarts === 1 && told.rows === 2)
    expect(told.values).toEqual([500, 501])
    await askJson(port, path, 'POST', { do: 'speed', speed: 100 })
    await askJson(port, path, 'POST', { do: 'play' })
    await vi.waitUntil(() => told.rows === 500, { timeout: 5_000 })
    const info: RecordingInfo = await source.info()
    expect(info.counts.extended).toBe(500)
    expect((await ask(port, `/api/runs/${id}?confirm=${id}`, { method: 'DELETE' })).json.code).toBe('run-in-use')
  })
})
