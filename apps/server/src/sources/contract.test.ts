/** What every source does, whatever it reads from. */
import { appendFile, mkdtemp, rename, rm, writeFile } from 'node:fs/promises'
import { connect, createServer, type Server, type Socket } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PassThrough } from 'node:stream'
import type { SourceState } from '@firstcrank/feed'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { FollowSource } from './follow.js'
import { openSources } from './open.js'
import { ReplaySource } from './replay.js'
import { type Source, SourceError, type SourceSink } from './source.js'
import { StreamSource } from './stream.js'
import { TcpConnectSource, TcpListenSource } from './tcp.js'

let folder: string
const cleanUp: (() => unknown)[] = []
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'firstcrank-sources-'))
})
afterEach(async () => {
  for (const step of cleanUp.splice(0).reverse()) await step()
  await rm(folder, { recursive: true })
})

/** Takes everything a source says. */
class Listener implements SourceSink {
  text = ''
  readonly states: SourceState[] = []
  readonly details: string[] = []
  restarts = 0
  bytes(chunk: Uint8Array): void {
    this.text += Buffer.from(chunk).toString('latin1')
    // The sender may use the memory again: whoever keeps the chunk itself would notice.
    chunk.fill(0x2a)
  }
  state(state: SourceState, detail: string): void {
    this.states.push(state)
    this.details.push(detail)
  }
  restarted(): void {
    this.restarts++
  }
}

/** Lines a millisecond apart, each unlike the others. */
const lines = (from: number, to: number): string =>
  Array.from({ length: to - from }, (_, i) => {
    const n = from + i
    const data = n.toString(16).padStart(16, '0').toUpperCase()
    return `(17000000${String(n)
      .padStart(5, '0')
      .replace(/(...)$/, '.$1000')}) can0 0CF00400#${data}\n`
  }).join('')

/** A source and somebody who sends to it. */
interface Rig {
  readonly source: Source
  /** Sends text; cut anywhere. */
  send(text: string): Promise<void>
  /** The far end goes away. Undefined where it cannot, or where that is the end. */
  lose?(): Promise<void>
  /** The far end comes back, and sends. */
  comeBack?(): Promise<void>
}

const written = (socket: Socket, text: string): Promise<void> =>
  new Promise((resolve) => {
    socket.write(text, () => resolve())
  })

const listening = (server: Server, port = 0): Promise<number> =>
  new Promise((resolve, reject) => {
    server.once('error', reject)
    server.listen(port, '127.0.0.1', () => resolve((server.address() as { port: number }).port))
  })

const RIGS: Record<string, () => Promise<Rig>> = {
  stream: async () => {
    const stream = new PassThrough()
    return {
      source: new StreamSource(stream),
      send: async (text) => {
        stream.write(text)
      },
    }
  },
  'tcp, connecting': async () => {
    let socket: Socket | undefined
    let server = createServer((taken) => {
      socket = taken
    })
    const port = await listening(server)
    const close = async () => {
      socket?.destroy()
      socket = undefined
      await new Promise((resolve) => server.close(resolve))
    }
    cleanUp.push(close)
    return {
      source: new TcpConnectSource({ host: '127.0.0.1', port }),
      send: async (text) => written(await vi.waitUntil(() => socket), text),
      lose: close,
      comeBack: async () => {
        server = createServer((taken) => {
          socket = taken
        })
        await listening(server, port)
      },
    }
  },
  'tcp, listening': async () => {
    const source = new TcpListenSource({ host: '127.0.0.1', port: 0 })
    let socket: Socket | undefined
    const dial = async () => {
      socket = connect(await vi.waitUntil(() => source.port), '127.0.0.1')
      await new Promise((resolve) => socket?.once('connect', resolve))
    }
    cleanUp.push(() => socket?.destroy())
    return {
      source,
      send: async (text) => {
        if (socket === undefined) await dial()
        await written(socket as Socket, text)
      },
      lose: async () => {
        socket?.destroy()
      },
      comeBack: dial,
    }
  },
  'growing file': async () => {
    const path = join(folder, 'grows.log')
    await writeFile(path, '')
    return {
      source: new FollowSource(path),
      send: (text) => appendFile(path, text),
      lose: () => rm(path),
      comeBack: () => writeFile(path, ''),
    }
  },
  replay: async () => {
    const path = join(folder, 'replayed.log')
    await writeFile(path, lines(0, 300))
    return { source: new ReplaySource(path, { title: 'replayed', speed: 10 }), send: async () => undefined }
  },
}

