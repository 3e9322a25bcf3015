/**
 * Who may talk to the server: the right host name, the right origin, a paired device, not too often.
 * The same rules hold for HTTP and for the feed.
 */
import type { IncomingMessage } from 'node:http'
import { hostname, networkInterfaces } from 'node:os'
import { FeedError } from '@firstcrank/feed'
import { TokenBucket } from '../feed/token-bucket.js'
import type { Pairing } from './pairing.js'

/** How the guard is set. */
export interface GuardOptions {
  /** Whether other devices may connect. */
  readonly lan: boolean
  /** Further host names the server answers to. */
  readonly allowHosts: readonly string[]
  readonly pairing: Pairing
}

const LOOPBACK_NAMES: ReadonlySet<string> = new Set(['localhost', '127.0.0.1', '[::1]'])
/** Requests of one address at once and a second. Our own choice: a page and its data, many times over. */
const BURST = 600
const PER_SECOND = 300
/** Addresses whose requests are counted. Our own choice. */
const MAX_ADDRESSES = 10_000
/** Name of the cookie that holds a device's token. */
export const COOKIE = 'firstcrank'
const UNSAFE: ReadonlySet<string> = new Set(['POST', 'PUT', 'PATCH', 'DELETE'])

/** Checks requests. Every check throws a {@link FeedError}, or lets through. */
export class Guard {
  readonly #options: GuardOptions
  readonly #hosts: ReadonlySet<string>
  readonly #buckets = new Map<string, TokenBucket>()

  constructor(options: GuardOptions) {
    this.#options = options
    this.#hosts = new Set([...LOOPBACK_NAMES, ...options.allowHosts.map((name) => name.toLowerCase())])
  }

  /**
   * The name in the request is one of ours: a page of another site that has its own name point here
   * (DNS rebinding) is turned away.
   *
   * @throws {FeedError} `wrong-host`
   */
  checkHost(request: IncomingMessage): void {
    const name = hostNameOf(request)
    if (name !== undefined && this.#hosts.has(name)) return
    // Asked anew each time: a machine's addresses change.
    if (name !== undefined && this.#options.lan && ownNames().includes(name)) return
    throw new FeedError('wrong-host', `this server does not answer to ${name ?? 'no name'}`)
  }

  /**
   * A request that changes something comes from our own page, or from no page.
   *
   * @throws {FeedError} `wrong-origin`
   */
  checkSite(request: IncomingMessage): void {
    if (!UNSAFE.has(request.method ?? '')) return
    const site = request.headers['sec-fetch-site']
    if (site !== undefined && site !== 'same-origin' && site !== 'none') {
      throw new FeedError('wrong-origin', `a ${site} page may not change anything`)
    }
    this.checkOrigin(request)
  }

  /**
   * A page's socket comes from our own page; browsers always say which.
   *
   * @throws {FeedError} `wrong-origin`
   */
  checkOrigin(request: IncomingMessage): void {
    const { origin, host } = request.headers
    if (origin === undefined) return
    if (origin === `http://${host}` || origin === `https://${host}`) return
    throw new FeedError('wrong-origin', `pages of ${origin.slice(0, 100)} may not connect`)
  }

  /**
   * The request comes from this machine, or from a device that has been paired.
   *
   * @throws {FeedError} `pairing-needed`
   */
  checkDevice(request: IncomingMessage): void {
    if (!this.isKnown(request)) throw new FeedError('pairing-needed', 'enter the code that the server shows')
  }

  /** Whether a request comes from this machine, or from a device that has been paired. */
  isKnown(request: IncomingMessage): boolean {
    return isFromHere(request) || this.#options.pairing.knows(tokenOf(request))
  }

  /** @throws {FeedError} `too-many-requests` */
  checkRate(request: IncomingMessage): void {
    const address = request.socket.remoteAddress ?? ''
    let bucket = this.#buckets.get(address)
    if (bucket === undefined) {
      if (this.#buckets.size >= MAX_ADDRESSES) this.#forgetIdle()
      bucket = new TokenBucket(BURST, PER_SECOND)
      this.#buckets.set(address, bucket)
    }
    if (!bucket.take()) throw new FeedError('too-many-requests', `more than ${PER_SECOND} requests a second`)
  }

  #forgetIdle(): void {
    for (const [address, bucket] of this.#buckets) if (bucket.isFull()) this.#buckets.delete(address)
    // All of them busy: a flood, in which nobody's count is worth keeping.
    if (this.#buckets.size >= MAX_ADDRESSES) this.#buckets.clear()
  }
}

/** The host name of a request, without the port; undefined where it has none that can be read. */
function hostNameOf({ headers }: IncomingMessage): string | undefined {
  const match = /^(\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::\d{1,5})?$/i.exec(headers.host ?? '')
  return match?.[1]?.toLowerCase()
}

/** From this machine, and not through a proxy that has a name of its own. */
function isFromHere(request: IncomingMessage): boolean {
  const address = request.socket.remoteAddress ?? ''
  const isLoopback = address === '::1' || /^(::ffff:)?127\./.test(address)
  return isLoopback && LOOPBACK_NAMES.has(hostNameOf(request) ?? '') && request.headers['x-forwarded-for'] === undefined
}

/** A device's token, from its cookie or its `Authorization`. */
function tokenOf({ headers }: IncomingMessage): string | undefined {
  const bearer = /^Bearer ([\w-]{20,100})$/.exec(headers.authorization ?? '')?.[1]
  if (bearer !== undefined) return bearer
  const pairs = (headers.cookie ?? '').split(';').map((pair) => pair.trim().split('='))
  return pairs.find(([name]) => name === COOKIE)?.[1]
}

/** Names and addresses of this machine on its networks. */
export function ownAddresses(): string[] {
  return Object.values(networkInterfaces()).flatMap((addresses) =>
    (addresses ?? []).filter(({ internal, family }) => !internal && family === 'IPv4').map(({ address }) => address),
  )
}

function ownNames(): string[] {
  const name = hostname().toLowerCase()
  return [...ownAddresses(), name, `${name}.local`]
}
