/** The shape of a cause that explains several faults, or a trouble nobody reports: a row of data with the patterns that show it. */
import type { Span, Step } from '../../model.js'
import type { FaultContext } from '../context.js'
import type { ActiveFault } from '../finding.js'
import type { FaultClass, Kind } from '../knowledge/index.js'
import type { Sight } from '../sight.js'

/** Which faults are meant; what is not given is not looked at. */
export interface FaultMatch {
  readonly spns?: readonly number[]
  readonly kinds?: readonly Kind[]
  readonly classes?: readonly FaultClass[]
  /** Whose: the engine's own, or those of other nodes. */
  readonly of?: 'engine' | 'others'
}

/** Something that would show a cause, or rule it out. */
export interface Clue {
  /** Stable name of the pattern. */
  readonly pattern: string
  /** @param faults those the cause would explain, roots first */
  readonly look: (context: FaultContext, faults: readonly ActiveFault[]) => Sight | null
  /** What it means if the pattern is there, and if something else is there in its place. */
  readonly seen: 'for' | 'against' | null
  readonly absent: 'for' | 'against' | null
  /** How much it counts; 1 where not given. */
  readonly weight?: number
  /** At least one decisive clue must speak for the cause, or it is not called probable. */
  readonly decisive?: true
  /** It must speak for the cause, or it is not called probable, and not named where nobody reports anything. */
  readonly required?: true
  /** If it speaks against the cause, the cause is out. */
  readonly excludes?: true
}

/** One cause. */
export interface Hypothesis {
  readonly id: string
  readonly title: string
  /** Faults it may be the root of: without one it is considered only where {@link unreported} says so. */
  readonly roots: readonly FaultMatch[]
  /** Faults that may follow from it. */
  readonly follows: readonly FaultMatch[]
  /** Root faults it needs at least; 1 where not given. */
  readonly atLeast?: number
  /** When it acts: faults must begin inside, or at most {@link tail} seconds after. Where not given: while a root is active. */
  readonly windows?: (context: FaultContext, roots: readonly ActiveFault[]) => readonly Span[]
  /** Seconds; 3 where not given. */
  readonly tail?: number
  /** Whether it is looked for where no node reports a fault. */
  readonly unreported?: true
  /** Checks whose caution or fail it explains. */
  readonly checks: readonly string[]
  readonly clues: readonly Clue[]
  /** What to do, in order. */
  readonly steps: readonly Step[]
}

/** A clue whose being there speaks for a cause. */
export function forIt(pattern: string, look: Clue['look'], more: Partial<Clue> = {}): Clue {
  return { pattern, look, seen: 'for', absent: null, ...more }
}

/** A clue that speaks for a cause where it is there, and against it where it is not. */
export function eitherWay(pattern: string, look: Clue['look'], more: Partial<Clue> = {}): Clue {
  return { pattern, look, seen: 'for', absent: 'against', ...more }
}

/** A clue that speaks against a cause where it is there, and for it where it is not. */
export function otherwise(pattern: string, look: Clue['look'], more: Partial<Clue> = {}): Clue {
  return { pattern, look, seen: 'against', absent: 'for', ...more }
}

/** A clue that speaks only against. */
export function againstIt(pattern: string, look: Clue['look'], more: Partial<Clue> = {}): Clue {
  return { pattern, look, seen: 'against', absent: null, ...more }
}

/** Whether a fault is one of those meant. */
export function matches(context: FaultContext, fault: ActiveFault, { spns, kinds, classes, of }: FaultMatch): boolean {
  const isEngines = fault.sa === context.engine?.sa && fault.channel === context.engine.channel
  return (
    (of === undefined || (of === 'engine') === isEngines) &&
    (spns === undefined || spns.includes(fault.spn)) &&
    (kinds === undefined || kinds.includes(fault.component?.kind ?? 'unknown')) &&
    (classes === undefined || classes.includes(fault.class))
  )
}
