/** So many at once, and so many a second after that. */
export class TokenBucket {
  readonly #size: number
  readonly #perSecond: number
  #tokens: number
  #at: number

  constructor(size: number, perSecond: number, now: number = performance.now()) {
    this.#size = size
    this.#perSecond = perSecond
    this.#tokens = size
    this.#at = now
  }

  /** Whether one more is allowed now; it counts if it is. @param now milliseconds */
  take(now: number = performance.now()): boolean {
    this.#tokens = Math.min(this.#size, this.#tokens + ((now - this.#at) / 1_000) * this.#perSecond)
    this.#at = now
    if (this.#tokens < 1) return false
    this.#tokens--
    return true
  }

  /** Whether all that was taken has come back: nothing would be forgotten with it. */
  isFull(now: number = performance.now()): boolean {
    return this.#tokens + ((now - this.#at) / 1_000) * this.#perSecond >= this.#size
  }
}
