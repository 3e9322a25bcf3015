/**
 * Bytes of a log, in chunks of any size → batches of frames. Common lines take the fast path, all
 * others the patient parser; both give the same frames. Every line is accounted for:
 * lines = blank + comments + frames + malformed.
 */
import { ABSOLUTE_FROM_MICROS, Clock, type ClockReport, looksLikeDeltas } from './clock.js'
import { FAST_LINE_BYTES, FastLines } from './fast-line.js'
import { FrameBatch, FrameKeys } from './frame-batch.js'
import { createParsedLine, type ParsedLine, parseLine } from './line.js'
import { type Problem, ProblemList } from './problem.js'

/** A line that is a frame, but not an extended data frame: counted and kept apart. */
export interface OtherFrame {
  /** 11-bit data frame, remote frame, error frame, or CAN FD frame. */
  readonly kind: 'standard' | 'remote' | 'error' | 'fd'
  /** Microseconds. */
  readonly time: number
  readonly channel: number
  readonly id: number
  /** Bytes of data, or asked for by a remote frame. */
  readonly length: number
  /** Good only until the receiver returns. */
  readonly data: Uint8Array
}

/** Who takes what a {@link LogReader} reads. */
export interface ReaderSink {
  /** Extended data frames; the batch is filled anew afterwards. */
  frames(batch: FrameBatch): void
  /** Everything else that is a frame. */
  other?(frame: OtherFrame): void
}

/** What a reader takes for granted. */
export interface ReaderOptions {
  /** Longest line in bytes; longer ones are a problem. Default 4,096; at least 512, at most 65,536. */
  readonly maxLineBytes?: number
  /** Problems kept with their text; all are counted. Default 100. */
  readonly maxProblems?: number
  /** Distinct pairs of interface and identifier; frames of further ones are a problem. Default 65,536. */
  readonly maxKeys?: number
  /** Whether each time is the difference from the line before. Default: found out from the first lines. */
  readonly deltas?: boolean
}

/** Lines and frames by kind. */
export interface ReaderCounts {
  lines: number
  blank: number
  comments: number
  /** Lines that gave no frame. */
  malformed: number
  /** Extended data frames: the ones that are decoded. */
  extended: number
  standard: number
  remote: number
  error: number
  fd: number
}

const LF = 0x0a
/**
 * Bounds of the line limit. Lower, lines of the fast path and the text that a problem keeps would pass
 * it; higher, an interface's name could be too long to be made a string at once.
 */
const LEAST_MAX_LINE = 512
const MOST_MAX_LINE = 65_536
/** Lines looked at before times are taken to be differences, and the bytes they may take. */
const OPENING_LINES = 64
const OPENING_BYTES = 65_536

/** Reads a log. Push chunks, then finish; a chunk's memory may be used again after each push. */
export class LogReader {
  readonly keys: FrameKeys
  readonly counts: ReaderCounts = {
    lines: 0,
    blank: 0,
    comments: 0,
    malformed: 0,
    extended: 0,
    standard: 0,
    remote: 0,
    error: 0,
    fd: 0,
  }
  readonly #sink: ReaderSink
  readonly #maxLine: number
  readonly #batch = new FrameBatch()
  readonly #fast: FastLines
  readonly #line: ParsedLine = createParsedLine()
  readonly #problems: ProblemList
  #clock: Clock
  /** The first bytes, held until it is known what the times mean. */
  #opening: Uint8Array | undefined
  /** The part of a line that the chunks so far hold, with room for the fast path to look past it. */
  readonly #carry: Uint8Array
  readonly #carryView: DataView
  #carried = 0

  constructor(sink: ReaderSink, options: ReaderOptions = {}) {
    this.#sink = sink
    this.#maxLine = Math.min(Math.max(options.maxLineBytes ?? 4096, LEAST_MAX_LINE), MOST_MAX_LINE)
    this.keys = new FrameKeys(options.maxKeys)
    this.#fast = new FastLines(this.keys, this.#batch)
    this.#problems = new ProblemList(options.maxProblems)
    this.#clock = new Clock({ deltas: options.deltas ?? false })
    this.#opening = options.deltas === undefined ? new Uint8Array(0) : undefined
    this.#carry = new Uint8Array(this.#maxLine + 2 + FAST_LINE_BYTES)
    this.#carryView = new DataView(this.#carry.buffer)
  }

  /** Problems counted by code, and the first ones with line number and text. */
  get problems(): ProblemList {
    return this.#problems
  }

  /** What the times were like: holes, steps, times that ran backwards. */
  get clock(): ClockReport {
    return this.#clock.report()
  }

