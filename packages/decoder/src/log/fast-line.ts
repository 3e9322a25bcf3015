/**
 * The common line, `(1626905042.645596) can1 0CF00400#507D8DD11200F48E`, read at fixed offsets.
 *
 * Three things make it fast. What rarely changes from line to line (bracket, seconds, dot; the
 * interface's name) is compared as three overlapping 32-bit words with what was seen before and only
 * on a difference read anew. The eight characters of an identifier, as two words, go through a hash to
 * the key they had before, so an identifier is parsed once a log. Two characters become a byte by one
 * table. Anything else about a line makes {@link FastLines.read} answer -1, and the patient parser
 * reads that line; where both can read a line, both give the same frame.
 */
import type { FrameBatch, FrameKeys } from './frame-batch.js'
import { BAD_PAIR, DECIMAL_PAIR, HEX_PAIR } from './hex.js'
import { LAST_SECOND } from './time.js'

/** Longest line the fast path reads; it never looks further than this past a line's start. */
export const FAST_LINE_BYTES = 80

const LF = 0x0a
const CR = 0x0d
const SPACE = 0x20
/** `) ` as a little-endian word. */
const CLOSE_AND_SPACE = 0x2029
const HASH_SIGN = 0x23
const OPEN = 0x28
const DOT = 0x2e
/** Extended identifiers with bit 31 set are the same ones; bits 29 and 30 mark error and remote frames. */
const FLAG_BITS = 0x60000000

/** Slots of the identifier table; a power of two. Three quarters may be taken, then the patient path reads. */
const SLOTS = 4096

/** Longest interface name it knows: with `) ` before it and a blank behind, three words. */
const MAX_NAME_BYTES = 9

/** Bytes compared as words: the first four, the last four, and four between, overlapping where it is short. */
interface Pattern {
  readonly bytes: number
  readonly middleAt: number
  readonly lastAt: number
  readonly first: number
  readonly middle: number
  readonly last: number
}

const NO_PATTERN: Pattern = { bytes: 0, middleAt: 0, lastAt: 0, first: 0, middle: 0, last: 0 }

function patternAt(view: DataView, at: number, bytes: number): Pattern {
  const middleAt = Math.min(4, bytes - 4)
  const lastAt = bytes - 4
  return {
    bytes,
    middleAt,
    lastAt,
    first: view.getUint32(at, true),
    middle: view.getUint32(at + middleAt, true),
    last: view.getUint32(at + lastAt, true),
  }
}

function matches(view: DataView, at: number, pattern: Pattern): boolean {
  return (
    view.getUint32(at, true) === pattern.first &&
    view.getUint32(at + pattern.middleAt, true) === pattern.middle &&
    view.getUint32(at + pattern.lastAt, true) === pattern.last
  )
}

/** Reads common lines into a batch, remembering what the lines before were like. */
export class FastLines {
  /** When the line just read was seen, in microseconds, as written. */
  time = 0
  readonly #keys: FrameKeys
  readonly #batch: FrameBatch
  /** `(seconds.` of the last line, and its value in microseconds. */
  #head: Pattern = NO_PATTERN
  #seconds = 0
  /** `) name ` of the interface of the last line, its number, and all others seen. */
  #name: Pattern = NO_PATTERN
  #channel = -1
  readonly #names: Pattern[] = []
  /** Four words a slot, in one cache line: first and second half of the identifier, channel + 1, key. */
  readonly #slots = new Uint32Array(SLOTS * 4)
  #slotsTaken = 0

  constructor(keys: FrameKeys, batch: FrameBatch) {
    this.#keys = keys
    this.#batch = batch
  }

