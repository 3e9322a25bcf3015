/** Active faults of a recording, one for each node, SPN and FMI, with their names in plain words. */
import { type Episode, FAULT_STATES, type FaultState, fmiDefinition, type Recording } from '@firstcrank/decoder'
import { faultName, signalsOf } from '@firstcrank/decoder/catalog'
import type { Span } from '../model.js'
import { type Component, type FaultClass, failureMode, findComponent } from './knowledge/index.js'

/** All episodes of one fault of one node. */
export interface ActiveFault extends Span {
  readonly channel: string
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly class: FaultClass
  readonly name: string
  readonly meaning: string
  readonly component: Component | undefined
  /** In order of time; never empty. */
  readonly episodes: readonly Episode[]
}

/** A fault a node lists as something other than active. It is shown, never analysed as if it were there now. */
export interface StoredFault {
  readonly channel: string
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly state: Exclude<FaultState, 'active'>
  readonly name: string
  readonly meaning: string
  /** The node's own count, where it gives one. */
  readonly occurrences: number | null
  /** When the node said so first. */
  readonly time: number
  /** Whether the same fault is also active in this recording. */
  readonly alsoActive: boolean
}

/** Every active fault, in the order they were first seen. DM1 decides; another list of active faults only adds. */
export function activeFaults(recording: Recording): ActiveFault[] {
  const groups = new Map<string, Episode[]>()
  const active = recording.episodes.filter(({ state }) => state === 'active')
  const byDm1 = new Set(active.filter(({ source }) => source === 'DM1').map(keyOf))
  for (const episode of active) {
    const key = keyOf(episode)
    if (episode.source !== 'DM1' && byDm1.has(key)) continue
    const others = groups.get(key)
    if (others === undefined) groups.set(key, [episode])
    else others.push(episode)
  }
  return [...groups.values()].map((episodes) => describe(recording, episodes)).sort((a, b) => a.from - b.from)
}

/** Faults nodes list as previously active, pending or permanent. */
export function storedFaults(recording: Recording): StoredFault[] {
  const active = new Set(recording.episodes.filter(({ state }) => state === 'active').map(keyOf))
  const found = new Map<string, StoredFault>()
  for (const episode of recording.episodes) {
    const state = FAULT_STATES[episode.source]
    if (state === 'active') continue
    const { spn, fmi, sa, channel, firstSeen, occurrenceCounts } = episode
    const key = `${keyOf(episode)}/${state}`
    if (found.has(key)) continue
    found.set(key, {
      channel: recording.channels[channel] ?? String(channel),
      sa,
      spn,
      fmi,
      state,
      name: nameOf(recording, episode),
      meaning: meaningOf(fmi),
      occurrences: occurrenceCounts.at(-1)?.count ?? null,
      time: firstSeen,
      alsoActive: active.has(keyOf(episode)),
    })
  }
  return [...found.values()]
}

function describe(recording: Recording, episodes: readonly Episode[]): ActiveFault {
  const first = episodes[0] as Episode
  const { spn, fmi, sa, channel } = first
  return {
    channel: recording.channels[channel] ?? String(channel),
    sa,
    spn,
    fmi,
    class: failureMode(fmi).class,
    name: nameOf(recording, first),
    meaning: meaningOf(fmi),
    component: first.ambiguous ? undefined : findComponent(spn),
    episodes,
    from: first.firstSeen,
    to: Math.max(...episodes.map(endOf)),
  }
}

/** When an episode ended, as far as is known. */
export function endOf({ clearedAt, lastSeen }: Episode): number {
  return clearedAt ?? lastSeen
}

function keyOf({ channel, sa, spn, fmi }: Episode): string {
  return `${channel}/${sa}/${spn}/${fmi}`
}

/** The name of an SPN, its number where nobody knows it, all readings where the data leaves it open. */
function nameOf(recording: Recording, { spn, ambiguous, readings }: Episode): string {
  if (ambiguous)
    return `SPN ${[...new Set(readings.map((reading) => reading.spn))].join(' or ')} (this node numbers faults the old way)`
  return faultName(spn, (wanted) => ownName(recording, wanted)) ?? `SPN ${spn} (not known here)`
}

/** The name under which a definition carries it. */
function ownName({ catalogue }: Recording, spn: number): string | undefined {
  for (const group of catalogue.groups) {
    const signal = signalsOf(group).find((candidate) => candidate.spn === spn)
    if (signal !== undefined) return signal.name
  }
  return undefined
}

function meaningOf(fmi: number): string {
  const definition = fmiDefinition(fmi)
  return definition === undefined ? `FMI ${fmi}.` : definition.plain
}