/** What a replay gives by itself, the others get sent. */
const WHOLE = lines(0, 300)

describe.each(Object.entries(RIGS))('%s', (name, make) => {
  test('hands on every byte, in order, once', async () => {
    const { source, send } = await make()
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    // In pieces that end in the middle of lines.
    for (let at = 0; at < WHOLE.length; at += 1777) await send(WHOLE.slice(at, at + 1777))
    await vi.waitUntil(() => listener.text.length >= WHOLE.length)
    expect(listener.text).toBe(WHOLE)
    expect(listener.states[0]).toBe('live')
  })

  test('says nothing more once it is stopped, and can be stopped again', async () => {
    const { source, send } = await make()
    const listener = new Listener()
    source.start(listener)
    await send(lines(0, 10))
    await vi.waitUntil(() => listener.text.length > 0)
    await source.stop()
    const before = { text: listener.text, states: [...listener.states] }
    expect(before.states.at(-1)).toBe('ended')
    await send(lines(10, 20)).catch(() => undefined)
    await new Promise((resolve) => setTimeout(resolve, 80))
    await source.stop()
    expect({ text: listener.text, states: listener.states }).toEqual(before)
  })

  test('can be stopped before anything came', async () => {
    const { source } = await make()
    const listener = new Listener()
    source.start(listener)
    await source.stop()
    expect(listener.states.at(-1)).toBe('ended')
  })

  test('is started once', async () => {
    const { source } = await make()
    source.start(new Listener())
    cleanUp.push(() => source.stop())
    expect(() => source.start(new Listener())).toThrow(SourceError)
    expect(() => source.start(new Listener())).toThrow(expect.objectContaining({ code: 'started-twice' }))
  })

  test('has a kind and a title, and is steered only where it is a replay', async () => {
    const { source } = await make()
    expect(source.title).not.toBe('')
    expect(['stream', 'tcp', 'file', 'replay']).toContain(source.kind)
    expect(source.replay !== undefined).toBe(name === 'replay')
    await source.stop()
  })
})

const MENDING = Object.entries(RIGS).filter(([name]) => /^tcp|file/.test(name))

describe.each(MENDING)('%s, lost', (_, make) => {
  test('tells of it, and goes on when it is back', async () => {
    const { source, send, lose, comeBack } = await make()
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    await send(lines(0, 5))
    await vi.waitUntil(() => listener.text === lines(0, 5))
    await lose?.()
    await vi.waitUntil(() => listener.states.includes('lost'), { timeout: 3_000 })
    await comeBack?.()
    await vi.waitUntil(() => listener.states.at(-1) === 'live', { timeout: 3_000 })
    await send(lines(5, 10))
    await vi.waitUntil(() => listener.text.length >= lines(0, 10).length)
    expect(listener.text).toBe(lines(0, 10))
    expect(listener.states).toEqual(['live', 'lost', 'live'])
  })
})

describe('stream', () => {
  test('ends with its stream', async () => {
    const stream = new PassThrough()
    const listener = new Listener()
    const source = new StreamSource(stream)
    source.start(listener)
    stream.end(lines(0, 3))
    await vi.waitUntil(() => listener.states.at(-1) === 'ended')
    expect(listener.text).toBe(lines(0, 3))
  })
})

describe('tcp, connecting', () => {
  test('says in words why it cannot', async () => {
    const server = createServer()
    const port = await listening(server)
    await new Promise((resolve) => server.close(resolve))
    const source = new TcpConnectSource({ host: 'localhost', port })
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    await vi.waitUntil(() => listener.states.at(-1) === 'lost')
    expect(listener.details).toEqual(['nobody answers there (ECONNREFUSED)'])
  })
})

test.each([
  ['recorded', {}],
  ['not recorded', { record: false }],
])('one source that is %s cannot be given twice, but for a file', (_, how) => {
  for (const source of ['tcp://127.0.0.1:1', 'tcp-listen://127.0.0.1:1']) {
    const twice = [
      { source, ...how },
      { source, ...how },
    ]
    expect(() => openSources(twice)).toThrow(new SourceError('bad-address', `${source} is given twice`))
  }
  expect(openSources([{ source: 'one/run.log' }, { source: 'two/run.log' }])).toHaveLength(2)
})

