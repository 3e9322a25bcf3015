/** What becomes of an answer that breaks, over real sockets. */
import { get, type IncomingMessage } from 'node:http'
import type { AddressInfo } from 'node:net'
import { PassThrough, type Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import express from 'express'
import { pino } from 'pino'
import { afterEach, expect, test, vi } from 'vitest'
import { Metrics } from '../metrics.js'
import { problemHandler } from './problems.js'

const cleanUp: (() => unknown)[] = []
afterEach(async () => {
  for (const step of cleanUp.splice(0).reverse()) await step()
})

/** Serves streams, and keeps what is logged. */
async function serve(make: () => Readable) {
  const logged: { msg: string }[] = []
  const metrics = new Metrics()
  const log = pino({ level: 'debug' }, { write: (line) => logged.push(JSON.parse(line)) })
  const app = express()
  app.get('/', async (_request, response) => {
    await pipeline(make(), response)
  })
  app.use(problemHandler(log, metrics))
  const server = app.listen(0, '127.0.0.1')
  await new Promise((resolve) => server.once('listening', resolve))
  cleanUp.push(() => server.close())
  return { port: (server.address() as AddressInfo).port, metrics, said: () => logged.map(({ msg }) => msg) }
}

const answer = (port: number): Promise<IncomingMessage> =>
  new Promise((resolve, reject) => {
    get({ host: '127.0.0.1', port, agent: false }, resolve).on('error', reject)
  })

test('an answer that breaks through a mistake of the server is logged, counted, and cut', async () => {
  const stream = new PassThrough()
  const { port, metrics, said } = await serve(() => stream)
  stream.write('t,value\n')
  const response = await answer(port)
  const cut = new Promise((resolve) => response.on('error', resolve))
  response.resume()
  stream.destroy(new Error('a value that nobody foresaw'))
  expect(await cut).toMatchObject({ code: 'ECONNRESET' })
  await vi.waitUntil(() => said().length > 0)
  expect(said()).toEqual(['request failed'])
  expect(metrics.text()).toContain('firstcrank_refused_total{code="internal"} 1')
})

test('a client that goes in the middle of an answer is nobody’s mistake', async () => {
  const stream = new PassThrough()
  const { port, metrics, said } = await serve(() => stream)
  stream.write('t,value\n')
  const response = await answer(port)
  response.on('error', () => undefined)
  response.destroy()
  await vi.waitUntil(() => said().length > 0)
  expect(said()).toEqual(['the client has gone'])
  expect(metrics.text()).not.toContain('code="internal"')
})
