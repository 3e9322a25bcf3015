/**
 * Devices that may connect over the network. The terminal shows a code; who types it into the page
 * gets a token as a cookie. A code is good for one device.
 */
import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto'
import { FeedError } from '@firstcrank/feed'
import { TokenBucket } from '../feed/token-bucket.js'
import type { Database } from '../library/database.js'

/** Letters and digits that are not taken for one another. */
const ALPHABET = 'ABCDEFGHJKLMNPQRSTUVWXYZ23456789'
const CODE_LENGTH = 8
/** Milliseconds a code is good for, and days a device stays paired. Our own choice. */
const CODE_FOR = 15 * 60_000
const DAYS = 30
/** Wrong codes of one address at once, and a minute; and in all before the code is changed. Our own choice. */
const TRIES = 5
const MAX_WRONG = 20

/** Seconds a token is good for. */
export const TOKEN_SECONDS: number = DAYS * 86_400

/** Issues tokens and knows them again. Only their hashes are kept. */
export class Pairing {
  readonly #database: Database
  readonly #onCode: (code: string) => void
  readonly #tries = new Map<string, TokenBucket>()
  readonly #known = new Map<string, number>()
  #code = ''
  #expires = 0
  #wrong = 0

  /** @param onCode is told each new code, to be shown where only the owner sees it */
  constructor(database: Database, onCode: (code: string) => void) {
    this.#database = database
    this.#onCode = onCode
    database.prepare('delete from device where expires < ?').run(Date.now())
  }

  /** Makes a code, and shows it. */
  showCode(): void {
    this.#code = Array.from({ length: CODE_LENGTH }, () => ALPHABET[randomInt(ALPHABET.length)]).join('')
    this.#expires = Date.now() + CODE_FOR
    this.#wrong = 0
    this.#onCode(`${this.#code.slice(0, 4)}-${this.#code.slice(4)}`)
  }

  /**
   * A token for a code.
   *
   * @param address who asks
   * @throws {FeedError} `wrong-code`, `too-many-requests`
   */
  pair(code: string, device: string, address: string): string {
    this.#countTry(address)
    const typed = code.toUpperCase().replaceAll(/[^A-Z0-9]/g, '')
    const isRight = this.#code !== '' && Date.now() < this.#expires && equal(typed, this.#code)
    if (!isRight) {
      if (++this.#wrong >= MAX_WRONG || Date.now() >= this.#expires) this.showCode()
      throw new FeedError('wrong-code', 'look at the code the server shows now')
    }
    const token = randomBytes(32).toString('base64url')
    const expires = Date.now() + TOKEN_SECONDS * 1_000
    this.#database
      .prepare('insert into device (token, name, paired, expires) values (?, ?, ?, ?)')
      .run(hashOf(token), device, Date.now(), expires)
    this.showCode()
    return token
  }

  /** Whether a token is one of ours and has not expired. */
  knows(token: string | undefined): boolean {
    if (token === undefined || token.length > 100) return false
    const hash = hashOf(token)
    const known = this.#known.get(hash) ?? this.#find(hash)
    return known !== undefined && known > Date.now()
  }

  #find(hash: string): number | undefined {
    const row = this.#database.prepare('select expires from device where token = ?').get(hash) as
      | { expires: number }
      | undefined
    if (row !== undefined) this.#known.set(hash, row.expires)
    return row?.expires
  }

  #countTry(address: string): void {
    if (this.#tries.size > 1_000) this.#tries.clear()
    const bucket = this.#tries.get(address) ?? new TokenBucket(TRIES, TRIES / 60)
    this.#tries.set(address, bucket)
    if (!bucket.take()) throw new FeedError('too-many-requests', `${TRIES} codes a minute may be tried`)
  }
}

const hashOf = (token: string): string => createHash('sha256').update(token).digest('hex')

const equal = (one: string, other: string): boolean =>
  timingSafeEqual(Buffer.from(hashOf(one)), Buffer.from(hashOf(other)))
