/**
 * What is sent how often, and how full the bus is: for each stream its count, times and intervals, for
 * each channel its load. Constant memory, so that a summary can be made of a log of any size.
 */

import { type FrameKind, frameBits, headerState } from '../bus/frame-bits.js'
import { BusLoad, type BusLoadOptions, type ChannelLoad } from '../bus/load.js'
import type { Message } from '../bus/message.js'
import { HOLE_MICROS } from '../log/clock.js'
import type { FrameBatch, FrameKeys } from '../log/frame-batch.js'
import type { OtherFrame } from '../log/reader.js'
import { type IntervalReport, Intervals, NO_INTERVALS } from './intervals.js'
import { type StreamKey, StreamTable } from './stream-table.js'

/** One parameter group from one node to one destination on one channel. */
export interface StreamTraffic extends StreamKey {
  /** Messages, and how many of them came as single frames. */
  readonly count: number
  readonly frames: number
  /** Microseconds. */
  readonly firstTime: number
  readonly lastTime: number
  readonly intervals: IntervalReport
}

interface StreamState {
  readonly key: StreamKey
  count: number
  frames: number
  firstTime: number
  lastTime: number
  readonly intervals: Intervals
}

/** Adds up frames and messages in the order of the log. */
export class Traffic {
  readonly #keys: FrameKeys
  readonly #load: BusLoad
  readonly #streams: StreamTable<StreamState>
  /** Header states by key × 9 + data bytes; 0 where none was needed yet. */
  readonly #headers: number[] = []
  /** Of all frames so far; NaN before the first. Times of two interfaces may run backwards a little. */
  #latest = Number.NaN
  #holeEnd = Number.NEGATIVE_INFINITY

  constructor(keys: FrameKeys, options: BusLoadOptions = {}) {
    this.#keys = keys
    this.#load = new BusLoad(options)
    this.#streams = new StreamTable(keys, (key) => ({
      key,
      count: 0,
      frames: 0,
      firstTime: Number.NaN,
      lastTime: Number.NaN,
      intervals: new Intervals(),
    }))
  }

  /** Takes rows `from` to `to` (not included) of a batch. */
  frames(batch: FrameBatch, from: number, to: number): void {
    const { time, key, length, bytes } = batch
    const { channel } = this.#keys
    for (let row = from; row < to; row++) {
      const at = time[row]
      if (at - this.#latest > HOLE_MICROS) this.#holeEnd = at
      if (!(at <= this.#latest)) this.#latest = at
      const frameKey = key[row]
      const stream = this.#streams.ofFrame(frameKey)
      this.#add(stream, at)
      stream.frames++
      const data = length[row]
      const bits = frameBits(this.#headerOf(frameKey, data), bytes, row * 8, data)
      this.#load.add(channel[frameKey], at, bits, data)
    }
  }

  /** Takes a message of more than one frame. */
  assembled(message: Message): void {
    this.#add(this.#streams.ofMessage(message), message.time)
  }

  /** Takes a frame that is no extended data frame. CAN FD and error frames have no length in classical bits. */
  other(frame: OtherFrame): void {
    if (frame.kind === 'fd' || frame.kind === 'error') return
    const extended = frame.id > 0x7ff
    const kind: FrameKind =
      frame.kind === 'remote' ? (extended ? 'extended-remote' : 'standard-remote') : extended ? 'extended' : 'standard'
    const length = Math.min(8, frame.length)
    const data = frame.kind === 'remote' ? 0 : length
    const bits = frameBits(headerState(frame.id, length, kind), frame.data, 0, data)
    this.#load.add(frame.channel, frame.time, bits, data, extended)
  }

  /**
   * Every stream, in order of first appearance.
   *
   * @param timed whether the log has times: without them nothing is known of intervals
   */
  streams(timed = true): StreamTraffic[] {
    return this.#streams.all.map(({ key, count, frames, firstTime, lastTime, intervals }) => ({
      channel: key.channel,
      priority: key.priority,
      pgn: key.pgn,
      sa: key.sa,
      da: key.da,
      count,
      frames,
      firstTime,
      lastTime,
      intervals: timed ? intervals.report() : NO_INTERVALS,
    }))
  }

  /** The load of each channel that had frames. */
  loads(): ChannelLoad[] {
    return this.#load.channelNumbers().flatMap((channel) => this.#load.summary(channel) ?? [])
  }

  /** The load of a channel, second by second. */
  get load(): BusLoad {
    return this.#load
  }

  #add(stream: StreamState, time: number): void {
    if (stream.count++ === 0) stream.firstTime = time
    stream.lastTime = time
    stream.intervals.add(time, this.#holeEnd)
  }

  #headerOf(key: number, length: number): number {
    const at = key * 9 + length
    while (this.#headers.length <= at) this.#headers.push(0)
    if (this.#headers[at] === 0) this.#headers[at] = headerState(this.#keys.id[key], length)
    return this.#headers[at]
  }
}
