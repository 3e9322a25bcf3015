/** Messages in, a line for each out: as they came, whether anybody has defined their group or not. */
import { Catalogue, type GroupDefinition, type LogReader } from '@firstcrank/decoder'
import type { LogLines, MessageStream } from './log-lines.js'
import type { MessageForm } from './message-form.js'
import type { Output } from './output.js'
import { hex } from './text.js'
import type { TimeWindow } from './time-window.js'
import { isWantedStream, type ValueFilter } from './value-filter.js'
import { whyNoMessages } from './why-none.js'

/** Each byte in hexadecimal. */
const BYTES: readonly string[] = Array.from({ length: 256 }, (_, byte) => hex(byte))

/** Turns messages into lines, for one log. A plan is what all lines of a stream share. */
export class MessageLines implements LogLines<string> {
  readonly header: string
  readonly #output: Output
  readonly #form: MessageForm
  readonly #filter: ValueFilter
  readonly #window: TimeWindow
  readonly #catalogue: Catalogue
  written = 0

  constructor(
    output: Output,
    form: MessageForm,
    filter: ValueFilter,
    window: TimeWindow,
    definitions: readonly GroupDefinition[] = [],
  ) {
    this.#output = output
    this.#form = form
    this.header = form.header
    this.#filter = filter
    this.#window = window
    this.#catalogue = new Catalogue(definitions)
  }

  planOf(stream: MessageStream, channel: string): string | null {
    const { pgn, sa, da, priority, transport } = stream
    if (!isWantedStream(this.#filter, { channel, pgn, sa })) return null
    const { acronym = null, name = null } = this.#catalogue.find(pgn) ?? {}
    return this.#form.head({ channel, pgn, acronym, name, sa, da, priority, transport })
  }

  write(head: string, _pgn: number, time: number, payload: Uint8Array, offset: number, length: number): void {
    if (!this.#window.holds(time)) return
    const { between } = this.#form
    let data = ''
    for (let at = offset; at < offset + length; at++) {
      data += at === offset ? BYTES[payload[at] as number] : between + BYTES[payload[at] as number]
    }
    this.#output.add(this.#form.time(time, this.#window.start) + head + this.#form.bytes(length, data))
    this.written++
  }

  whyNone(reader: LogReader): string {
    return `no messages: ${whyNoMessages(this.#filter, reader)}`
  }
}
