import { MessageChannel } from 'node:worker_threads'
import { describe, expect, test } from 'vitest'
import { encodeFrame } from './column-frame.js'
import { type Port, portTransport, servePort } from './port-transport.js'
import { FeedError } from './problem.js'
import { createSource, type Progress } from './recording-source.js'
import type { CheckedRequest } from './requests.js'

/** Two ends of a channel. */
function ports(): { near: Port; far: Port } {
  const { port1, port2 } = new MessageChannel()
  const wrap = (port: typeof port1): Port => ({
    post: (message, transfer = []) => port.postMessage(message, transfer),
    receive: (listener) => port.on('message', listener),
    close: () => port.close(),
  })
  return { near: wrap(port1), far: wrap(port2) }
}

describe('a recording behind a port', () => {
  test('is asked, and answers; windows come as columns', async () => {
    const { near, far } = ports()
    const asked: CheckedRequest[] = []
    const entry = {
      index: 0,
      next: 1,
      lastTime: 5,
      from: 0,
      to: 9,
      skipped: 0,
      columns: {
        form: 'samples' as const,
        time: Float64Array.of(5),
        value: Float64Array.of(2),
        status: Uint8Array.of(0),
      },
    }
    servePort(far, (request) => {
      asked.push(request)
      const head = { id: 0, sequence: 0, reset: false, sent: Number.NaN, arrived: Number.NaN }
      return request.ask === 'window' ? encodeFrame({ ...head, entries: [entry] }) : { answered: request.ask }
    })
    const source = createSource(portTransport(near))
    const query = { signals: [{ channel: 'c', sa: 0, pgn: 1, spn: 2 }], from: 0, to: 9, columns: 4 }
    expect(await source.window(query)).toEqual([entry])
    expect(await source.info()).toEqual({ answered: 'info' })
    expect(await source.report()).toEqual({ answered: 'report' })
    expect(await source.messages({})).toEqual({ answered: 'messages' })
    // What was left out has been filled in.
    expect(asked.at(-1)).toEqual({ ask: 'messages', query: { limit: 200 } })
    source.close()
  })

  test('refuses with a code, and goes on', async () => {
    const { near, far } = ports()
    servePort(far, (request) => {
      if (request.ask === 'info') throw new FeedError('not-ready', 'it is being read')
      if (request.ask === 'report') throw new TypeError('a mistake')
      return []
    })
    const source = createSource(portTransport(near))
    await expect(source.info()).rejects.toMatchObject({ code: 'not-ready', message: 'it is being read' })
    await expect(source.report()).rejects.toMatchObject({ code: 'internal' })
    expect(await source.moment({ signals: [{ channel: 'c', sa: 0, pgn: 1, spn: 2 }], time: 0 })).toEqual([])
    source.close()
  })

  test('tells how far it has been read, until nobody listens', async () => {
    const { near, far } = ports()
    const served = servePort(far, () => ({}))
    const source = createSource(portTransport(near))
    const told: Progress[] = []
    const stop = source.onProgress((progress) => told.push(progress))
    served.progress({ complete: false, bytes: 5, total: 10 })
    await source.info()
    stop()
    served.progress({ complete: true, bytes: 10, total: 10 })
    await source.info()
    expect(told).toEqual([{ complete: false, bytes: 5, total: 10 }])
    source.close()
  })

  test('has nothing to follow', () => {
    const { near } = ports()
    let ended = ''
    const source = createSource(portTransport(near))
    source
      .follow({ signals: [], span: 0, columns: 1 }, { columns: () => undefined, ended: (why) => (ended = why) })
      .stop()
    expect(ended).toMatch(/not live/)
    source.close()
  })

  test('that is closed leaves no question open', async () => {
    const { near } = ports()
    const source = createSource(portTransport(near))
    const asked = source.info()
    source.close()
    await expect(asked).rejects.toMatchObject({ code: 'not-found' })
  })
})
