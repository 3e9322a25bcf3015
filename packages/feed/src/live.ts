/** Live sources and replays as they are shown, and what can be done with a replay. */
import { z } from 'zod'
import { eventInfo, faultInfo } from './recording-info.js'
import { runId } from './run.js'
import { micros } from './signal-ref.js'

/** Id of a source. */
export const sourceId = z.string().regex(/^[a-z0-9-]{1,40}$/)

/**
 * State of a source. `waiting`: not there yet; `live`: data may come; `paused`: a replay that stands;
 * `lost`: was there, is tried again; `ended`: no more will come.
 */
export const sourceState = z.enum(['waiting', 'live', 'paused', 'lost', 'ended'])

export type SourceState = z.infer<typeof sourceState>

/** Where a replay is. */
export const replayPosition = z
  .object({
    from: micros.describe('First and last time of the log'),
    to: micros,
    at: micros,
    speed: z.number(),
    loop: z.boolean(),
  })
  .meta({ id: 'ReplayPosition' })

export type ReplayPosition = z.infer<typeof replayPosition>

/** What is known of the disk recording of a source. */
export const recorderStatus = z
  .object({
    state: z.enum(['recording', 'disk-full', 'failed', 'stopped']),
    detail: z.string(),
    file: z.string(),
    part: z.int(),
    written: z.number().describe('Bytes given to the system'),
    synced: z.number().describe('Bytes known to be on the disk'),
    dropped: z.int().describe('Lines that were not recorded'),
  })
  .meta({ id: 'RecorderStatus' })

export type RecorderStatus = z.infer<typeof recorderStatus>

export const sourceInfo = z
  .object({
    id: sourceId,
    kind: z.enum(['replay', 'stream', 'tcp', 'file']),
    title: z.string(),
    state: sourceState,
    detail: z.string(),
    epoch: z.string(),
    lines: z.number().describe('Lines taken so far'),
    rate: z.number().describe('Lines in the last second'),
    torn: z.number().describe('Lines that a lost source broke off; they were not read'),
    silent: z.number().describe('Microseconds of wall clock since the last line; -1 where there was none'),
    replay: replayPosition.nullable(),
    run: runId.nullable().describe('Of a replay, its run'),
    recorder: recorderStatus.nullable(),
    followers: z.int(),
  })
  .meta({ id: 'SourceInfo', description: 'A live source or a replay' })

export type SourceInfo = z.infer<typeof sourceInfo>

/** Slowest and fastest replay. */
export const MIN_SPEED = 0.1
export const MAX_SPEED = 100

const speed = z.number().min(MIN_SPEED).max(MAX_SPEED)

export const replayRequest = z
  .strictObject({
    run: runId,
    speed: speed.default(1),
    loop: z.boolean().default(false),
    paused: z.boolean().default(false),
    from: micros.exactOptional(),
  })
  .meta({ id: 'ReplayRequest' })

export type ReplayRequest = z.infer<typeof replayRequest>

/** What a replay can be told. */
export const replayControl = z
  .discriminatedUnion('do', [
    z.strictObject({ do: z.literal('play') }),
    z.strictObject({ do: z.literal('pause') }),
    z.strictObject({ do: z.literal('step'), frames: z.int().min(1).max(10_000).default(1) }),
    z.strictObject({ do: z.literal('seek'), time: micros }),
    z.strictObject({ do: z.literal('speed'), speed }),
    z.strictObject({ do: z.literal('loop'), loop: z.boolean() }),
  ])
  .meta({ id: 'ReplayControl' })

export type ReplayControl = z.infer<typeof replayControl>

/** Something that happened while live; numbered, so that a client that was away gets what it missed. */
export const liveEvent = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('bus'), at: micros, event: eventInfo }),
    z.object({ kind: z.literal('fault'), at: micros, change: z.enum(['began', 'changed', 'ended']), fault: faultInfo }),
    z.object({ kind: z.literal('source'), at: micros, state: sourceState, detail: z.string() }),
    z.object({ kind: z.literal('recorder'), at: micros, state: recorderStatus.shape.state, detail: z.string() }),
  ])
  .meta({ id: 'LiveEvent' })

export type LiveEvent = z.infer<typeof liveEvent>
