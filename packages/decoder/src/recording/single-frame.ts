import { destinationOf, pgnOf, priorityOf, sourceOf } from '../bus/identifier.js'
import type { Message } from '../bus/message.js'
import type { FrameBatch, FrameKeys } from '../log/frame-batch.js'

/** A row of a batch as a message. Its payload is the batch's own memory. */
export function singleFrame(batch: FrameBatch, row: number, keys: FrameKeys): Message {
  const key = batch.key[row]
  const id = keys.id[key]
  const time = batch.time[row]
  return {
    channel: keys.channel[key],
    priority: priorityOf(id),
    pgn: pgnOf(id),
    sa: sourceOf(id),
    da: destinationOf(id),
    firstTime: time,
    time,
    payload: batch.bytes.subarray(row * 8, row * 8 + batch.length[row]),
    transport: 'single',
  }
}
