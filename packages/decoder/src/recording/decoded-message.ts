/** A message with its meaning at hand: the convenient form, for code that wants one at a time. */
import type { Message } from '../bus/message.js'
import type { Catalogue } from '../catalog/catalogue.js'
import type { GroupDefinition } from '../catalog/definition.js'
import { type DiagnosticMessage, type DiagnosticOptions, decodeDiagnostic } from '../diagnostics/decode.js'
import { decodeIdentification, type Identification } from '../diagnostics/identification.js'
import { decodeGroup, type SignalValue } from '../signal/value.js'

/** One instance of a parameter group, and what the catalogue says of it. */
export interface DecodedMessage extends Omit<Message, 'channel'> {
  /** Name of the interface, as the log writes it. */
  readonly channel: string
  /** The group's definition; undefined where the catalogue has none. The payload is there all the same. */
  readonly group: GroupDefinition | undefined
  /** Its signals' values; empty where the group has no definition. */
  signals(): SignalValue[]
  /**
   * What it says as a diagnostic message; undefined where it is none. Read as the fault episodes are: with
   * the `conversion` that was given, and a DM25 with what its sender listed in its DM24.
   */
  diagnostic(): DiagnosticMessage | undefined
  /** What it says of its sender in text; undefined where it is no such message. */
  identification(): Identification | undefined
}

/**
 * Gives a message its meaning. Its payload is not copied.
 *
 * @param known what is known of its sender beside the message
 */
export function decodeMessage(
  message: Message,
  channelName: string,
  catalogue: Catalogue,
  known: DiagnosticOptions,
): DecodedMessage {
  const group = catalogue.find(message.pgn)
  // Taken now: later on its sender may have said something else, and when it is read must not matter.
  const supported = known.supported?.(message.channel, message.sa)
  return {
    ...message,
    channel: channelName,
    group,
    signals: () => (group === undefined ? [] : decodeGroup(group, message.payload)),
    diagnostic: () => decodeDiagnostic(message, { ...known, supported: () => supported }),
    identification: () => decodeIdentification(message.pgn, message.payload),
  }
}
