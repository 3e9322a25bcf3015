/**
 * All messages of one parameter group from one node to one destination on one channel, as columns:
 * time, and eight bytes of payload a row. What the bytes mean is worked out when somebody asks, so
 * that groups nobody has defined cost nothing and lose nothing.
 */
import type { Message, Transported } from '../bus/message.js'
import { checkRange, checkRow } from './error.js'

/** Rows in a block, and in the first one before it grows. */
const BLOCK_ROWS = 8192
const FIRST_ROWS = 64
/** Bytes of a row's payload. */
const ROW_BYTES = 8
/** In a column of bytes lacking: the payload did not fit eight bytes, its first word is an index into `long`. */
export const LONG = 0xff

/** A run of rows. */
export interface Block {
  readonly time: Float64Array
  readonly bytes: Uint8Array
  readonly words: Uint32Array
  /**
   * How many of the eight bytes a row lacks, or {@link LONG}. Memory comes zeroed, so for the usual row
   * nothing need be written, and its pages are never asked for.
   */
  readonly lacking: Uint8Array
}

/** What a message of more than one frame has beyond a row. */
interface LongMessage {
  readonly payload: Uint8Array
  readonly firstTime: number
  readonly transport: Transported
}

/** All columns of a block share one buffer: one allocation, which the system hands out zeroed. */
function newBlock(rows: number): Block {
  const buffer = new ArrayBuffer(rows * 17)
  return {
    time: new Float64Array(buffer, 0, rows),
    bytes: new Uint8Array(buffer, rows * 8, rows * 8),
    words: new Uint32Array(buffer, rows * 8, rows * 2),
    lacking: new Uint8Array(buffer, rows * 16, rows),
  }
}

function copyRow(from: Block, row: number, to: Block, at: number): void {
  to.time[at] = from.time[row]
  to.words[at * 2] = from.words[row * 2]
  to.words[at * 2 + 1] = from.words[row * 2 + 1]
  to.lacking[at] = from.lacking[row]
}

/** The messages of one parameter group, source, destination and channel, in order of time. */
export class Stream {
  readonly channel: number
  readonly priority: number
  readonly pgn: number
  readonly sa: number
  readonly da: number
  /** Whether every row is one frame of eight bytes: then columns need not look at lengths. */
  uniform = true
  /** Bytes of the longest payload. */
  longest = 0
  #blocks: Block[] = []
  /** Columns of the last block, and its rows in use. */
  #times: Float64Array = new Float64Array(0)
  #words: Uint32Array = new Uint32Array(0)
  #lacking: Uint8Array = new Uint8Array(0)
  #rows = 0
  /** Time of the last row of the blocks before it. */
  #timeBefore = Number.NEGATIVE_INFINITY
  #ordered = true
  readonly #long: LongMessage[] = []

  constructor(key: Pick<Message, 'channel' | 'priority' | 'pgn' | 'sa' | 'da'>) {
    this.channel = key.channel
    this.priority = key.priority
    this.pgn = key.pgn
    this.sa = key.sa
    this.da = key.da
  }

  /** Messages in it. */
  get count(): number {
    return Math.max(0, this.#blocks.length - 1) * BLOCK_ROWS + this.#rows
  }

  /** Whether some message did not fit eight bytes. */
  get hasLong(): boolean {
    return this.#long.length > 0
  }

  /** Adds one frame: its time, its eight bytes as two words, and how many of them it has. */
  appendFrame(time: number, low: number, high: number, length: number): void {
    const row = this.#addRow(time)
    const words = this.#words
    words[row * 2] = low
    words[row * 2 + 1] = high
    if (length === ROW_BYTES && this.longest >= ROW_BYTES) return
    this.#lacking[row] = ROW_BYTES - length
    this.#noteLength(length)
  }

  /** Adds a message of more than one frame; its payload is copied. */
  appendLong(message: Message): void {
    const row = this.#addRow(message.time)
    this.#words[row * 2] = this.#long.length
    this.#lacking[row] = LONG
    this.#noteLength(message.payload.length)
    const { firstTime, transport } = message
    this.#long.push({ payload: message.payload.slice(), firstTime, transport })
  }

  /** Blocks of rows in order of time; the last may have room for more. */
  get blocks(): readonly Block[] {
    this.#sort()
    return this.#blocks
  }

  /**
   * When a message was complete, in microseconds.
   *
   * @throws {RecordingError} `bad-row`, as do all that take a row
   */
  time(row: number): number {
    checkRow(row, this.count)
    return this.#timeAt(row)
  }

  #timeAt(row: number): number {
    return this.blocks[Math.floor(row / BLOCK_ROWS)].time[row % BLOCK_ROWS]
  }

  /** When the first frame of a message was seen, in microseconds. */
  firstTime(row: number): number {
    checkRow(row, this.count)
    return this.#longAt(row)?.firstTime ?? this.#timeAt(row)
  }

