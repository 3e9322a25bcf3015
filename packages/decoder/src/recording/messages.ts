/** The second level of the library: a log's messages, one after another, in constant memory. */
import type { Message } from '../bus/message.js'
import { Catalogue } from '../catalog/catalogue.js'
import type { GroupDefinition } from '../catalog/definition.js'
import { type DecodedMessage, decodeMessage } from './decoded-message.js'
import { createLogDecoder, type LogOptions, readThrough } from './log-decoder.js'
import { singleFrame } from './single-frame.js'
import type { LogSource } from './source.js'

/** What reading messages takes. */
export interface MessageOptions extends LogOptions {
  /** A person's own definitions, which come before the built-in ones. */
  readonly definitions?: readonly GroupDefinition[]
  /** Only messages for which this is true; it is asked before anything is copied. */
  readonly filter?: (message: MessageHead) => boolean
}

/** What is known of a message before its payload is looked at. */
export type MessageHead = Pick<Message, 'pgn' | 'sa' | 'da' | 'priority' | 'time'> & { readonly channel: string }

/**
 * Every message of a log in the order it was complete: single frames, and those of several frames put
 * together (whose own frames come too, as messages of their transport groups).
 *
 * @throws {LogSourceError} `not-a-source`
 */
export async function* readMessages(source: LogSource, options: MessageOptions = {}): AsyncGenerator<DecodedMessage> {
  const catalogue = new Catalogue(options.definitions)
  let ready: DecodedMessage[] = []
  const log = createLogDecoder((reader) => {
    const { keys } = reader
    const take = (message: Message): void => {
      const channel = keys.channels[message.channel]
      if (options.filter !== undefined && !options.filter({ ...message, channel })) return
      const kept = { ...message, payload: message.payload.slice() }
      ready.push(decodeMessage(kept, channel, catalogue, log.bus.diagnostics))
    }
    return {
      frames: (batch, from, to) => {
        for (let row = from; row < to; row++) take(singleFrame(batch, row, keys))
      },
      assembled: take,
    }
  }, options)
  for await (const _ of readThrough(log, source, options)) {
    const messages = ready
    ready = []
    yield* messages
  }
}
