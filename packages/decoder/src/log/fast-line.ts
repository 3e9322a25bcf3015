/**
 * The common line, `(1626905042.645596) can1 0CF00400#507D8DD11200F48E`, read at fixed offsets.
 *
 * Four things make it fast. What rarely changes from line to line (bracket, seconds, dot; the
 * interface's name) is compared as three overlapping 32-bit words with what was seen before and only
 * on a difference read anew. The eight characters of an identifier, as two words, go through a hash to
 * the key they had before, so an identifier is parsed once a log. Two characters become a byte by one
 * table. And one loop reads line after line into a batch. At anything else about a line
 * {@link FastLines.read} stops, and the patient parser reads that line; where both can read a line,
 * both give the same frame.
 *
 * Words are read as signed: compared with the small integers of a pattern, unsigned ones would first be
 * made floating-point numbers.
 */
import type { FrameBatch, FrameKeys } from './frame-batch.js'
import { BAD_PAIR, DECIMAL_PAIR, HEX_PAIR } from './hex.js'
import { LAST_SECOND } from './time.js'

/** Longest line the fast path reads; it never looks further than this past a line's start. */
export const FAST_LINE_BYTES = 80

/** The tables as constants of this module: the engine then knows where they are, which an import hides. */
const HEX = HEX_PAIR
const DECIMAL = DECIMAL_PAIR
const BAD = BAD_PAIR

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
    first: view.getInt32(at, true),
    middle: view.getInt32(at + middleAt, true),
    last: view.getInt32(at + lastAt, true),
  }
}

/** Whether the bytes from `at` are others than the three words of a pattern. */
function differs(
  view: DataView,
  at: number,
  first: number,
  middleAt: number,
  middle: number,
  lastAt: number,
  last: number,
): boolean {
  return (
    view.getInt32(at, true) !== first ||
    view.getInt32(at + middleAt, true) !== middle ||
    view.getInt32(at + lastAt, true) !== last
  )
}

/** Six decimal digits as a number; negative where they are not digits. */
function microsAt(view: DataView, at: number): number {
  const upper = view.getInt32(at, true)
  const tens = DECIMAL[upper & 0xffff]
  const hundreds = DECIMAL[upper >>> 16]
  const units = DECIMAL[view.getUint16(at + 4, true)]
  return (tens | hundreds | units) === BAD ? -1 : tens * 10_000 + hundreds * 100 + units
}

/** Reads sixteen hexadecimal digits as eight bytes to a place in the rows; false where they are not digits. */
function readEight(view: DataView, at: number, rows: DataView, place: number): boolean {
  const w0 = view.getInt32(at, true)
  const w1 = view.getInt32(at + 4, true)
  const w2 = view.getInt32(at + 8, true)
  const w3 = view.getInt32(at + 12, true)
  const b0 = HEX[w0 & 0xffff]
  const b1 = HEX[w0 >>> 16]
  const b2 = HEX[w1 & 0xffff]
  const b3 = HEX[w1 >>> 16]
  const b4 = HEX[w2 & 0xffff]
  const b5 = HEX[w2 >>> 16]
  const b6 = HEX[w3 & 0xffff]
  const b7 = HEX[w3 >>> 16]
  if ((b0 | b1 | b2 | b3 | b4 | b5 | b6 | b7) === BAD) return false
  rows.setInt32(place, b0 | (b1 << 8) | (b2 << 16) | (b3 << 24), true)
  rows.setInt32(place + 4, b4 | (b5 << 8) | (b6 << 16) | (b7 << 24), true)
  return true
}

/** Reads common lines into a batch, remembering what the lines before were like. */
export class FastLines {
  readonly #keys: FrameKeys
  readonly #batch: FrameBatch
  /** The batch's payloads, eight bytes a row. */
  readonly #rows: DataView
  /** `(seconds.` of the last line, and its value in microseconds. */
  #head: Pattern = NO_PATTERN
  #seconds = 0
  /** `) name ` of the interface of the last line, its number, and all others seen. */
  #name: Pattern = NO_PATTERN
  #channel = -1
  readonly #names: Pattern[] = []
  /** Four words a slot, in one cache line: first and second half of the identifier, channel + 1, key. */
  readonly #slots = new Int32Array(SLOTS * 4)
  #slotsTaken = 0

  constructor(keys: FrameKeys, batch: FrameBatch) {
    this.#keys = keys
    this.#batch = batch
    this.#rows = new DataView(batch.bytes.buffer)
  }