  /** The payload of a message: a view, to be copied by who keeps it. */
  payload(row: number): Uint8Array {
    checkRow(row, this.count)
    const long = this.#longAt(row)
    if (long !== undefined) return long.payload
    const block = this.blocks[Math.floor(row / BLOCK_ROWS)]
    const at = (row % BLOCK_ROWS) * ROW_BYTES
    return block.bytes.subarray(at, at + ROW_BYTES - block.lacking[row % BLOCK_ROWS])
  }

  /** One message. */
  message(row: number): Message {
    checkRow(row, this.count)
    return {
      channel: this.channel,
      priority: this.priority,
      pgn: this.pgn,
      sa: this.sa,
      da: this.da,
      firstTime: this.firstTime(row),
      time: this.time(row),
      payload: this.payload(row),
      transport: this.#longAt(row)?.transport ?? 'single',
    }
  }

  /**
   * Times of rows `from` to `to` (not included), in microseconds: a new array.
   *
   * @throws {RecordingError} `bad-range`
   */
  times(from = 0, to: number = this.count): Float64Array {
    checkRange(from, to, this.count)
    const times = new Float64Array(to - from)
    this.eachBlock(from, to, (block, start, end, row) => times.set(block.time.subarray(start, end), row - from))
    return times
  }

  /**
   * The first row at or after a time; `count` where there is none.
   *
   * @param near a row it is thought to be close to: a good guess makes it faster, nothing else
   */
  rowAt(time: number, near?: number): number {
    return this.#search((rowTime) => rowTime < time, near)
  }

  /** The first row after a time; `count` where there is none. */
  rowAfter(time: number): number {
    return this.#search((rowTime) => rowTime <= time)
  }

  #search(isBefore: (time: number) => boolean, near = -1): number {
    let low = 0
    let high = this.count
    // From the guess on in steps that double, until the row has been passed.
    for (let row = near, step = 1; low <= row && row < high; step *= 2) {
      if (isBefore(this.#timeAt(row))) {
        low = row + 1
        row += step
      } else {
        high = row
        row -= step
      }
    }
    while (low < high) {
      const middle = (low + high) >>> 1
      if (isBefore(this.#timeAt(middle))) low = middle + 1
      else high = middle
    }
    return low
  }

  /**
   * Calls back with each stretch of rows that lies in one block.
   *
   * @throws {RecordingError} `bad-range`
   */
  eachBlock(from: number, to: number, visit: (block: Block, start: number, end: number, row: number) => void): void {
    checkRange(from, to, this.count)
    const { blocks } = this
    for (let row = from; row < to; ) {
      const start = row % BLOCK_ROWS
      const end = Math.min(BLOCK_ROWS, start + to - row)
      visit(blocks[Math.floor(row / BLOCK_ROWS)], start, end, row)
      row += end - start
    }
  }

  #noteLength(length: number): void {
    if (length !== ROW_BYTES) this.uniform = false
    if (length > this.longest) this.longest = length
  }

  #longAt(row: number): LongMessage | undefined {
    if (this.#long.length === 0) return undefined
    const block = this.blocks[Math.floor(row / BLOCK_ROWS)]
    const at = row % BLOCK_ROWS
    return block.lacking[at] === LONG ? this.#long[block.words[at * 2]] : undefined
  }

  #addRow(time: number): number {
    if (this.#rows === this.#times.length) this.#grow()
    const times = this.#times
    const row = this.#rows++
    times[row] = time
    if (time < (row > 0 ? times[row - 1] : this.#timeBefore)) this.#ordered = false
    return row
  }

  /** The first block grows, so that a stream of a few messages stays small; later ones are whole. */
  #grow(): void {
    const rows = this.#rows
    if (rows > 0) this.#timeBefore = this.#times[rows - 1]
    const isFirst = rows > 0 && rows < BLOCK_ROWS
    const block = newBlock(isFirst ? rows * 2 : rows === 0 ? FIRST_ROWS : BLOCK_ROWS)
    if (isFirst) {
      block.time.set(this.#times)
      block.words.set(this.#words)
      block.lacking.set(this.#lacking)
      this.#blocks = [block]
    } else {
      this.#blocks.push(block)
      this.#rows = 0
    }
    this.#use(block)
  }

  #use(block: Block): void {
    this.#times = block.time
    this.#words = block.words
    this.#lacking = block.lacking
  }

  /** Times can run backwards a little where a recorder took two interfaces; rows are put in order once. */
  #sort(): void {
    if (this.#ordered) return
    this.#ordered = true
    const old = this.#blocks
    const at = (row: number): number => old[Math.floor(row / BLOCK_ROWS)].time[row % BLOCK_ROWS]
    const order = Array.from({ length: this.count }, (_, row) => row).sort((a, b) => at(a) - at(b))
    this.#blocks = old.map((block) => newBlock(block.time.length))
    order.forEach((row, index) => {
      const to = this.#blocks[Math.floor(index / BLOCK_ROWS)]
      copyRow(old[Math.floor(row / BLOCK_ROWS)], row % BLOCK_ROWS, to, index % BLOCK_ROWS)
    })
    this.#use(this.#blocks[this.#blocks.length - 1])
  }
}
