/** A run of the library: its log, what a person wrote to it, and what was found in it. */
import { z } from 'zod'
import { address, channelName, micros } from './signal-ref.js'

/** First half of a log's SHA-256 hash, unpacked: the same log is the same run everywhere. */
export const runId = z
  .string()
  .regex(/^[0-9a-f]{32}$/)
  .meta({ id: 'RunId', description: 'The first 32 hexadecimal digits of the SHA-256 hash of the unpacked log' })

/** What a log holds, in short. Kept in the database; made anew from the log where it is lost. */
export const runSummary = z
  .object({
    from: micros.nullable(),
    to: micros.nullable(),
    dated: z.boolean(),
    channels: z.array(channelName),
    frames: z.int(),
    malformed: z.int(),
    nodes: z.array(z.object({ channel: channelName, sa: address, title: z.string(), frames: z.int() })),
    identity: z.string().nullable().describe('Vehicle identification a node sent; null where none did'),
    faults: z
      .array(
        z.object({
          channel: channelName,
          sa: address,
          source: z.string(),
          spn: z.int(),
          fmi: z.int(),
          name: z.string().nullable(),
          firstSeen: micros,
          open: z.boolean(),
        }),
      )
      .describe('Episodes, the first ones'),
    faultCount: z.int().describe('Faults listed as active, each counted once'),
  })
  .meta({ id: 'RunSummary' })

export type RunSummary = z.infer<typeof runSummary>

/** What the analysis concludes, in short. */
export const runVerdict = z
  .object({
    level: z.enum(['fail', 'caution', 'none-found', 'nothing-judged']),
    verdict: z.string(),
    stop: z.boolean().describe('Whether the engine must not be run before something is done'),
    counts: z.record(z.string(), z.int()),
    faults: z.int(),
    analysis: z.string().describe('Version of the analysis and of the profile it used'),
  })
  .meta({ id: 'RunVerdict' })

export type RunVerdict = z.infer<typeof runVerdict>

const text = (most: number) => z.string().max(most)

/** A manual check a person has looked at. */
export const tickedCheck = z
  .object({ check: z.string(), ticked: micros.describe('When'), note: z.string() })
  .meta({ id: 'TickedCheck' })

/** A note pinned to a moment of the recording. */
export const pinnedNote = z
  .strictObject({ time: micros.describe('The moment it belongs to'), text: text(500) })
  .meta({ id: 'PinnedNote', description: 'A note at a moment of the recording' })

export type PinnedNote = z.infer<typeof pinnedNote>

export const run = z
  .object({
    id: runId,
    title: z.string(),
    vehicle: z.string(),
    notes: z.string(),
    fixed: z.string().describe('What was repaired since the run before'),
    pins: z.array(pinnedNote).describe('In order of time'),
    profile: z.unknown().describe('Engine profile its report uses; null for the defaults'),
    file: z.object({ name: z.string(), bytes: z.int(), packed: z.boolean(), kept: z.enum(['library', 'outside']) }),
    imported: micros,
    /** Of live recording: which session it is a part of. */
    session: z.object({ id: z.string(), part: z.int() }).nullable(),
    state: z.enum(['reading', 'ready', 'failed', 'missing']),
    problem: z.string().nullable().describe('Of a failed run, the code of what went wrong'),
    summary: runSummary.nullable(),
    verdict: runVerdict.nullable(),
    checks: z.array(tickedCheck),
    trashed: micros.nullable(),
    revision: z.int().describe('Grows with every change; also the ETag'),
  })
  .meta({ id: 'Run', description: 'One recording of one engine, and what is known of it' })

export type Run = z.infer<typeof run>

/** What a person may change. */
export const runChange = z
  .strictObject({
    title: text(200).exactOptional(),
    vehicle: text(100).exactOptional(),
    notes: text(20_000).exactOptional(),
    fixed: text(5_000).exactOptional(),
    pins: z.array(pinnedNote).max(200).exactOptional().describe('All of them: they take the place of those there were'),
    profile: z.record(z.string(), z.unknown()).nullable().exactOptional(),
  })
  .meta({ id: 'RunChange' })

export type RunChange = z.infer<typeof runChange>

export const runsQuery = z.strictObject({
  text: text(200).exactOptional().describe('In title, vehicle, notes, fixes, file name or identification'),
  vehicle: text(100).exactOptional(),
  trashed: z.enum(['no', 'only']).default('no'),
  limit: z.coerce.number().int().min(1).max(500).default(100),
  skip: z.coerce.number().int().min(0).max(1_000_000).default(0),
})

export const runsPage = z
  .object({ runs: z.array(run), total: z.int(), vehicles: z.array(z.string()), revision: z.int() })
  .meta({ id: 'RunsPage' })

export type RunsPage = z.infer<typeof runsPage>

/** What became of an upload. */
export const uploadResult = z
  .object({ run, duplicate: z.boolean().describe('Whether the library had this log already') })
  .meta({ id: 'UploadResult' })

export type UploadResult = z.infer<typeof uploadResult>
