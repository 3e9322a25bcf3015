/** Which stream a frame or message belongs to: one for each channel, group, source and destination. */
import { destinationOf, pgnOf, priorityOf, sourceOf } from '../bus/identifier.js'
import type { Message } from '../bus/message.js'
import type { FrameKeys } from '../log/frame-batch.js'

/** What a stream is the stream of. */
export type StreamKey = Pick<Message, 'channel' | 'priority' | 'pgn' | 'sa' | 'da'>

/** Something for each stream, made when its first frame or message comes. */
export class StreamTable<T> {
  /** In order of first appearance. */
  readonly all: T[] = []
  readonly #keys: FrameKeys
  readonly #create: (key: StreamKey) => T
  readonly #ofFrameKey: T[] = []
  readonly #ofStream = new Map<number, T>()

  constructor(keys: FrameKeys, create: (key: StreamKey) => T) {
    this.#keys = keys
    this.#create = create
  }

  /** Of frames with a key of `FrameKeys`. */
  ofFrame(key: number): T {
    return this.#ofFrameKey[key] ?? this.#learn(key)
  }

  /** Of a message of more than one frame. */
  ofMessage(message: StreamKey): T {
    const { channel, pgn, sa, da } = message
    const number = ((channel * 0x40000 + pgn) * 256 + sa) * 256 + da
    const known = this.#ofStream.get(number)
    if (known !== undefined) return known
    const made = this.#create(message)
    this.#ofStream.set(number, made)
    this.all.push(made)
    return made
  }

  #learn(key: number): T {
    const id = this.#keys.id[key]
    const made = this.ofMessage({
      channel: this.#keys.channel[key],
      priority: priorityOf(id),
      pgn: pgnOf(id),
      sa: sourceOf(id),
      da: destinationOf(id),
    })
    while (this.#ofFrameKey.length < key) this.#ofFrameKey.push(undefined as T)
    this.#ofFrameKey[key] = made
    return made
  }
}
