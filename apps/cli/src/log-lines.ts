/** A log read once, its messages written as lines on the way. */
import {
  createLogDecoder,
  destinationOf,
  type LogOptions,
  type LogReader,
  type Message,
  pgnOf,
  priorityOf,
  readThrough,
  sourceOf,
} from '@firstcrank/decoder'
import { readLog } from './log-file.js'
import type { Io, Output } from './output.js'
import type { TimeWindow } from './time-window.js'

/** What the messages of one stream share. */
export type MessageStream = Pick<Message, 'channel' | 'pgn' | 'sa' | 'da' | 'priority' | 'transport'>

/** How messages become lines. A plan is how those of one stream do. */
export interface LogLines<Plan> {
  /** What stands above all lines. */
  readonly header: string
  /** Lines written so far. */
  readonly written: number
  /** The plan for the messages of one stream; null where none of it is wanted. */
  planOf(stream: MessageStream, channelName: string): Plan | null
  /** Writes the lines of one message; its bytes are `length` from `offset`. */
  write(plan: Plan, pgn: number, time: number, payload: Uint8Array, offset: number, length: number): void
  /** Where nothing was written: why, and what to do, in a line for a person. */
  whyNone(reader: LogReader): string
}

/** How far the time line may run backwards, in microseconds: what comes later than this is later for good. */
const SLACK = 1_000_000

/**
 * Writes a log's messages in the order they were complete, chunk by chunk; ends where nothing more that is
 * wanted can come.
 *
 * @param name a file, or `-` for standard input
 * @returns what read the log
 * @throws {CommandError} 3, where the log cannot be read
 */
export async function writeLog<Plan>(
  name: string,
  lines: LogLines<Plan>,
  window: TimeWindow,
  options: LogOptions,
  io: Io,
  output: Output,
): Promise<LogReader> {
  output.add(lines.header)
  let latest = Number.NEGATIVE_INFINITY
  const log = createLogDecoder(({ keys }) => {
    const plans: (Plan | null)[] = []
    const planOfKey = (key: number) => {
      while (plans.length <= key) {
        const [id, channel] = [keys.id[plans.length] as number, keys.channel[plans.length] as number]
        const stream = { channel, pgn: pgnOf(id), sa: sourceOf(id), da: destinationOf(id), priority: priorityOf(id) }
        plans.push(lines.planOf({ ...stream, transport: 'single' }, keys.channels[channel] as string))
      }
      return plans[key] as Plan | null
    }
    return {
      frames: ({ time, key, bytes, length }, from, to) => {
        window.begin(time[from] as number)
        for (let row = from; row < to; row++) {
          const frameKey = key[row] as number
          const plan = planOfKey(frameKey)
          if (plan === null) continue
          const pgn = pgnOf(keys.id[frameKey] as number)
          lines.write(plan, pgn, time[row] as number, bytes, row * 8, length[row] as number)
        }
        latest = time[to - 1] as number
      },
      assembled: (message) => {
        const plan = lines.planOf(message, keys.channels[message.channel] as string)
        if (plan === null) return
        const { pgn, time, payload } = message
        lines.write(plan, pgn, time, payload, 0, payload.length)
      },
      other: ({ time }) => window.begin(time),
    }
  }, options)
  for await (const _ of readThrough(log, readLog(name, io, true), options)) {
    await output.flush()
    if (latest > window.end + SLACK) break
  }
  return log.reader
}
