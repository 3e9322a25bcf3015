/**
 * Lines from a TCP socket: either this side connects, and again whenever it breaks, or it listens and
 * takes one sender at a time. Nothing is ever written to the socket.
 */
import { connect, createServer, type Server, type Socket } from 'node:net'
import { reasonOf } from '../reason.js'
import { type Source, SourceError, SourceLife, type SourceSink } from './source.js'

/** An address of a line socket. */
export interface TcpAddress {
  readonly host: string
  readonly port: number
}

/** First and longest wait before connecting again, in milliseconds. Our own choice. */
const FIRST_WAIT = 250
const LONGEST_WAIT = 5_000
/** Milliseconds after which a silent connection is probed by the system. Our own choice. */
const KEEP_ALIVE = 10_000

/**
 * `tcp://host:port` or `tcp-listen://host:port`.
 *
 * @throws {SourceError} `bad-address`
 */
export function parseTcpAddress(text: string): TcpAddress & { readonly listen: boolean } {
  const match = /^tcp(-listen)?:\/\/(\[[0-9a-f:.]+\]|[^:/?#\s]+):(\d{1,5})$/i.exec(text)
  const port = Number(match?.[3])
  if (match === null || port > 65_535) throw new SourceError('bad-address', `not a TCP address: ${text}`)
  return { host: (match[2] as string).replace(/^\[|\]$/g, ''), port, listen: match[1] !== undefined }
}

/** Connects to a sender of lines. */
export class TcpConnectSource implements Source {
  readonly kind = 'tcp'
  readonly title: string
  readonly #address: TcpAddress
  readonly #life = new SourceLife()
  #socket: Socket | undefined
  #timer: NodeJS.Timeout | undefined
  #wait = FIRST_WAIT

  constructor(address: TcpAddress) {
    this.#address = address
    this.title = `tcp://${address.host}:${address.port}`
  }

  start(sink: SourceSink): void {
    this.#life.begin(sink)
    this.#connect()
  }

  async stop(): Promise<void> {
    clearTimeout(this.#timer)
    this.#socket?.destroy()
    this.#life.end('stopped')
  }

  #connect(): void {
    const socket = connect(this.#address)
    this.#socket = socket
    socket.setKeepAlive(true, KEEP_ALIVE)
    let reason = 'the connection was closed'
    socket.on('connect', () => {
      this.#wait = FIRST_WAIT
      this.#life.state('live', `connected to ${this.title}`)
    })
    socket.on('data', (chunk) => this.#life.bytes(chunk))
    socket.on('error', (error) => {
      reason = reasonOf(error)
    })
    socket.on('close', () => {
      if (!this.#life.running) return
      this.#life.state('lost', reason)
      this.#timer = setTimeout(() => this.#connect(), this.#wait)
      this.#wait = Math.min(LONGEST_WAIT, this.#wait * 2)
    })
  }
}

/** Waits for a sender of lines. */
export class TcpListenSource implements Source {
  readonly kind = 'tcp'
  readonly title: string
  readonly #address: TcpAddress
  readonly #life = new SourceLife()
  #server: Server | undefined
  #sender: Socket | undefined

  constructor(address: TcpAddress) {
    this.#address = address
    this.title = `tcp-listen://${address.host}:${address.port}`
  }

  /** The port it listens on; undefined before it does. Where 0 was asked for the system chose one. */
  get port(): number | undefined {
    const address = this.#server?.address()
    return typeof address === 'object' && address !== null ? address.port : undefined
  }

  start(sink: SourceSink): void {
    this.#life.begin(sink)
    const server = createServer((socket) => this.#take(socket))
    this.#server = server
    server.on('error', (error) => this.#life.end(`cannot listen: ${reasonOf(error)}`))
    server.listen(this.#address.port, this.#address.host)
  }

  async stop(): Promise<void> {
    this.#sender?.destroy()
    const server = this.#server
    if (server?.listening) await new Promise<void>((resolve) => server.close(() => resolve()))
    this.#life.end('stopped')
  }

  #take(socket: Socket): void {
    // Two senders' lines would be mixed up in the middle of each other.
    if (this.#sender !== undefined) {
      socket.destroy()
      return
    }
    this.#sender = socket
    socket.setKeepAlive(true, KEEP_ALIVE)
    this.#life.state('live', `${socket.remoteAddress ?? 'a sender'} has connected`)
    let reason = 'the sender has closed the connection'
    socket.on('data', (chunk) => this.#life.bytes(chunk))
    socket.on('error', (error) => {
      reason = reasonOf(error)
    })
    socket.on('close', () => {
      this.#sender = undefined
      if (this.#life.running) this.#life.state('lost', reason)
    })
  }
}
