/**
 * The third level of the library: frames in, one by one, from wherever a program has them; messages
 * and events out at once.
 */
import type { Message } from '../bus/message.js'
import { Catalogue } from '../catalog/catalogue.js'
import type { GroupDefinition } from '../catalog/definition.js'
import { FrameBatch, FrameKeys } from '../log/frame-batch.js'
import { BusDecoder, type BusOptions } from './bus-decoder.js'
import { type DecodedMessage, decodeMessage } from './decoded-message.js'
import type { BusEvent } from './events.js'
import { singleFrame } from './single-frame.js'

/** One extended data frame. */
export interface FrameInput {
  /** When it was seen, in integer microseconds, not before the frame given last. */
  readonly time: number
  /** Any name for the bus it was on. */
  readonly channel: string
  /** 29 bits. */
  readonly id: number
  /** 0 to 8 bytes. */
  readonly data: Uint8Array
}

/** Who takes what comes out. */
export interface FrameSink {
  /** Each message, single frames and those put together; its payload is good only until this returns. */
  message?(message: DecodedMessage): void
  event?(event: BusEvent): void
}

/** What decoding frames takes. */
export interface FrameDecoderOptions extends BusOptions {
  /** A person's own definitions, which come before the built-in ones. */
  readonly definitions?: readonly GroupDefinition[]
}

/**
 * What is wrong with a frame given.
 * - `bad-identifier`: not an integer of 29 bits
 * - `bad-length`: more than 8 bytes
 * - `bad-time`: not a number
 * - `too-many-identifiers`: more channels or identifiers than the limits allow
 */
export type FrameErrorCode = 'bad-identifier' | 'bad-length' | 'bad-time' | 'too-many-identifiers'

/** A frame that cannot be one. */
export class FrameError extends Error {
  readonly code: FrameErrorCode

  constructor(code: FrameErrorCode, message: string) {
    super(message)
    this.name = 'FrameError'
    this.code = code
  }
}

/** Decodes frames as they come. It listens; it has no way to send one. */
export class FrameDecoder {
  /** Nodes, requests, fault episodes and texts so far. */
  readonly bus: BusDecoder
  readonly #keys = new FrameKeys()
  readonly #batch = new FrameBatch(1)

  constructor(sink: FrameSink, options: FrameDecoderOptions = {}) {
    const catalogue = new Catalogue(options.definitions)
    const take = (message: Message): void => {
      sink.message?.(decodeMessage(message, this.#keys.channels[message.channel], catalogue, this.bus.diagnostics))
    }
    this.bus = new BusDecoder(
      this.#keys,
      {
        frames: (batch, from, to) => {
          for (let row = from; row < to; row++) take(singleFrame(batch, row, this.#keys))
        },
        assembled: take,
        event: (event) => sink.event?.(event),
      },
      options,
    )
  }

  /**
   * Takes one frame. Messages and events it completes have been handed on when this returns.
   *
   * @throws {FrameError} see {@link FrameErrorCode}
   */
  push({ time, channel, id, data }: FrameInput): void {
    if (!Number.isInteger(id) || id < 0 || id > 0x1fffffff)
      throw new FrameError('bad-identifier', `no 29-bit identifier: ${id}`)
    if (data.length > 8) throw new FrameError('bad-length', `a frame has at most 8 data bytes, not ${data.length}`)
    if (!Number.isFinite(time)) throw new FrameError('bad-time', `no time: ${time}`)
    const number = this.#keys.channelNumber(channel)
    const key = number < 0 ? -1 : this.#keys.intern(number, id)
    if (key < 0) throw new FrameError('too-many-identifiers', 'more channels or identifiers than a decoder takes')
    this.#batch.count = 0
    this.#batch.append(time, key, data, 0, data.length)
    this.bus.push(this.#batch)
  }

  /** No more frames will come: unfinished messages become events, open episodes get their end. */
  finish(): void {
    this.bus.finish()
  }
}
