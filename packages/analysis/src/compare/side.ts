/** One run made ready to be compared: its engines, their use, its faults with their contexts. */
import type { Episode } from '@firstcrank/decoder'
import { findEngines } from '../engine-view.js'
import { FaultContext } from '../faults/context.js'
import { type ActiveFault, activeFaults, endOf } from '../faults/finding.js'
import type { CheckResult } from '../model.js'
import { NO_PROFILE } from '../profile.js'
import { SECOND } from '../series.js'
import type { FaultSide, Run, RunSide } from './comparison.js'
import { type EngineUse, looksOf } from './exposure.js'

/** DM1, active faults. */
const DM1_PGN = 65226
/** A fault that is there until so shortly before the end has not gone by itself. A node repeats its list each second. */
const END: number = 10 * SECOND

/** One run, with what is needed again and again kept. */
export class Side {
  readonly run: Run
  readonly which: RunSide
  readonly uses: readonly EngineUse[]
  readonly faults: readonly ActiveFault[]
  readonly #contexts = new Map<string, FaultContext>()
  /** Nodes heard, by interface and address. */
  readonly #heard: ReadonlySet<string>

  constructor(run: Run, which: RunSide) {
    this.run = run
    this.which = which
    this.uses = findEngines(run.recording).map((engine): EngineUse => {
      const { phases = [] } =
        run.report.engines.find(({ channel, sa }) => channel === engine.channel && sa === engine.sa) ?? {}
      return { engine, phases, looks: looksOf(engine, phases) }
    })
    this.faults = activeFaults(run.recording)
    const { streams, channels } = run.recording
    this.#heard = new Set(streams.map((stream) => `${channels[stream.channel]}/${stream.sa}`))
  }

  /** The engine at an address; for a node that is none, the first engine. */
  useFor(channel: string, sa: number): EngineUse | undefined {
    return this.engineAt(channel, sa) ?? this.uses[0]
  }

  /** The engine at an address, on the interface of that name if it is there; undefined for a node that is none. */
  engineAt(channel: string, sa: number): EngineUse | undefined {
    return (
      this.uses.find(({ engine }) => engine.sa === sa && engine.channel === channel) ??
      this.uses.find(({ engine }) => engine.sa === sa)
    )
  }

  /** Its checks; none for a node that is no engine. */
  checksAt(channel: string, sa: number): readonly CheckResult[] {
    const engine = this.engineAt(channel, sa)?.engine
    return this.run.report.engines.find((one) => one.sa === engine?.sa && one.channel === engine.channel)?.checks ?? []
  }

  /** What patterns of faults look at. */
  contextFor({ engine, phases }: EngineUse): FaultContext {
    const key = `${engine.channel}/${engine.sa}`
    const { recording, profile = NO_PROFILE } = this.run
    const known = this.#contexts.get(key)
    if (known !== undefined) return known
    const context = new FaultContext(recording, engine, phases, this.checksAt(engine.channel, engine.sa), profile)
    this.#contexts.set(key, context)
    return context
  }

  /** Whether a node reports its active faults in this run. */
  reports(channel: string, sa: number): boolean {
    return this.lastReport(channel, sa) !== null
  }

  /** Time of the last message of a node's list of active faults; null where it sends none. */
  lastReport(channel: string, sa: number): number | null {
    const times = this.run.recording.streams
      .filter((stream) => stream.pgn === DM1_PGN && this.#isOf(channel, sa, stream) && stream.count > 0)
      .map((stream) => stream.time(stream.count - 1))
    return times.length === 0 ? null : Math.max(...times)
  }

  /** Episodes in lists that are not of active faults. */
  listed(channel: string, sa: number, spn: number, state: Episode['state']): Episode[] {
    return this.run.recording.episodes.filter(
      (episode) => episode.spn === spn && episode.state === state && this.#isOf(channel, sa, episode),
    )
  }

  /** All active faults of one part of one node, whatever the failure mode. */
  faultsOf(channel: string, sa: number, spn: number): ActiveFault[] {
    return this.faults.filter((fault) => fault.spn === spn && this.#isOf(channel, sa, fault))
  }

  /**
   * Whether something is of one node, which may be one of the other run: of that address on the interface of
   * that name. Where this run does not hear the node there, its interfaces are named otherwise.
   */
  #isOf(channel: string, sa: number, one: { readonly channel: number | string; readonly sa: number }): boolean {
    if (one.sa !== sa) return false
    const own = typeof one.channel === 'number' ? this.run.recording.channels[one.channel] : one.channel
    return own === channel || !this.#heard.has(`${channel}/${sa}`)
  }

  /** What this run shows of a fault; the failure modes may be several. */
  sideOf(faults: readonly ActiveFault[]): FaultSide | null {
    const episodes = faults.flatMap((fault) => fault.episodes)
    if (episodes.length === 0) return null
    const counts = episodes.flatMap(({ occurrenceCounts }) => occurrenceCounts.flatMap(({ count }) => count ?? []))
    const unbroken = this.#unbroken(faults)
    const [fault] = faults as readonly [ActiveFault]
    const last = this.lastReport(fault.channel, fault.sa) ?? 0
    const first = Math.min(...episodes.map(({ firstSeen }) => firstSeen))
    return {
      fmis: [...new Set(faults.map(({ fmi }) => fmi))].sort((a, b) => a - b),
      episodes: episodes.length,
      first,
      active: episodes.reduce((sum, episode) => sum + endOf(episode) - episode.firstSeen, 0) / SECOND,
      count: counts.length === 0 ? null : Math.max(...counts),
      lamps: lampsOf(episodes),
      unbroken,
      persistent: unbroken && last - first > END,
    }
  }

  /** Without a break from its first appearance until the engine stopped, or the node listed no more. */
  #unbroken(faults: readonly ActiveFault[]): boolean {
    const [fault] = faults
    const [episode, second] = faults.flatMap(({ episodes }) => episodes)
    if (fault === undefined || episode === undefined || second !== undefined) return false
    const last = this.lastReport(fault.channel, fault.sa)
    const stopped = this.useFor(fault.channel, fault.sa)?.looks.findLast(({ use }) => use === 'running')?.time
    return last !== null && Math.min(last, stopped ?? last) - endOf(episode) <= END
  }
}

function lampsOf(episodes: readonly Episode[]): string[] {
  const lit = new Set<string>()
  for (const { lamps } of episodes) {
    for (const change of lamps) {
      for (const [name, lamp] of Object.entries(change.lamps)) if (lamp.state === 'on') lit.add(name)
    }
  }
  return [...lit].sort((a, b) => a.localeCompare(b, 'en'))
}
