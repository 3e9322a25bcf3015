/** What a recording holds, without its values: what a viewer needs before it draws anything. */
import { z } from 'zod'
import { address, channelName, groupNumber, micros } from './signal-ref.js'

const count = z.int().min(0)
const maybeTime = micros.nullable()
const gap = z.object({ from: micros, to: micros })

/** A signal that can be asked for. */
export const signalInfo = z
  .object({
    channel: channelName,
    sa: address,
    da: address,
    pgn: groupNumber,
    spn: z.int(),
    instance: z.int().exactOptional(),
    group: z.string().describe('Short form of its group, such as EEC1'),
    name: z.string(),
    kind: z.enum(['numeric', 'state', 'bit-field']),
    unit: z.string().nullable(),
    resolution: z.number().nullable().describe('Smallest step, of a number; null of others'),
    labels: z.record(z.string(), z.string()).exactOptional().describe('Of a state, its labels by value'),
    flags: z.array(z.string()).exactOptional().describe('Of a bit field, its flags from the least significant'),
    count: count.describe('Messages that carry it'),
    valid: z.boolean().describe('Whether any of them holds a value'),
  })
  .meta({ id: 'SignalInfo' })

export type SignalInfo = z.infer<typeof signalInfo>

/** All messages of one group from one node to one destination on one channel. */
export const streamInfo = z
  .object({
    channel: channelName,
    priority: z.int(),
    pgn: groupNumber,
    sa: address,
    da: address,
    acronym: z.string().nullable().describe('Null where nobody has defined the group'),
    name: z.string().nullable(),
    count,
    firstTime: maybeTime,
    lastTime: maybeTime,
    period: z.number().nullable().describe('Mean microseconds from message to message; null for fewer than two'),
    silence: gap
      .nullable()
      .describe(
        'Longest time between two messages, the recorder’s own holes left out; null for fewer than two, and of what is still being read or goes on',
      ),
  })
  .meta({ id: 'StreamInfo' })

export type StreamInfo = z.infer<typeof streamInfo>

/** One source address on one channel. */
export const nodeInfo = z
  .object({
    channel: channelName,
    sa: address,
    name: z.string().nullable().describe('The NAME it claimed last, 16 hexadecimal digits; null where it claimed none'),
    function: z.string().nullable().describe('What its NAME says it is'),
    preferred: z.string().nullable().describe('What its address is meant for'),
    firstTime: micros,
    texts: z.array(z.object({ kind: z.string(), name: z.string(), text: z.string() })),
  })
  .meta({ id: 'NodeInfo' })

export type NodeInfo = z.infer<typeof nodeInfo>

const lamp = z.object({ state: z.string(), flash: z.string() })
const lamps = z.object({ malfunction: lamp, redStop: lamp, amberWarning: lamp, protect: lamp })

/** One stretch in which a node listed a fault. */
export const faultInfo = z
  .object({
    channel: channelName,
    sa: address,
    source: z.string().describe('The message that lists it, such as DM1'),
    state: z.string().describe('active, previously-active, pending, permanent and others'),
    spn: z.int(),
    fmi: z.int(),
    name: z.string().nullable().describe('What the SPN stands for; null where nobody knows'),
    ambiguous: z.boolean().describe('Whether the SPN is only the likely one'),
    firstSeen: micros,
    lastSeen: micros,
    clearedAt: maybeTime,
    endedBy: z.enum(['cleared', 'recording-ended']).nullable(),
    counts: z
      .array(z.object({ time: micros, count: z.int().nullable() }))
      .describe('The node’s own count, each change'),
    lamps: z.array(z.object({ time: micros, lamps })).describe('The node’s lamps, each change'),
  })
  .meta({ id: 'FaultInfo' })

export type FaultInfo = z.infer<typeof faultInfo>

/** One thing a report says. */
export const reportLine = z
  .object({
    label: z.string(),
    spn: z.int().nullable().describe('The parameter it is about; null of all else'),
    value: z.union([z.number(), z.string()]).nullable().describe('A number or words; null unless the status is valid'),
    status: z.string().describe('As of any value: valid, not-available and others'),
    unit: z.string().nullable().describe('Of a number; null where it has none'),
    resolution: z.number().nullable().describe('Smallest step, of a number; null of words'),
  })
  .meta({ id: 'ReportLine' })

export type ReportLine = z.infer<typeof reportLine>

