import { once } from 'node:events'
import { createServer } from 'node:http'
import { type AddressInfo, connect, createServer as createSocketServer, type Server } from 'node:net'
import { afterEach, describe, expect, test } from 'vitest'
import { createHttpServer, listen } from './http-server.js'

const open: Server[] = []
afterEach(() => {
  for (const server of open.splice(0)) server.close()
})

const HOST = '127.0.0.1'
const portOf = (server: Server): number => (server.address() as AddressInfo).port

/** A port that somebody else has. */
async function taken(port = 0): Promise<number> {
  const server = createSocketServer().listen(port, HOST)
  open.push(server)
  await once(server, 'listening')
  return portOf(server)
}

describe('listening', () => {
  test('takes the next port where one is taken', async () => {
    const port = await taken()
    const server = createServer()
    open.push(server)
    await listen(server, HOST, port, port + 5)
    expect(portOf(server)).toBeGreaterThan(port)
    expect(portOf(server)).toBeLessThanOrEqual(port + 5)
  })

  test('is refused where none may be tried but one that is taken', async () => {
    const port = await taken()
    await expect(listen(createServer(), HOST, port, port)).rejects.toMatchObject({ code: 'EADDRINUSE' })
  })

  test('is refused where there is no such address', async () => {
    await expect(listen(createServer(), '192.0.2.77', 1_024, 1_030)).rejects.toMatchObject({ syscall: 'listen' })
  })
})

test('every limit on time is set', () => {
  const server = createHttpServer(() => undefined, 10)
  const { headersTimeout, requestTimeout, keepAliveTimeout, timeout, maxConnections } = server
  expect({ headersTimeout, requestTimeout, keepAliveTimeout, timeout, maxConnections }).toEqual({
    headersTimeout: 10_000,
    requestTimeout: 3_600_000,
    keepAliveTimeout: 5_000,
    timeout: 60_000,
    maxConnections: 266,
  })
})

test('a limit on time is kept to the second', async () => {
  const server = createHttpServer(() => undefined, 10)
  open.push(server)
  server.headersTimeout = 100
  await listen(server, HOST, 0, 0)
  const socket = connect(portOf(server), HOST)
  socket.on('error', () => undefined)
  socket.write('GET / HTTP/1.1\r\nHost: loc')
  const begun = performance.now()
  await once(socket.resume(), 'close')
  expect(performance.now() - begun).toBeLessThan(3_000)
})