describe('tcp, listening', () => {
  test('takes one sender at a time', async () => {
    const source = new TcpListenSource({ host: '127.0.0.1', port: 0 })
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    const port = await vi.waitUntil(() => source.port)
    const first = connect(port, '127.0.0.1')
    await new Promise((resolve) => first.once('connect', resolve))
    await vi.waitUntil(() => listener.states.at(-1) === 'live')
    const second = connect(port, '127.0.0.1')
    second.on('error', () => undefined)
    second.write(lines(100, 101))
    await new Promise((resolve) => second.once('close', resolve))
    await written(first, lines(0, 1))
    await vi.waitUntil(() => listener.text !== '')
    expect(listener.text).toBe(lines(0, 1))
    first.destroy()
  })

  test('never writes to the sender', async () => {
    const source = new TcpListenSource({ host: '127.0.0.1', port: 0 })
    source.start(new Listener())
    const sender = connect(await vi.waitUntil(() => source.port), '127.0.0.1')
    let got = 0
    sender.on('error', () => undefined)
    sender.on('data', (chunk) => {
      got += chunk.length
    })
    await new Promise((resolve) => sender.once('connect', resolve))
    await written(sender, lines(0, 50))
    await source.stop()
    await new Promise((resolve) => sender.once('close', resolve))
    expect(got).toBe(0)
  })
})

describe('growing file', () => {
  test('that is written anew is read from its beginning', async () => {
    const path = join(folder, 'anew.log')
    await writeFile(path, lines(0, 20))
    const source = new FollowSource(path)
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    await vi.waitUntil(() => listener.text === lines(0, 20))
    await writeFile(path, lines(50, 52))
    await vi.waitUntil(() => listener.text.endsWith(lines(50, 52)))
    expect(listener.text).toBe(lines(0, 20) + lines(50, 52))
    expect(listener.restarts).toBe(1)
  })

  test('that was away is read on, and another in its place is read anew', async () => {
    const path = join(folder, 'away.log')
    await writeFile(path, lines(0, 20))
    const source = new FollowSource(path)
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    await vi.waitUntil(() => listener.text === lines(0, 20))
    const away = async () => {
      await rename(path, `${path}.away`)
      await vi.waitUntil(() => listener.states.at(-1) === 'lost')
    }
    await away()
    await rename(`${path}.away`, path)
    await appendFile(path, lines(20, 22))
    await vi.waitUntil(() => listener.text.length >= lines(0, 22).length)
    expect([listener.text, listener.restarts]).toEqual([lines(0, 22), 0])
    await away()
    await writeFile(path, lines(50, 90))
    await vi.waitUntil(() => listener.text.endsWith(lines(50, 90)))
    expect(listener.restarts).toBe(1)
  })

  test.each([
    ['removed, and another is written there', true],
    ['overwritten where it lies', false],
  ])('that is %s is read anew, also where the other is longer', async (_, isRemoved) => {
    const path = join(folder, 'again.log')
    await writeFile(path, lines(0, 20))
    const source = new FollowSource(path)
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    await vi.waitUntil(() => listener.text === lines(0, 20))
    if (isRemoved) {
      await rm(path)
      await vi.waitUntil(() => listener.states.at(-1) === 'lost')
    }
    await writeFile(path, lines(50, 90))
    await vi.waitUntil(() => listener.text.endsWith(lines(89, 90)))
    expect(listener.text).toBe(lines(0, 20) + lines(50, 90))
    expect(listener.restarts).toBe(1)
  })

  test('that is a folder is told of once, in words', async () => {
    const source = new FollowSource(folder)
    const listener = new Listener()
    source.start(listener)
    await vi.waitUntil(() => listener.states.includes('lost'), { timeout: 5_000 })
    // Some looks more.
    await new Promise((resolve) => setTimeout(resolve, 200))
    await source.stop()
    expect(listener.states).toEqual(['lost', 'ended'])
    expect(listener.details[0]).toBe(`${folder}: it is a folder, not a file (EISDIR)`)
  })

  test('that is not there yet is waited for', async () => {
    const path = join(folder, 'later.log')
    const source = new FollowSource(path)
    const listener = new Listener()
    source.start(listener)
    cleanUp.push(() => source.stop())
    await new Promise((resolve) => setTimeout(resolve, 120))
    await writeFile(path, lines(0, 2))
    await vi.waitUntil(() => listener.text === lines(0, 2))
  })
})
