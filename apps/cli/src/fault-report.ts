/** What the faults of a log come to: shared by `faults` and `summary`. */
import type { ClearEvent, Episode, GroupDefinition, LampChange, LogSummary, Name } from '@firstcrank/decoder'
import { NULL_ADDRESS } from '@firstcrank/decoder'

/** A node by channel number and source address. */
export interface NodeKey {
  readonly channel: number
  readonly sa: number
}

/** Who reported on active faults, and who did not. */
export interface NodeFaults {
  /** Nodes that sent DM1 at least once. */
  readonly reporting: readonly NodeKey[]
  /** Nodes that sent something, but no DM1. */
  readonly silent: readonly NodeKey[]
}

/** A lamp somebody asked for while no active fault of that node was listed. */
export interface LampWithoutFault extends NodeKey {
  readonly change: LampChange
}

/** All episodes of one fault: SPN, FMI, node and the kind of list that named it. */
export interface Fault extends NodeKey {
  readonly source: Episode['source']
  readonly spn: number
  readonly fmi: number
  /** In order of time. */
  readonly episodes: readonly Episode[]
  /** Whether it was still listed when the recording ended, or when its node fell silent. */
  readonly isOpen: boolean
}

/** Faults, and what they cannot say. */
export interface FaultReport {
  readonly summary: LogSummary
  /** Time of the first frame, in microseconds; 0 where the log has no times. */
  readonly start: number
  /** In the order they were first seen. */
  readonly faults: readonly Fault[]
  readonly nodes: NodeFaults
  readonly lampsWithoutFault: readonly LampWithoutFault[]
  readonly clears: readonly ClearEvent[]
  /** Somebody's own definitions, whose names come first. */
  readonly own: readonly GroupDefinition[]
  /** The NAME a node claimed; null where none was seen. */
  nameOf(channel: number, sa: number): Name | null
  /** ` on can0`, where the log has several interfaces. */
  where(channel: number): string
}

/** Puts the report together. */
export function faultReport(summary: LogSummary, own: readonly GroupDefinition[] = []): FaultReport {
  const names = new Map(summary.nodes.map(({ channel, sa, name }) => [channel * 256 + sa, name]))
  return {
    summary,
    start: summary.clock.first ?? 0,
    faults: faultsOf(summary),
    nodes: nodeFaults(summary),
    lampsWithoutFault: lampsWithoutFault(summary),
    own,
    clears: summary.events.flatMap((event) => (event.kind === 'clear' ? [event] : [])),
    nameOf: (channel, sa) => names.get(channel * 256 + sa) ?? null,
    where: (channel) => (summary.channels.length > 1 ? ` on ${summary.channels[channel]}` : ''),
  }
}

function faultsOf({ episodes }: LogSummary): Fault[] {
  const faults = new Map<string, Episode[]>()
  for (const episode of episodes) {
    const { channel, sa, source, spn, fmi } = episode
    const key = [channel, sa, source, spn, fmi].join()
    const earlier = faults.get(key)
    if (earlier === undefined) faults.set(key, [episode])
    else earlier.push(episode)
  }
  return Array.from(faults.values(), (group) => {
    const { channel, sa, source, spn, fmi } = group[0] as Episode
    return { channel, sa, source, spn, fmi, episodes: group, isOpen: group.some((one) => one.clearedAt === null) }
  })
}

function nodeFaults({ nodes, lamps }: LogSummary): NodeFaults {
  const senders = new Set(lamps.flatMap(({ channel, sa, source }) => (source === 'DM1' ? [channel * 256 + sa] : [])))
  const known = nodes.filter(({ sa }) => sa < NULL_ADDRESS).map(({ channel, sa }) => ({ channel, sa }))
  return {
    reporting: known.filter(({ channel, sa }) => senders.has(channel * 256 + sa)),
    silent: known.filter(({ channel, sa }) => !senders.has(channel * 256 + sa)),
  }
}

function lampsWithoutFault({ lamps, episodes }: LogSummary): LampWithoutFault[] {
  const byNode = new Map<number, Episode[]>()
  for (const episode of episodes) {
    if (episode.source !== 'DM1') continue
    const key = episode.channel * 256 + episode.sa
    const others = byNode.get(key)
    if (others === undefined) byNode.set(key, [episode])
    else others.push(episode)
  }
  return lamps
    .filter(({ source }) => source === 'DM1')
    .flatMap(({ channel, sa, changes }) =>
      uncovered(changes, byNode.get(channel * 256 + sa) ?? [])
        .filter((change) => Object.values(change.lamps).some(({ state }) => state === 'on'))
        .map((change) => ({ channel, sa, change })),
    )
}

/** Changes at which no episode ran. One pass over both in order of time: there can be thousands of each. */
function uncovered(changes: readonly LampChange[], episodes: readonly Episode[]): LampChange[] {
  const begun = [...episodes].sort((a, b) => a.firstSeen - b.firstSeen)
  let next = 0
  let until = Number.NEGATIVE_INFINITY
  return [...changes]
    .sort((a, b) => a.time - b.time)
    .filter(({ time }) => {
      for (; next < begun.length && (begun[next] as Episode).firstSeen <= time; next++) {
        until = Math.max(until, (begun[next] as Episode).clearedAt ?? Number.POSITIVE_INFINITY)
      }
      return time >= until
    })
}
