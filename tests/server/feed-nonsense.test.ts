/** What a client may not say, and what it gets for it. */
import { MAX_CLIENT_BYTES } from '@firstcrank/feed'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import type { WebSocket } from 'ws'
import { openSocket, pipe, SPEED, serve, speedLine, undoAll, viewer } from './support.js'

afterAll(undoAll)

const FOLLOW = { signals: [SPEED], span: 1e9, columns: 1_000 }
const repeat = (times: number, action: () => void): void => {
  for (let n = 0; n < times; n++) action()
}

describe('nonsense', () => {
  const window = { signals: [SPEED], from: 0, to: 1, columns: 10 }
  const run = `run:${'0'.repeat(32)}`
  let port: number
  let live: string
  beforeAll(async () => {
    const source = pipe()
    const server = await serve({ live: [{ source: source.source, record: false }] })
    port = server.port
    live = `live:${server.sources[0]}`
    source.write(speedLine(1_700_000_000_000_000, 1))
  })

  test.each<[string, unknown, number | null]>([
    ['no JSON', '{', null],
    ['no object', '[]', null],
    ['null', 'null', null],
    ['no type', {}, null],
    ['another type', { type: 'shout', id: 4 }, 4],
    ['a frame to be sent', { type: 'send', id: 5, frame: '0CF00400#00' }, 5],
    ['no id', { type: 'ask', recording: run, request: { ask: 'info' } }, null],
    ['an id that is none', { type: 'unfollow', id: -1 }, null],
    ['an id too large', { type: 'unfollow', id: 2 ** 40 }, 2 ** 40],
    ['no recording', { type: 'ask', id: 6, request: { ask: 'info' } }, 6],
    ['a path for a recording', { type: 'ask', id: 7, recording: 'run:../../etc/passwd', request: { ask: 'info' } }, 7],
    ['another question', { type: 'ask', id: 8, recording: run, request: { ask: 'everything' } }, 8],
    ['a field too many', { type: 'ask', id: 9, recording: run, request: { ask: 'info', more: 1 } }, 9],
    [
      'a window without end',
      { type: 'ask', id: 10, recording: run, request: { ask: 'window', query: { ...window, to: null } } },
      10,
    ],
    [
      'a window backwards',
      { type: 'ask', id: 11, recording: run, request: { ask: 'window', query: { ...window, from: 5 } } },
      11,
    ],
    [
      'too many columns',
      { type: 'ask', id: 12, recording: run, request: { ask: 'window', query: { ...window, columns: 1e6 } } },
      12,
    ],
    [
      'too many signals',
      { type: 'follow', id: 13, recording: 'live:x', ...FOLLOW, signals: Array(65).fill(SPEED) },
      13,
    ],
    ['an endless history', { type: 'follow', id: 14, recording: 'live:x', ...FOLLOW, span: 1e300 }, 14],
    [
      'a cursor that is none',
      {
        type: 'follow',
        id: 15,
        recording: 'live:x',
        ...FOLLOW,
        resume: { epoch: 'e', event: 0, cursors: [{ next: -1, lastTime: 0 }] },
      },
      15,
    ],
    ['an acknowledgement of nothing', { type: 'acknowledge', sequence: 'all' }, null],
  ])('%s is refused, and the connection stays', async (_, message, id) => {
    const socket = openSocket(port)
    const told: { type: string; id?: number; problem?: { code: string; status: number } }[] = []
    socket.on('message', (data) => told.push(JSON.parse(String(data))))
    await new Promise((resolve) => socket.once('open', resolve))
    socket.send(typeof message === 'string' ? message : JSON.stringify(message))
    await vi.waitUntil(() => told.some(({ type }) => type === 'problem'))
    expect(told.find(({ type }) => type === 'problem')).toMatchObject({
      id: id === 2 ** 40 ? null : id,
      problem: { code: 'bad-request' },
    })
    expect(socket.readyState).toBe(socket.OPEN)
  })

  test('a follow of what is not there, or twice, is refused; the rest goes on', async () => {
    const socket = openSocket(port)
    const problems: string[] = []
    let frames = 0
    socket.on('message', (data, isBinary) => {
      if (isBinary) frames++
      else if (JSON.parse(String(data)).type === 'problem') problems.push(JSON.parse(String(data)).problem.code)
    })
    await new Promise((resolve) => socket.once('open', resolve))
    const follow = { type: 'follow', id: 1, recording: live, ...FOLLOW }
    socket.send(JSON.stringify({ ...follow, recording: 'live:none' }))
    socket.send(JSON.stringify(follow))
    socket.send(JSON.stringify(follow))
    for (let id = 2; id < 20; id++) socket.send(JSON.stringify({ ...follow, id }))
    await vi.waitUntil(() => problems.length >= 5)
    expect(problems.slice(0, 2)).toEqual(['source-not-found', 'already-following'])
    expect(problems.slice(2)).toEqual(['too-busy', 'too-busy', 'too-busy'])
    await vi.waitUntil(() => frames > 0)
  })

  test.each<[string, (socket: WebSocket) => void, number]>([
    ['bytes, again and again', (socket) => repeat(25, () => socket.send(Buffer.from([1, 2, 3]))), 1008],
    ['too long a message', (socket) => socket.send(`"${'x'.repeat(MAX_CLIENT_BYTES)}"`), 1009],
    ['too many messages', (socket) => repeat(400, () => socket.send('{"type":"acknowledge","sequence":0}')), 1008],
    ['text that is no text', (socket) => socket.send(Buffer.from([0xff, 0xfe]), { binary: false }), 1007],
  ])('%s ends the connection', async (_, misbehave, code) => {
    const socket = openSocket(port)
    socket.on('error', () => undefined)
    await new Promise((resolve) => socket.once('open', resolve))
    const closed = new Promise((resolve) => socket.once('close', resolve))
    misbehave(socket)
    expect(await closed).toBe(code)
    // And nobody else's.
    expect(
      await viewer(port)
        .source('live:none')
        .info()
        .catch((error) => error.code),
    ).toBe('source-not-found')
  })
})