  /** Reads a chunk. All frames of whole lines in it have been handed on when this returns. */
  push(chunk: Uint8Array): void {
    if (this.#opening === undefined) this.#split(chunk)
    else this.#open(chunk)
    this.flush()
  }

  /** Reads what is left. */
  finish(): void {
    if (this.#opening !== undefined) this.#startWhenKnown(this.#opening, true)
    if (this.#carried > 0) this.#endCarriedLine()
    this.flush()
  }

  /** Notes that the log's bytes could not be unpacked beyond this place. */
  damaged(): void {
    if (this.#opening !== undefined) this.#startWhenKnown(this.#opening, true)
    this.#problems.add('damaged-compression', this.counts.lines + 1, new Uint8Array(0), 0, 0)
  }

  /** Hands on the frames read so far. */
  flush(): void {
    if (this.#batch.count === 0) return
    this.counts.extended += this.#batch.count
    this.#sink.frames(this.#batch)
    this.#batch.count = 0
  }

  #open(chunk: Uint8Array): void {
    const before = this.#opening as Uint8Array
    const joined = new Uint8Array(before.length + chunk.length)
    joined.set(before)
    joined.set(chunk, before.length)
    this.#opening = joined
    this.#startWhenKnown(joined, false)
  }

  /** Goes on with the first bytes once they tell what the times mean. */
  #startWhenKnown(bytes: Uint8Array, atEnd: boolean): void {
    const deltas = this.#holdDeltas(bytes, atEnd)
    if (deltas === undefined) return
    this.#clock = new Clock({ deltas })
    this.#opening = undefined
    this.#split(bytes)
  }

  /** Whether times are differences; undefined where more lines are needed to tell. */
  #holdDeltas(bytes: Uint8Array, atEnd: boolean): boolean | undefined {
    const times: number[] = []
    const end = Math.min(bytes.length, OPENING_BYTES)
    for (let at = 0; times.length < OPENING_LINES; ) {
      const newline = bytes.indexOf(LF, at)
      if (newline < 0 || newline >= end) {
        if (!atEnd && end < OPENING_BYTES) return undefined
        break
      }
      parseLine(bytes, at, newline, this.#line)
      at = newline + 1
      if (this.#line.timeForm === 'date' || this.#line.time >= ABSOLUTE_FROM_MICROS) return false
      if (this.#line.timeForm === 'seconds') times.push(this.#line.time)
    }
    return looksLikeDeltas(times)
  }

  /** Whole lines of the chunk are read; the rest of its last line waits for the next chunk. */
  #split(chunk: Uint8Array): void {
    let at = 0
    if (this.#carried > 0) {
      const newline = chunk.indexOf(LF)
      this.#keep(newline < 0 ? chunk : chunk.subarray(0, newline))
      if (newline < 0) return
      this.#endCarriedLine()
      at = newline + 1
    }
    const end = chunk.lastIndexOf(LF) + 1
    if (end > at) this.#scan(chunk, new DataView(chunk.buffer, chunk.byteOffset, chunk.byteLength), at, end)
    this.#keep(chunk.subarray(Math.max(at, end)))
  }

  /** Of a line that is too long, one byte more than allowed is kept: enough to know and to show it. */
  #keep(bytes: Uint8Array): void {
    const fits = Math.min(bytes.length, this.#maxLine + 1 - this.#carried)
    this.#carry.set(bytes.subarray(0, fits), this.#carried)
    this.#carried += fits
  }

  #endCarriedLine(): void {
    this.#carry[this.#carried] = LF
    this.#scan(this.#carry, this.#carryView, 0, this.#carried + 1)
    this.#carried = 0
  }

  /** Reads whole lines: bytes[at, end), where the last byte is a newline. */
  #scan(bytes: Uint8Array, view: DataView, start: number, end: number): void {
    const batch = this.#batch
    const last = Math.min(end - 1, bytes.length - FAST_LINE_BYTES)
    let at = start
    while (at < end) {
      const row = batch.count
      at = this.#fast.read(view, bytes, at, last)
      this.counts.lines += batch.count - row
      this.#clock.pushRows(batch.time, row, batch.count)
      if (batch.count === batch.capacity) {
        this.flush()
      } else if (at < end) {
        const newline = bytes.indexOf(LF, at)
        this.#readPatiently(bytes, view, at, newline)
        at = newline + 1
      }
    }
  }

  #readPatiently(bytes: Uint8Array, view: DataView, start: number, end: number): void {
    this.counts.lines++
    if (end - start > this.#maxLine) {
      this.#malformed('line-too-long', bytes, start, end)
      return
    }
    const line = this.#line
    parseLine(bytes, start, end, line)
    if (line.problem !== undefined) this.#problems.add(line.problem, this.counts.lines, bytes, start, end)
    switch (line.kind) {
      case 'blank':
        this.counts.blank++
        return
      case 'comment':
        this.counts.comments++
        return
      case 'malformed':
        this.counts.malformed++
        return
    }
    const name = String.fromCharCode(...bytes.subarray(line.channelStart, line.channelEnd))
    const channel = this.keys.channelNumber(name)
    if (channel < 0) {
      this.#malformed('too-many-channels', bytes, start, end)
      return
    }
    this.#fast.learnName(view, line.channelStart, line.channelEnd, channel)
    const time = this.#clock.push(line.time, line.timeForm)
    if (line.kind === 'frame') {
      const key = this.keys.intern(channel, line.id)
      if (key < 0) this.#malformed('too-many-identifiers', bytes, start, end)
      else this.#append(time, key, line)
      return
    }
    this.counts[line.kind]++
    if (this.#sink.other === undefined) return
    this.flush()
    this.#sink.other({ kind: line.kind, time, channel, id: line.id, length: line.length, data: line.data })
  }

  #append(time: number, key: number, line: ParsedLine): void {
    this.#batch.append(time, key, line.data, 0, line.length)
    if (this.#batch.count === this.#batch.capacity) this.flush()
  }

  #malformed(code: Problem['code'], bytes: Uint8Array, start: number, end: number): void {
    this.counts.malformed++
    this.#problems.add(code, this.counts.lines, bytes, start, end)
  }
}
