/**
 * Fault episodes: each stretch in which a node listed a fault. A node repeats its list again and
 * again; a repeat is never an occurrence. Only the node's own occurrence count says how often a
 * fault came.
 *
 * An episode ends with the first list of the same kind from the same node that leaves the fault out.
 * A list cut short proves nothing about what it leaves out. Nor does silence: a node that stops
 * sending leaves its episodes open.
 */
import type { Message } from '../bus/message.js'
import type { SpnReading, TroubleCode } from './dtc.js'
import type { FaultList, FaultListSource, FaultState } from './fault-list.js'
import { type LampStatus, sameLamps } from './lamps.js'

/** The node's own count of occurrences, from a moment on. */
export interface OccurrenceChange {
  readonly time: number
  /** 0 to 126; null where the node does not count. */
  readonly count: number | null
}

/** What the lamps were, from a moment on. */
export interface LampChange {
  readonly time: number
  readonly lamps: LampStatus
}

/** One stretch in which a node listed a fault. Times are microseconds since the epoch. */
export interface Episode {
  readonly channel: number
  /** Source address of the node. */
  readonly sa: number
  /** The message that listed it; each kind of list has its own episodes. */
  readonly source: FaultListSource
  readonly state: FaultState
  readonly spn: number
  readonly fmi: number
  /** Whether the SPN is only the likely one of {@link readings}. */
  readonly ambiguous: boolean
  readonly readings: readonly SpnReading[]
  readonly firstSeen: number
  readonly lastSeen: number
  /** Time of the first list without it; null while open. */
  readonly clearedAt: number | null
  /** `recording-ended` once {@link Episodes.finish} has been called; null before, while open. */
  readonly endedBy: 'cleared' | 'recording-ended' | null
  /** From {@link lastSeen} to the recording's end, where that ended it: long where the node fell silent. */
  readonly unseen: number | null
  /** The count when first seen and each change of it. */
  readonly occurrenceCounts: readonly OccurrenceChange[]
  /** The node's lamps when first seen and each change while it was listed. */
  readonly lamps: readonly LampChange[]
}

/** The lamps one node reported in one kind of list, faults or none. */
export interface LampHistory {
  readonly channel: number
  readonly sa: number
  readonly source: FaultListSource
  readonly changes: readonly LampChange[]
}

/** How much is kept. What goes beyond is counted, not kept. Defaults: our own choice. */
export interface EpisodeLimits {
  /** Episodes in all. */
  readonly episodes: number
  /** Nodes, each once for every kind of list it sends. */
  readonly nodes: number
  /** Changes in one history of counts or lamps. */
  readonly changes: number
}

export const DEFAULT_EPISODE_LIMITS: EpisodeLimits = { episodes: 10_000, nodes: 4_096, changes: 10_000 }

/** How many additions each limit turned away. The same fault or lamp listed again counts again. */
export type EpisodeOverflow = Readonly<Record<keyof EpisodeLimits, number>>

type Mutable<T> = { -readonly [Key in keyof T]: T[Key] }
type OpenEpisode = Mutable<Omit<Episode, 'occurrenceCounts' | 'lamps'>> & {
  occurrenceCounts: OccurrenceChange[]
  lamps: LampChange[]
}

/** What one node's lists of one kind have said so far. */
interface NodeState {
  readonly open: Map<number, OpenEpisode>
  /** The list taken in last; the very same one again changes nothing but when its faults were last seen. */
  last: FaultList | undefined
  readonly history: { channel: number; sa: number; source: FaultListSource; changes: LampChange[] }
}

/** Collects episodes and lamp histories from fault lists in the order they were received. */
export class Episodes {
  readonly #limits: EpisodeLimits
  readonly #nodes = new Map<string, NodeState>()
  readonly #episodes: OpenEpisode[] = []
  readonly #over = { episodes: 0, nodes: 0, changes: 0 }

  constructor(limits: Partial<EpisodeLimits> = {}) {
    this.#limits = { ...DEFAULT_EPISODE_LIMITS, ...limits }
  }

  /** Every episode so far, in the order they began. The same objects go on changing while open. */
  get list(): readonly Episode[] {
    return this.#episodes
  }

