/**
 * What can be asked of a recording, and how it is answered. The same requests go to a recording in
 * this program, to a worker, and over a socket to a server.
 */
import { z } from 'zod'
import type { ColumnFrame } from './column-frame.js'
import { MAX_COLUMNS, MAX_PAGE, MAX_SIGNALS } from './limits.js'
import type { RecordingInfo } from './recording-info.js'
import { address, channelName, groupNumber, micros, signalRef } from './signal-ref.js'

const signals = z.array(signalRef).min(1).max(MAX_SIGNALS)

/** Signals over a stretch of time, as a picture of so many columns needs them. */
export const windowQuery = z
  .strictObject({
    signals,
    from: micros,
    to: micros,
    columns: z.int().min(1).max(MAX_COLUMNS).describe('Columns of pixels; where fewer samples lie there, those come'),
  })
  .refine(({ from, to }) => from <= to, { path: ['to'], message: 'lies before from' })
  .meta({ id: 'WindowQuery' })

export type WindowQuery = z.infer<typeof windowQuery>

/** Signals at one moment: the last message at or before it. */
export const momentQuery = z.strictObject({ signals, time: micros }).meta({ id: 'MomentQuery' })

export type MomentQuery = z.infer<typeof momentQuery>

/** A page of raw messages in order of time: from a row of the list, or else from a time. */
export const messagesQuery = z
  .strictObject({
    channel: channelName.exactOptional(),
    pgn: groupNumber.exactOptional(),
    sa: address.exactOptional(),
    row: z.int().min(0).exactOptional().describe('Number in the list of messages that fit, from 0'),
    from: micros.exactOptional().describe('Used where no row is given'),
    limit: z.int().min(1).max(MAX_PAGE).default(200),
  })
  .meta({ id: 'MessagesQuery' })

export type MessagesQuery = z.input<typeof messagesQuery>

/** What a signal was at a moment. */
export const momentValue = z
  .object({
    time: micros,
    value: z.number().nullable(),
    status: z.string(),
    raw: z.union([z.number(), z.string()]).nullable(),
    label: z.string().exactOptional(),
  })
  .meta({ id: 'MomentValue' })

export type MomentValue = z.infer<typeof momentValue>

/** One message, raw. */
export const rawMessage = z
  .object({
    time: micros,
    firstTime: micros,
    channel: channelName,
    priority: z.int(),
    pgn: groupNumber,
    sa: address,
    da: address,
    transport: z.string().describe('single, bam, rts-cts or extended'),
    data: z.string().describe('Hexadecimal digits'),
  })
  .meta({ id: 'RawMessage' })

export type RawMessage = z.infer<typeof rawMessage>

export const messagesPage = z
  .object({
    messages: z.array(rawMessage),
    row: z.int().describe('Number of the first of them'),
    total: z.int().describe('Messages that fit'),
  })
  .meta({ id: 'MessagesPage' })

export type MessagesPage = z.infer<typeof messagesPage>

/** A request to a recording, by what it asks. */
export const recordingRequest = z.discriminatedUnion('ask', [
  z.strictObject({ ask: z.literal('info') }),
  z.strictObject({ ask: z.literal('window'), query: windowQuery }),
  z.strictObject({ ask: z.literal('moment'), query: momentQuery }),
  z.strictObject({ ask: z.literal('messages'), query: messagesQuery }),
  z.strictObject({ ask: z.literal('report') }),
])

export type RecordingRequest = z.input<typeof recordingRequest>
/** With what was left out filled in. */
export type CheckedRequest = z.output<typeof recordingRequest>

/** The answer to each kind of request. Windows come as a {@link ColumnFrame} in bytes, all others as JSON. */
export interface Answers {
  readonly info: RecordingInfo
  readonly window: Uint8Array<ArrayBuffer>
  readonly moment: readonly (MomentValue | null)[]
  readonly messages: MessagesPage
  readonly report: unknown
}
