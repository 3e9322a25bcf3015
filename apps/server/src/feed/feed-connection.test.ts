import { EventEmitter } from 'node:events'
import { pino } from 'pino'
import { describe, expect, test } from 'vitest'
import type { WebSocket } from 'ws'
import { Metrics } from '../metrics.js'
import { FeedConnection } from './feed-connection.js'

/** A socket of which only what keeps it alive is real. */
class FakeSocket extends EventEmitter {
  readonly OPEN = 1
  readonly readyState = 1
  bufferedAmount = 0
  pings = 0
  ended = false

  ping(): void {
    this.pings++
  }

  send(): void {}

  terminate(): void {
    this.ended = true
  }
}

function connect(): { socket: FakeSocket; connection: FeedConnection } {
  const socket = new FakeSocket()
  const backend = {
    ask: () => Promise.reject(new Error('not asked')),
    session: () => {
      throw new Error('not followed')
    },
    metrics: new Metrics(),
    log: pino({ level: 'silent' }),
  }
  return { socket, connection: new FeedConnection(socket as unknown as WebSocket, backend) }
}

describe('a connection', () => {
  test('that answers nothing and takes nothing is ended at the second look', () => {
    const { socket, connection } = connect()
    socket.bufferedAmount = 10_000
    connection.checkAlive()
    expect([socket.pings, socket.ended]).toEqual([1, false])
    connection.checkAlive()
    expect([socket.pings, socket.ended]).toEqual([1, true])
  })

  test.each<[string, (socket: FakeSocket) => void]>([
    ['answers the ping', (socket) => socket.emit('pong')],
    ['says something', (socket) => socket.emit('message', Buffer.from('{"type":"acknowledge","sequence":0}'), false)],
    ['has taken some of what waits for it', (socket) => (socket.bufferedAmount -= 1_000)],
  ])('that %s stays', (_, act) => {
    const { socket, connection } = connect()
    socket.bufferedAmount = 10_000
    for (let look = 1; look <= 4; look++) {
      connection.checkAlive()
      expect([socket.pings, socket.ended]).toEqual([look, false])
      act(socket)
    }
  })
})
