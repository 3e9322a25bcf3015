/** One run made ready to be compared: its engines, their use, its faults with their contexts. */
import type { Episode } from '@firstcrank/decoder'
import { findEngines } from '../engine-view.js'
import { FaultContext } from '../faults/context.js'
import { type ActiveFault, activeFaults, endOf } from '../faults/finding.js'
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

  constructor(run: Run, which: RunSide) {
    this.run = run
    this.which = which
    this.uses = findEngines(run.recording).map((engine): EngineUse => {
      const { phases = [] } =
        run.report.engines.find(({ channel, sa }) => channel === engine.channel && sa === engine.sa) ?? {}
      return { engine, phases, looks: looksOf(engine, phases) }
    })
    this.faults = activeFaults(run.recording)
  }

  /** The engine at an address; for a node that is none, the first engine. */
  useFor(channel: string, sa: number): EngineUse | undefined {
    return (
      this.uses.find(({ engine }) => engine.sa === sa && engine.channel === channel) ??
      this.uses.find(({ engine }) => engine.sa === sa) ??
      this.uses[0]
    )
  }

  /** What patterns of faults look at. */
  contextFor({ engine, phases }: EngineUse): FaultContext {
    const key = `${engine.channel}/${engine.sa}`
    const { recording, report, profile = NO_PROFILE } = this.run
    const known = this.#contexts.get(key)
    if (known !== undefined) return known
    const checks = report.engines.flatMap((other) => (other.sa === engine.sa ? other.checks : []))
    const context = new FaultContext(recording, engine, phases, checks, profile)
    this.#contexts.set(key, context)
    return context
  }

  /** Whether a node reports its active faults in this run. */
  reports(sa: number): boolean {
    return this.run.recording.streams.some((stream) => stream.pgn === DM1_PGN && stream.sa === sa)
  }

  /** Time of the last message of a node's list of active faults; null where it sends none. */
  lastReport(sa: number): number | null {
    const times = this.run.recording.streams
      .filter((stream) => stream.pgn === DM1_PGN && stream.sa === sa && stream.count > 0)
      .map((stream) => stream.time(stream.count - 1))
    return times.length === 0 ? null : Math.max(...times)
  }

  /** Episodes in lists that are not of active faults. */
  listed(sa: number, spn: number, state: Episode['state']): Episode[] {
    return this.run.recording.episodes.filter(
      (episode) => episode.sa === sa && episode.spn === spn && episode.state === state,
    )
  }

  /** All active faults of one part of one node, whatever the failure mode. */
  faultsOf(sa: number, spn: number): ActiveFault[] {
    return this.faults.filter((fault) => fault.sa === sa && fault.spn === spn)
  }

  /** What this run shows of a fault; the failure modes may be several. */
  sideOf(faults: readonly ActiveFault[]): FaultSide | null {
    const episodes = faults.flatMap((fault) => fault.episodes)
    if (episodes.length === 0) return null
    const counts = episodes.flatMap(({ occurrenceCounts }) => occurrenceCounts.flatMap(({ count }) => count ?? []))
    const unbroken = this.#unbroken(faults)
    const last = this.lastReport((faults[0] as ActiveFault).sa) ?? 0
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
    const last = this.lastReport(fault.sa)
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
