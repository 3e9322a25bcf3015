/** A server for tests, and what talks to it: over real sockets, on this machine only. */
import { mkdtemp, rm } from 'node:fs/promises'
import { request as httpRequest, type IncomingHttpHeaders } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PassThrough } from 'node:stream'
import {
  FEED_PATH,
  FEED_PROTOCOL,
  FeedClient,
  type FeedClientOptions,
  type FeedSocket,
  problemDetails,
} from '@firstcrank/feed'
import { type RunningServer, type ServerOptions, type Source, StreamSource, startServer } from '@firstcrank/server'
import { expect } from 'vitest'
import { WebSocket } from 'ws'

const cleanUp: (() => unknown)[] = []

/** Remembers what to undo; undone in reverse. */
export function later(undo: () => unknown): void {
  cleanUp.push(undo)
}

/** Undoes all that tests have begun: to be called after each. */
export async function undoAll(): Promise<void> {
  for (const undo of cleanUp.splice(0).reverse()) await undo()
}

/** A folder that goes away again. */
export async function newFolder(): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'firstcrank-server-'))
  later(() => rm(folder, { recursive: true, force: true }))
  return folder
}

/** A server with a library of its own. */
export async function serve(options: Partial<ServerOptions> = {}): Promise<RunningServer> {
  const server = await startServer({ library: join(await newFolder(), 'library'), port: 0, ...options })
  later(() => server.stop())
  return server
}

/** A live source that a test writes to. */
export function pipe(title = 'a test'): { source: Source; write(text: string): void; end(): void } {
  const stream = new PassThrough({ highWaterMark: 1 << 24 })
  return {
    source: new StreamSource(stream, title),
    write: (text) => {
      stream.write(text)
    },
    end: () => {
      stream.end()
    },
  }
}

/** An answer, read whole. */
export interface Answer {
  readonly status: number
  readonly headers: IncomingHttpHeaders
  readonly bytes: Buffer
  readonly text: string
  /** Parsed; undefined where it is not JSON. */
  // biome-ignore lint/suspicious/noExplicitAny: tests look into answers of every shape
  readonly json: any
}

/** What is asked. Every header can be set, `Host` too. */
export interface Asked {
  readonly method?: string
  readonly headers?: Readonly<Record<string, string>>
  readonly body?: string | Uint8Array
}

/** Asks a server. */
export function ask(port: number, path: string, { method = 'GET', headers = {}, body }: Asked = {}): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const request = httpRequest({ host: '127.0.0.1', port, path, method, headers, agent: false }, (response) => {
      const chunks: Buffer[] = []
      response.on('data', (chunk: Buffer) => chunks.push(chunk))
      response.on('error', reject)
      response.on('end', () => {
        const bytes = Buffer.concat(chunks)
        const text = bytes.toString()
        let json: unknown
        try {
          json = JSON.parse(text)
        } catch {
          json = undefined
        }
        resolve({ status: response.statusCode ?? 0, headers: response.headers, bytes, text, json })
      })
    })
    request.on('error', reject)
    request.end(body)
  })
}

/** Asks with a body in JSON. */
export function askJson(port: number, path: string, method: string, body: unknown): Promise<Answer> {
  return ask(port, path, { method, headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
}

/** Uploads a log and waits until it has been read. */
export async function upload(port: number, log: string | Uint8Array, name = 'run.log'): Promise<string> {
  const { json } = await ask(port, `/api/runs?name=${encodeURIComponent(name)}`, { method: 'PUT', body: log })
  const { id } = json.run
  for (let tries = 0; tries < 200; tries++) {
    if ((await ask(port, `/api/runs/${id}`)).json.state !== 'reading') return id
    await new Promise((resolve) => setTimeout(resolve, 25))
  }
  throw new Error(`run ${id} was not read in time`)
}

/** A viewer's connection. */
export function viewer(port: number, options: Partial<FeedClientOptions> = {}): FeedClient {
  const client = new FeedClient({
    connect: (protocol) => openSocket(port, { protocol }) as unknown as FeedSocket,
    retry: { first: 20, longest: 100 },
    ...options,
  })
  later(() => client.close())
  return client
}

/** A bare socket to the feed. */
export function openSocket(
  port: number,
  {
    protocol = FEED_PROTOCOL,
    headers = {},
    path = FEED_PATH,
  }: { protocol?: string; headers?: Record<string, string>; path?: string } = {},
): WebSocket {
  const socket = new WebSocket(`ws://127.0.0.1:${port}${path}`, protocol === '' ? [] : [protocol], { headers })
  later(() => socket.terminate())
  return socket
}

/** Every refusal is problem details with a code. */
export function expectProblem(answer: Answer, status: number, code: string): void {
  expect([answer.status, answer.json?.code]).toEqual([status, code])
  expect(answer.headers['content-type']).toContain('application/problem+json')
  expect(problemDetails.parse(answer.json)).toEqual(answer.json)
}

const sockets: WebSocket[] = []

/** Status of an upgrade that is refused; 101 where it is not. */
export function upgradeStatus(port: number, options: Parameters<typeof openSocket>[1]): Promise<number> {
  return new Promise((resolve) => {
    const socket = openSocket(port, options)
    sockets.push(socket)
    socket.once('open', () => resolve(101))
    socket.once('error', () => undefined)
    socket.once('unexpected-response', (_, response) => {
      resolve(response.statusCode ?? 0)
      response.resume()
    })
  })
}

/** Ends the sockets of {@link upgradeStatus}, and lets the server notice. */
export async function undoSockets(): Promise<void> {
  for (const socket of sockets.splice(0)) socket.terminate()
  await new Promise((resolve) => setTimeout(resolve, 50))
}

/** A line of engine speed: rpm in eighths, at a time in microseconds. */
export function speedLine(time: number, eighths: number, id = '0CF00400'): string {
  const text = String(time).padStart(7, '0')
  const raw = eighths.toString(16).padStart(4, '0').toUpperCase()
  return `(${text.slice(0, -6)}.${text.slice(-6)}) can0 ${id}#FFFFFF${raw.slice(2)}${raw.slice(0, 2)}FFFFFF\n`
}

/** Engine speed, from the node those lines come from. */
export const SPEED = { channel: 'can0', sa: 0, pgn: 61444, spn: 190 } as const