  /**
   * Reads common lines, one after another, into the batch's next rows: until the batch is full, a line
   * is not a common one, or the next one starts behind `last`. Times are left as written, for the clock.
   *
   * @param view over the same memory as `bytes`; {@link FAST_LINE_BYTES} from `last` must be inside
   * @param start where the first line starts
   * @returns where the next line starts; `start` where none was read
   */
  read(view: DataView, bytes: Uint8Array, start: number, last: number): number {
    const batch = this.#batch
    const { time, key, length, capacity } = batch
    const rows = this.#rows
    // As numbers of this function, patterns need not be fetched from their objects at each line.
    let { bytes: headBytes, first: head0, middleAt: head1At, middle: head1, lastAt: head2At, last: head2 } = this.#head
    let { bytes: nameBytes, first: name0, middleAt: name1At, middle: name1, lastAt: name2At, last: name2 } = this.#name
    let seconds = this.#seconds
    let row = batch.count
    let at = start
    while (at <= last && row < capacity) {
      if (headBytes === 0 || differs(view, at, head0, head1At, head1, head2At, head2)) {
        if (!this.#learnSeconds(view, bytes, at)) break
        ;({
          bytes: headBytes,
          first: head0,
          middleAt: head1At,
          middle: head1,
          lastAt: head2At,
          last: head2,
        } = this.#head)
        seconds = this.#seconds
      }
      let next = at + headBytes
      const micros = microsAt(view, next)
      if (micros < 0) break
      next += 6

      if (nameBytes === 0 || differs(view, next, name0, name1At, name1, name2At, name2)) {
        if (!this.#findName(view, next)) break
        ;({
          bytes: nameBytes,
          first: name0,
          middleAt: name1At,
          middle: name1,
          lastAt: name2At,
          last: name2,
        } = this.#name)
      }
      next += nameBytes

      if (bytes[next + 8] !== HASH_SIGN) break
      const data = next + 9
      const end = bytes[data + 16]
      let size = 8
      if (end !== LF && (end !== CR || bytes[data + 17] !== LF)) size = this.#readShort(view, bytes, data, row)
      else if (!readEight(view, data, rows, row * 8)) break
      if (size < 0) break
      const known = this.#keyAt(view, next)
      if (known < 0) break

      key[row] = known
      length[row] = size
      time[row] = seconds + micros
      row++
      at = data + size * 2 + 1
      if (bytes[at - 1] === CR) at++
    }
    batch.count = row
    return at
  }

  /** Reads data bytes up to the line's end into a row of the batch. @returns how many, or -1 */
  #readShort(view: DataView, bytes: Uint8Array, at: number, row: number): number {
    const out = this.#batch.bytes
    let length = 0
    for (; length < 8; length++) {
      const byte = HEX[view.getUint16(at + length * 2, true)]
      if (byte === BAD) break
      out[row * 8 + length] = byte
    }
    for (let i = length; i < 8; i++) out[row * 8 + i] = 0xff
    const after = at + length * 2
    return bytes[after] === LF || (bytes[after] === CR && bytes[after + 1] === LF) ? length : -1
  }

  /** The key of the identifier at `at` on the current channel; -1 where it is not one. */
  #keyAt(view: DataView, at: number): number {
    const slots = this.#slots
    const first = view.getInt32(at, true)
    const second = view.getInt32(at + 4, true)
    const owner = this.#channel + 1
    const mixed = Math.imul(first ^ Math.imul(second, 0x9e3779b1) ^ owner, 0x85ebca6b)
    let slot = ((mixed ^ (mixed >>> 15)) & (SLOTS - 1)) * 4
    for (;;) {
      if (slots[slot] === first && slots[slot + 1] === second && slots[slot + 2] === owner) return slots[slot + 3]
      if (slots[slot + 2] === 0) return this.#learnKey(view, at, slot)
      slot = (slot + 4) & (SLOTS * 4 - 1)
    }
  }

  #learnKey(view: DataView, at: number, slot: number): number {
    if (this.#slotsTaken * 4 >= SLOTS * 3) return -1
    let id = 0
    for (let i = 0; i < 8; i += 2) {
      const byte = HEX[view.getUint16(at + i, true)]
      if (byte === BAD) return -1
      id = id * 256 + byte
    }
    if ((id & FLAG_BITS) !== 0) return -1
    const key = this.#keys.intern(this.#channel, id & 0x1fffffff)
    if (key < 0) return -1
    this.#slots.set([view.getInt32(at, true), view.getInt32(at + 4, true), this.#channel + 1, key], slot)
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
      const { bytes, first, middleAt, middle, lastAt, last } = pattern
      if (bytes > 0 && !differs(view, at, first, middleAt, middle, lastAt, last)) {
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