  /** The lamps of every node, in the order the nodes appeared. */
  get lampHistories(): readonly LampHistory[] {
    return Array.from(this.#nodes.values(), (node) => node.history)
  }

  /** What was not kept. All zero where nothing was lost. */
  get overflow(): EpisodeOverflow {
    return { ...this.#over }
  }

  /**
   * Takes in one list.
   *
   * @param message the message that carried it: its channel, its source address, and the time it was complete
   */
  add(list: FaultList, message: Pick<Message, 'channel' | 'sa' | 'time'>): void {
    const node = this.#nodeOf(list, message)
    if (!node) return
    const { time } = message
    if (node.last === list) {
      for (const episode of node.open.values()) episode.lastSeen = Math.max(time, episode.lastSeen)
      return
    }
    node.last = list
    if (list.lamps) this.#addLamps(node.history.changes, time, list.lamps)
    const listed = mostOften(list.faults)
    if (list.problems.length === 0) this.#clearOthers(node, listed, time)
    for (const [key, fault] of listed) this.#see(node, key, fault, list, message)
  }

  /**
   * Closes the books at the recording's end. Open episodes stay without a clear time.
   *
   * @param lastTime time of the recording's last frame
   * @returns every episode, in the order they began
   */
  finish(lastTime: number): readonly Episode[] {
    for (const { open } of this.#nodes.values()) {
      for (const episode of open.values()) {
        episode.endedBy = 'recording-ended'
        episode.unseen = Math.max(0, lastTime - episode.lastSeen)
      }
    }
    return this.list
  }

  #nodeOf({ source }: FaultList, { channel, sa }: Pick<Message, 'channel' | 'sa'>): NodeState | undefined {
    const key = `${channel}/${sa}/${source}`
    const known = this.#nodes.get(key)
    if (known) return known
    if (this.#nodes.size >= this.#limits.nodes) {
      this.#over.nodes++
      return undefined
    }
    const node: NodeState = { open: new Map(), last: undefined, history: { channel, sa, source, changes: [] } }
    this.#nodes.set(key, node)
    return node
  }

  #clearOthers(node: NodeState, listed: ReadonlyMap<number, TroubleCode>, time: number): void {
    for (const [key, episode] of node.open) {
      if (listed.has(key)) continue
      // Clocks of two interfaces may differ a little; an episode never ends before it was last seen.
      episode.clearedAt = Math.max(time, episode.lastSeen)
      episode.endedBy = 'cleared'
      node.open.delete(key)
    }
  }

  #see(
    node: NodeState,
    key: number,
    fault: TroubleCode,
    list: FaultList,
    message: Pick<Message, 'channel' | 'sa' | 'time'>,
  ): void {
    const { time } = message
    const episode = node.open.get(key) ?? this.#begin(node, key, fault, list, message)
    if (!episode) return
    episode.lastSeen = Math.max(time, episode.lastSeen)
    const counts = episode.occurrenceCounts
    const count = fault.occurrenceCount
    if (counts.at(-1)?.count !== count) this.#push(counts, { time, count })
    if (list.lamps) this.#addLamps(episode.lamps, time, list.lamps)
  }

  #begin(
    node: NodeState,
    key: number,
    fault: TroubleCode,
    { source, state }: FaultList,
    { channel, sa, time }: Pick<Message, 'channel' | 'sa' | 'time'>,
  ): OpenEpisode | undefined {
    if (this.#episodes.length >= this.#limits.episodes) {
      this.#over.episodes++
      return undefined
    }
    const { spn, fmi, ambiguous, readings } = fault
    const end = { clearedAt: null, endedBy: null, unseen: null }
    const what = { channel, sa, source, state, spn, fmi, ambiguous, readings }
    const episode: OpenEpisode = { ...what, firstSeen: time, lastSeen: time, ...end, occurrenceCounts: [], lamps: [] }
    node.open.set(key, episode)
    this.#episodes.push(episode)
    return episode
  }

  #addLamps(changes: LampChange[], time: number, lamps: LampStatus): void {
    const last = changes.at(-1)
    if (!last || !sameLamps(last.lamps, lamps)) this.#push(changes, { time, lamps })
  }

  #push<Change>(changes: Change[], change: Change): void {
    if (changes.length < this.#limits.changes) changes.push(change)
    else this.#over.changes++
  }
}

/** The faults of a list by SPN and FMI. Of one listed twice, the entry with the higher count. */
function mostOften(faults: readonly TroubleCode[]): Map<number, TroubleCode> {
  const listed = new Map<number, TroubleCode>()
  for (const fault of faults) {
    const key = fault.spn * 32 + fault.fmi
    const other = listed.get(key)
    if (!other || (fault.occurrenceCount ?? -1) > (other.occurrenceCount ?? -1)) listed.set(key, fault)
  }
  return listed
}
