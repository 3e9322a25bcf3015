/**
 * Frames as columns. A batch is filled, handed on and filled again; nothing of it may be kept.
 * Frames that share identifier and channel share a key, so that what an identifier means is worked
 * out once and not once a frame.
 */

/** Frames in a batch: small enough for the processor's first cache levels. */
const BATCH_FRAMES = 1024

/** A run of extended data frames, in the order of the log. */
export class FrameBatch {
  /** Frames in it. */
  count = 0
  /** When each was seen, in microseconds. */
  readonly time: Float64Array
  /** Identifier and channel of each: an index into {@link FrameKeys}. */
  readonly key: Uint32Array
  /** Data bytes of each, 0 to 8. */
  readonly length: Uint8Array
  /** Eight bytes a frame; those past its length are 0xFF, which no signal takes for a value. */
  readonly bytes: Uint8Array
  /** The same memory as {@link bytes}, two words a frame: for copying only. */
  readonly words: Uint32Array

  constructor(capacity: number = BATCH_FRAMES) {
    this.time = new Float64Array(capacity)
    this.key = new Uint32Array(capacity)
    this.length = new Uint8Array(capacity)
    this.bytes = new Uint8Array(capacity * 8)
    this.words = new Uint32Array(this.bytes.buffer)
  }

  get capacity(): number {
    return this.time.length
  }

  /**
   * Adds one frame.
   *
   * @param data its bytes, `length` of them from `offset`
   */
  append(time: number, key: number, data: Uint8Array, offset: number, length: number): void {
    const row = this.count++
    this.time[row] = time
    this.key[row] = key
    this.length[row] = length
    for (let i = 0; i < 8; i++) this.bytes[row * 8 + i] = i < length ? data[offset + i] : 0xff
  }
}

/** Interfaces a log may have before further ones are refused. */
const MAX_CHANNELS = 64
/** Distinct pairs of channel and identifier a log may have before further ones are refused. */
const MAX_KEYS = 65_536

/** The pairs of channel and identifier seen so far, numbered in order of first appearance. */
export class FrameKeys {
  /** Interface names, numbered in order of first appearance. */
  readonly channels: string[] = []
  /** Identifier of each key, 29 bits. */
  readonly id: number[] = []
  /** Channel of each key. */
  readonly channel: number[] = []
  readonly #keyOf = new Map<number, number>()
  readonly #maxKeys: number

  constructor(maxKeys: number = MAX_KEYS) {
    this.#maxKeys = maxKeys
  }

  get count(): number {
    return this.id.length
  }

  /** The number of an interface, given at its first appearance; -1 where there are too many already. */
  channelNumber(name: string): number {
    const known = this.channels.indexOf(name)
    if (known >= 0) return known
    return this.channels.length < MAX_CHANNELS ? this.channels.push(name) - 1 : -1
  }

  /** The key of a channel and a 29-bit identifier; -1 where there are too many already. */
  intern(channel: number, id: number): number {
    const pair = channel * 2 ** 29 + id
    const known = this.#keyOf.get(pair)
    if (known !== undefined) return known
    if (this.id.length >= this.#maxKeys) return -1
    this.#keyOf.set(pair, this.id.length)
    this.channel.push(channel)
    return this.id.push(id) - 1
  }
}
