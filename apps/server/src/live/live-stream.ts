/**
 * The last messages of one stream, in the order they came. Old ones make room; rows are numbered from
 * the first message ever, so that a number means one message for as long as the session lives.
 */
import { type ColumnReader, type GroupDefinition, type Message, STATUSES, type Transported } from '@firstcrank/decoder'

/** Rows in a block, and in a stream's first one: most streams of a noisy bus hold few messages. */
const BLOCK_ROWS = 512
const FIRST_ROWS = 16
/** In a length column: the message came in several frames and is in `long`. */
const LONG = 0xff

/** What a message of several frames has beyond a row. */
interface LongMessage {
  readonly payload: Uint8Array
  readonly firstTime: number
  readonly transport: Transported
}

interface Block {
  readonly time: Float64Array
  readonly bytes: Uint8Array
  readonly length: Uint8Array
  readonly long: Map<number, LongMessage>
}

const newBlock = (rows: number): Block => ({
  time: new Float64Array(rows),
  bytes: new Uint8Array(rows * 8),
  length: new Uint8Array(rows),
  long: new Map(),
})

/** Values of a stretch of rows. */
export interface LiveColumns {
  readonly time: Float64Array
  readonly value: Float64Array
  readonly status: Uint8Array
}

const NOT_SENT = STATUSES.indexOf('not-sent')

/** All messages of one group, source, destination and channel that are still kept. */
export class LiveStream {
  readonly channel: number
  readonly priority: number
  readonly pgn: number
  readonly sa: number
  readonly da: number
  readonly group: GroupDefinition | undefined
  /** Number of the message that will come next: messages ever. */
  next = 0
  /** Number of the oldest message kept. */
  first = 0
  /** Bytes of the longest payload. */
  longest = 0
  /** Time of the first message ever. */
  firstTime = Number.NaN
  #blocks: Block[] = [newBlock(FIRST_ROWS)]
  /** Row number of the first block's first row; its rows before {@link first} are dropped. */
  #base = 0

  constructor(
    { channel, priority, pgn, sa, da }: Pick<Message, 'channel' | 'priority' | 'pgn' | 'sa' | 'da'>,
    group: GroupDefinition | undefined,
  ) {
    this.channel = channel
    this.priority = priority
    this.pgn = pgn
    this.sa = sa
    this.da = da
    this.group = group
  }

  /** Messages ever. */
  get count(): number {
    return this.next
  }

  /** Messages kept. */
  get kept(): number {
    return this.next - this.first
  }

  /** Time of the last message; NaN where none came. */
  get lastTime(): number {
    return this.next === this.first ? Number.NaN : this.time(this.next - 1)
  }

  /** Adds a message of one frame: `length` bytes of `bytes` from `offset`. */
  appendFrame(time: number, bytes: Uint8Array, offset: number, length: number): void {
    const block = this.#room()
    const at = this.#at(this.next)
    block.time[at] = time
    block.length[at] = length
    for (let i = 0; i < 8; i++) block.bytes[at * 8 + i] = i < length ? (bytes[offset + i] as number) : 0xff
    this.#count(time, length)
  }

  /** Adds a message of several frames; its payload is copied. */
  appendLong({ time, firstTime, transport, payload }: Message): void {
    const block = this.#room()
    const at = this.#at(this.next)
    block.time[at] = time
    block.length[at] = LONG
    block.long.set(at, { payload: payload.slice(), firstTime, transport })
    this.#count(time, payload.length)
  }

  /** Forgets whole blocks whose messages are all older than a time, but never the last message. Returns how many messages went. */
  forgetBefore(time: number): number {
    const before = this.first
    for (let block = this.#blocks[0]; this.#blocks.length > 1 && block !== undefined; block = this.#blocks[0]) {
      if ((block.time.at(-1) as number) >= time) break
      this.#blocks.shift()
      this.#base += block.time.length
      this.first = Math.max(this.first, this.#base)
    }
    return this.first - before
  }

  /** When a message was complete, in microseconds. */
  time(row: number): number {
    return this.#block(row).time[this.#at(row)] as number
  }

  /** A message's payload: a view, to be copied by who keeps it. */
  payload(row: number): Uint8Array {
    const block = this.#block(row)
    const at = this.#at(row)
    const length = block.length[at] as number
    const long = length === LONG ? block.long.get(at) : undefined
    return long?.payload ?? block.bytes.subarray(at * 8, at * 8 + length)
  }

  /** How a message came, and when its first frame did. */
  transport(row: number): { readonly transport: Transported; readonly firstTime: number } {
    const long = this.#block(row).long.get(this.#at(row))
    if (long === undefined) return { transport: 'single', firstTime: this.time(row) }
    return { transport: long.transport, firstTime: long.firstTime }
  }

  /** The first row kept at or after a time; {@link next} where there is none. */
  rowAt(time: number): number {
    let low = this.first
    let high = this.next
    while (low < high) {
      const middle = Math.floor((low + high) / 2)
      if (this.time(middle) < time) low = middle + 1
      else high = middle
    }
    return low
  }

  /** Reads rows `from` to `to` (not included) with a reader. */
  read(reader: ColumnReader, from: number, to: number): LiveColumns {
    const rows = Math.max(0, to - from)
    const columns = { time: new Float64Array(rows), value: new Float64Array(rows), status: new Uint8Array(rows) }
    for (let i = 0; i < rows; i++) {
      const block = this.#block(from + i)
      const at = this.#at(from + i)
      const length = block.length[at] as number
      const long = length === LONG ? block.long.get(at)?.payload : undefined
      const bytes = long ?? block.bytes
      const offset = long === undefined ? at * 8 : 0
      const isSent = reader.lastByte < (long?.length ?? length)
      columns.time[i] = block.time[at] as number
      columns.value[i] = isSent ? reader.value(bytes, offset) : Number.NaN
      columns.status[i] = isSent ? reader.status(bytes, offset) : NOT_SENT
    }
    return columns
  }

  #count(time: number, length: number): void {
    if (this.next === 0) this.firstTime = time
    if (length > this.longest) this.longest = length
    this.next++
  }

  #block(row: number): Block {
    const first = this.#blocks[0] as Block
    const inside = row - this.#base
    if (inside < first.time.length) return first
    return this.#blocks[1 + Math.floor((inside - first.time.length) / BLOCK_ROWS)] as Block
  }

  #at(row: number): number {
    const first = (this.#blocks[0] as Block).time.length
    const inside = row - this.#base
    return inside < first ? inside : (inside - first) % BLOCK_ROWS
  }

  /** The block the next message goes to. The first grows until it is of full size. */
  #room(): Block {
    const last = this.#blocks.at(-1) as Block
    const first = this.#blocks[0] as Block
    const used =
      this.next - this.#base - (last === first ? 0 : first.time.length + (this.#blocks.length - 2) * BLOCK_ROWS)
    if (used < last.time.length) return last
    if (last === first && first.time.length < BLOCK_ROWS) {
      const grown = newBlock(first.time.length * 2)
      grown.time.set(first.time)
      grown.bytes.set(first.bytes)
      grown.length.set(first.length)
      for (const [at, payload] of first.long) grown.long.set(at, payload)
      this.#blocks[0] = grown
      return grown
    }
    const block = newBlock(BLOCK_ROWS)
    this.#blocks.push(block)
    return block
  }
}
