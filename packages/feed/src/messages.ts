/** What goes over the socket: text messages in JSON, and binary ones, see `column-frame.ts`. */
import { z } from 'zod'
import { MAX_COLUMNS, MAX_SIGNALS, MAX_SPAN } from './limits.js'
import { liveEvent, sourceInfo } from './live.js'
import { problemDetails } from './problem.js'
import { recordingRequest } from './requests.js'
import { micros, signalRef } from './signal-ref.js'

/** A recording on a server: a run of the library, or a live source. */
export const recordingId = z
  .string()
  .regex(/^(run:[0-9a-f]{32}|live:[a-z0-9-]{1,40})$/)
  .meta({ id: 'RecordingId', description: '`run:` and the id of a run, or `live:` and the id of a source' })

/** Chosen by the client; answers carry it. */
export const messageId = z.int().min(1).max(0xffffffff)

/** Where a client was with one signal: the number and the time of the message it was told of last. */
export const cursor = z.strictObject({ next: z.number().min(0), lastTime: micros.nullable() })

export type Cursor = z.infer<typeof cursor>

/** Where a client was when the connection broke. */
export const resumePoint = z.strictObject({
  epoch: z.string().max(64),
  cursors: z.array(cursor.nullable()).max(MAX_SIGNALS).describe('One for each signal; null where nothing came yet'),
  event: z.int().min(0).describe('Number of the first event not yet told of'),
})

export type ResumePoint = z.infer<typeof resumePoint>

export const clientMessage = z.discriminatedUnion('type', [
  z.strictObject({ type: z.literal('ask'), id: messageId, recording: recordingId, request: recordingRequest }),
  z.strictObject({
    type: z.literal('follow'),
    id: messageId,
    recording: recordingId,
    signals: z.array(signalRef).max(MAX_SIGNALS),
    span: z.number().min(0).max(MAX_SPAN).describe('Microseconds of history that come first'),
    columns: z.int().min(1).max(MAX_COLUMNS).describe('Of the picture the history is for'),
    resume: resumePoint.exactOptional(),
  }),
  z.strictObject({ type: z.literal('unfollow'), id: messageId }),
  z.strictObject({ type: z.literal('acknowledge'), sequence: z.int().min(0) }),
])

export type ClientMessage = z.input<typeof clientMessage>

export const serverMessage = z.discriminatedUnion('type', [
  z.object({
    type: z.literal('hello'),
    version: z.int(),
    server: z.string().describe('Version of the program'),
    time: micros.describe('Wall clock of the server'),
    tick: z.number().describe('Microseconds between live batches'),
    unacknowledged: z.int().describe('Batches after which the server waits for an acknowledgement'),
    sources: z.array(sourceInfo),
    library: z.int().describe('Revision of the library'),
  }),
  z.object({ type: z.literal('answer'), id: messageId, answer: z.unknown() }),
  z.object({
    type: z.literal('following'),
    id: messageId,
    epoch: z.string(),
    resumed: z.boolean().describe('Whether it goes on where the client was; else the history comes anew'),
  }),
  z.object({
    type: z.literal('events'),
    id: messageId,
    epoch: z.string(),
    next: z.int().describe('Number of the event after these'),
    missed: z.int().describe('Events before these that are no longer kept'),
    events: z.array(liveEvent),
  }),
  z.object({ type: z.literal('epoch'), id: messageId, epoch: z.string() }),
  z.object({ type: z.literal('ended'), id: messageId, detail: z.string() }),
  z.object({ type: z.literal('sources'), time: micros, sources: z.array(sourceInfo) }),
  z.object({ type: z.literal('library'), revision: z.int() }),
  z.object({ type: z.literal('problem'), id: messageId.nullable(), problem: problemDetails }),
])

export type ServerMessage = z.infer<typeof serverMessage>