  /**
   * Reads the line that starts at `at` into the batch's next row (all but its time, which is left in
   * {@link time} for the clock).
   *
   * @param view over the same memory as `bytes`; {@link FAST_LINE_BYTES} from `at` must be inside
   * @returns where the next line starts, or -1: not a common line, nothing was added
   */
  read(view: DataView, bytes: Uint8Array, at: number): number {
    if (!matches(view, at, this.#head) || this.#head.bytes === 0) {
      if (!this.#learnSeconds(view, bytes, at)) return -1
    }
    let next = at + this.#head.bytes
    const tens = DECIMAL_PAIR[view.getUint16(next, true)]
    const hundreds = DECIMAL_PAIR[view.getUint16(next + 2, true)]
    const units = DECIMAL_PAIR[view.getUint16(next + 4, true)]
    if ((tens | hundreds | units) === BAD_PAIR) return -1
    next += 6

    if (!matches(view, next, this.#name) || this.#channel < 0) {
      if (!this.#findName(view, next)) return -1
    }
    next += this.#name.bytes

    if (bytes[next + 8] !== HASH_SIGN) return -1
    const length = this.#readData(view, bytes, next + 9)
    if (length < 0) return -1
    const key = this.#keyAt(view, next)
    if (key < 0) return -1
    next += 9 + length * 2

    const batch = this.#batch
    batch.key[batch.count] = key
    batch.length[batch.count] = length
    this.time = this.#seconds + tens * 10_000 + hundreds * 100 + units
    return bytes[next] === LF ? next + 1 : next + 2
  }

  /** Reads data bytes up to the line's end into the batch's next row. @returns how many, or -1 */
  #readData(view: DataView, bytes: Uint8Array, at: number): number {
    const batch = this.#batch
    const row = batch.count * 8
    const out = batch.bytes
    const end = bytes[at + 16]
    if (end === LF || end === CR) {
      const b0 = HEX_PAIR[view.getUint16(at, true)]
      const b1 = HEX_PAIR[view.getUint16(at + 2, true)]
      const b2 = HEX_PAIR[view.getUint16(at + 4, true)]
      const b3 = HEX_PAIR[view.getUint16(at + 6, true)]
      const b4 = HEX_PAIR[view.getUint16(at + 8, true)]
      const b5 = HEX_PAIR[view.getUint16(at + 10, true)]
      const b6 = HEX_PAIR[view.getUint16(at + 12, true)]
      const b7 = HEX_PAIR[view.getUint16(at + 14, true)]
      if ((b0 | b1 | b2 | b3 | b4 | b5 | b6 | b7) !== BAD_PAIR && (end === LF || bytes[at + 17] === LF)) {
        out[row] = b0
        out[row + 1] = b1
        out[row + 2] = b2
        out[row + 3] = b3
        out[row + 4] = b4
        out[row + 5] = b5
        out[row + 6] = b6
        out[row + 7] = b7
        return 8
      }
    }
    let length = 0
    for (; length < 8; length++) {
      const byte = HEX_PAIR[view.getUint16(at + length * 2, true)]
      if (byte === BAD_PAIR) break
      out[row + length] = byte
    }
    for (let i = length; i < 8; i++) out[row + i] = 0xff
    const after = at + length * 2
    return bytes[after] === LF || (bytes[after] === CR && bytes[after + 1] === LF) ? length : -1
  }

  /** The key of the identifier at `at` on the current channel; -1 where it is not one. */
  #keyAt(view: DataView, at: number): number {
    const slots = this.#slots
    const first = view.getUint32(at, true)
    const second = view.getUint32(at + 4, true)
    const owner = this.#channel + 1
    const mixed = Math.imul(first ^ Math.imul(second, 0x9e3779b1) ^ owner, 0x85ebca6b)
    let slot = ((mixed ^ (mixed >>> 15)) & (SLOTS - 1)) * 4
    while (slots[slot + 2] !== 0) {
      if (slots[slot] === first && slots[slot + 1] === second && slots[slot + 2] === owner) return slots[slot + 3]
      slot = (slot + 4) & (SLOTS * 4 - 1)
    }
    return this.#learnKey(view, at, slot)
  }

  #learnKey(view: DataView, at: number, slot: number): number {
    if (this.#slotsTaken * 4 >= SLOTS * 3) return -1
    let id = 0
    for (let i = 0; i < 8; i += 2) {
      const byte = HEX_PAIR[view.getUint16(at + i, true)]
      if (byte === BAD_PAIR) return -1
      id = id * 256 + byte
    }
    if ((id & FLAG_BITS) !== 0) return -1
    const key = this.#keys.intern(this.#channel, id & 0x1fffffff)
    if (key < 0) return -1
    this.#slots.set([view.getUint32(at, true), view.getUint32(at + 4, true), this.#channel + 1, key], slot)
    this.#slotsTaken++
    return key
  }

  /** Remembers `(seconds.` with 3 to 10 digits. */
  #learnSeconds(view: DataView, bytes: Uint8Array, at: number): boolean {
    if (bytes[at] !== OPEN) return false
    let seconds = 0
    let next = at + 1
    for (; next <= at + 10; next++) {
      const digit = bytes[next] - 0x30
      if (digit < 0 || digit > 9) break
      seconds = seconds * 10 + digit
    }
    if (bytes[next] !== DOT || next < at + 4 || seconds > LAST_SECOND) return false
    this.#head = patternAt(view, at, next + 1 - at)
    this.#seconds = seconds * 1e6
    return true
  }

  /** Makes the interface named at `at` the current one, where it is known. */
  #findName(view: DataView, at: number): boolean {
    for (let channel = 0; channel < this.#names.length; channel++) {
      const pattern = this.#names[channel]
      if (pattern.bytes > 0 && matches(view, at, pattern)) {
        this.#name = pattern
        this.#channel = channel
        return true
      }
    }
    return false
  }

  /**
   * Tells it of an interface that the patient parser met: its name is bytes[start, end). Names too long
   * for three words, and those not written `) name `, stay with the patient parser.
   */
  learnName(view: DataView, start: number, end: number, channel: number): void {
    const isUsual = start >= 2 && view.getUint16(start - 2, true) === CLOSE_AND_SPACE && view.getUint8(end) === SPACE
    if (!isUsual || end - start < 1 || end - start > MAX_NAME_BYTES) return
    while (this.#names.length <= channel) this.#names.push(NO_PATTERN)
    if (this.#names[channel].bytes === 0) this.#names[channel] = patternAt(view, start - 2, end + 1 - (start - 2))
  }
}
