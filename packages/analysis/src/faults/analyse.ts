/** From the faults of a recording to their probable causes. */
import type { Recording } from '@firstcrank/decoder'
import { type EngineView, findEngines } from '../engine-view.js'
import type { CheckResult, FaultGroup, Phase } from '../model.js'
import { NO_PROFILE, type Profile } from '../profile.js'
import { FaultContext } from './context.js'
import type { ActiveFault } from './finding.js'
import { groupFaults } from './grouping.js'

/**
 * Groups the active faults of one engine by probable root, with ranked causes, evidence and steps; and
 * names troubles that no controller reports. Faults of nodes that are no engine go with the first
 * engine, so that asking once for each engine tells every fault once.
 *
 * @param engine undefined where the bus has none: then the faults of all nodes
 * @param phases of that engine, see `findPhases`
 * @param checks of that engine; their cautions and fails are tied to the causes that explain them
 */
export function analyseFaults(
  recording: Recording,
  engine: EngineView | undefined,
  phases: readonly Phase[],
  checks: readonly CheckResult[] = [],
  profile: Profile = NO_PROFILE,
): FaultGroup[] {
  const engines = findEngines(recording)
  const isFirst = engine === undefined || engines[0] === undefined || isSame(engine, engines[0])
  const isMine = (fault: ActiveFault): boolean => {
    const owner = engines.find((other) => isSame(other, fault))
    return owner === undefined ? isFirst : engine !== undefined && isSame(owner, engine)
  }
  return groupFaults(new FaultContext(recording, engine, phases, checks, profile, isMine))
}

function isSame(
  a: { readonly channel: string; readonly sa: number },
  b: { readonly channel: string; readonly sa: number },
): boolean {
  return a.channel === b.channel && a.sa === b.sa
}