/** What a node said in a diagnostic message that is neither a fault list nor a clear command. */
export const reportInfo = z
  .object({
    channel: channelName,
    sa: address,
    da: address,
    pgn: groupNumber,
    dm: z.int().describe('Number of the diagnostic message: 4 for DM4'),
    name: z.string(),
    kind: z.string().describe('freeze-frames, expanded-freeze-frames, readiness-1 and others'),
    firstTime: micros,
    lastTime: micros,
    count: count.describe('Messages with this content'),
    parts: z
      .array(
        z.object({
          fault: z
            .object({
              spn: z.int(),
              fmi: z.int(),
              name: z.string().nullable().describe('What the SPN stands for; null where nobody knows'),
              meaning: z.string().nullable().describe('The failure mode in the standard’s words'),
              ambiguous: z.boolean().describe('Whether the SPN is only the likely one'),
              count: z.int().nullable().describe('The node’s own count'),
            })
            .nullable()
            .describe('Of a freeze frame the fault it was kept for; null of all else'),
          lines: z.array(reportLine),
        }),
      )
      .describe('What it says: a part for each freeze frame, one for all else'),
  })
  .meta({ id: 'ReportInfo' })

export type ReportInfo = z.infer<typeof reportInfo>

/** Something that happened on the bus beside values. */
export const eventInfo = z
  .object({
    kind: z.enum(['transport', 'node', 'clear']),
    code: z.string(),
    time: micros,
    channel: channelName,
    sa: address.nullable(),
    da: address.nullable(),
    pgn: z.int().nullable(),
    name: z.string().nullable(),
  })
  .meta({ id: 'EventInfo' })

export type EventInfo = z.infer<typeof eventInfo>

const listOf = <T extends z.ZodType>(item: T) => z.object({ total: count, kept: z.array(item) })

const clockInfo = z.object({
  deltas: z.boolean(),
  untimed: count,
  backwards: z.object({ count, largest: z.number() }),
  steps: listOf(z.object({ at: micros, step: z.number() })),
  holes: listOf(gap),
  jumps: listOf(gap),
})

const shares = z.array(z.number().nullable())

/** The load of a channel in equal stretches of time. */
const loadOverTime = z.object({
  from: micros,
  step: micros.describe('Whole seconds'),
  mean: shares.describe('Over the seconds with frames; null where there is none'),
  greatest: shares.describe('The busiest second'),
})

export type LoadOverTime = z.infer<typeof loadOverTime>

const loadInfo = z.object({
  channel: channelName,
  bitRate: z.number(),
  basis: z.enum(['given', 'inferred', 'assumed']),
  frames: count,
  mean: z.number().nullable(),
  maximum: z.number(),
  maximumAt: micros,
  over: loadOverTime,
})

export const recordingInfo = z
  .object({
    epoch: z.string().describe('Another one: nothing told before holds any longer, ask anew'),
    complete: z.boolean().describe('Whether it has been read to its end'),
    from: maybeTime,
    to: maybeTime,
    dated: z.boolean().describe('Whether times count from 1970; else from the log’s own zero'),
    channels: z.array(channelName),
    counts: z.object({
      lines: count,
      blank: count,
      comments: count,
      malformed: count,
      extended: count,
      standard: count,
      remote: count,
      error: count,
      fd: count,
    }),
    problems: z.object({
      counts: z.array(z.object({ code: z.string(), count, lost: z.boolean(), meaning: z.string() })),
      first: z.array(z.object({ code: z.string(), line: count, text: z.string() })),
    }),
    clock: clockInfo,
    nodes: z.array(nodeInfo),
    streams: z.array(streamInfo),
    signals: z.array(signalInfo),
    faults: z.array(faultInfo),
    lampHistories: z.array(
      z.object({
        channel: channelName,
        sa: address,
        source: z.string(),
        changes: z.array(z.object({ time: micros, lamps })),
      }),
    ),
    reports: z
      .array(reportInfo)
      .describe('Freeze frames, readiness and other diagnostic reports: each content once, in order of its first time'),
    reportsDropped: count.describe('Messages whose content is not told, because there are too many'),
    events: z.array(eventInfo),
    loads: z.array(loadInfo).describe('Empty where the load was not worked out'),
  })
  .meta({ id: 'RecordingInfo', description: 'What a recording holds, without its values' })

export type RecordingInfo = z.infer<typeof recordingInfo>
