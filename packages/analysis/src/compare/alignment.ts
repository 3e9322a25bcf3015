/** The same events in two runs, so that one can be laid over the other. */
import type { Phase } from '../model.js'
import type { AlignedEvent } from './comparison.js'
import type { EngineUse } from './exposure.js'

type EventKind = AlignedEvent['event']

/** Times of each kind of event, in order. */
function eventsOf(phases: readonly Phase[]): Readonly<Record<EventKind, readonly number[]>> {
  const known = phases.filter(({ kind }) => kind !== 'unknown' && kind !== 'after-run')
  const cycles = [...new Set(known.map(({ cycle }) => cycle))]
  const first = (cycle: number, kind: Phase['kind']): number[] => {
    const phase = known.find((candidate) => candidate.cycle === cycle && candidate.kind === kind)
    return phase === undefined ? [] : [phase.from]
  }
  return {
    // A recording that begins with a running engine holds no key-on.
    'key-on': cycles.flatMap((cycle) => {
      const phase = known.find((candidate) => candidate.cycle === cycle)
      return phase?.kind === 'key-on' || phase?.kind === 'preheat' ? [phase.from] : []
    }),
    'first-crank': cycles.flatMap((cycle) => first(cycle, 'cranking')),
    'engine-start': cycles.flatMap((cycle) => first(cycle, 'run-up')),
  }
}

/** Events both runs have, the first with the first and so on. */
export function alignEvents(before: EngineUse, after: EngineUse): AlignedEvent[] {
  const a = eventsOf(before.phases)
  const b = eventsOf(after.phases)
  return (Object.keys(a) as EventKind[]).flatMap((event) =>
    a[event].flatMap((was, index): AlignedEvent[] => {
      const is = b[event][index]
      if (is === undefined) return []
      return [{ event, sa: before.engine.sa, number: index + 1, before: was, after: is, offset: is - was }]
    }),
  )
}
