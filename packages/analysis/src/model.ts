/**
 * What an analysis says, as data: every statement with the place in the recording that a person can
 * open to see it. All times are integer microseconds; all limits carry their source and owner.
 */
import type { Episode } from '@firstcrank/decoder'
import type { Unit } from '@firstcrank/decoder/catalog'

/** Which signal: enough to find it again in the recording. */
export interface SignalRef {
  /** Name of the interface. */
  readonly channel: string
  readonly sa: number
  readonly pgn: number
  readonly spn: number
  readonly instance?: number
}

/** A stretch of time, both ends included. */
export interface Span {
  readonly from: number
  readonly to: number
}

/** What was seen, and where. */
export interface Evidence extends Span {
  /** One plain sentence with its numbers and units. */
  readonly text: string
  /** What to plot to see it. */
  readonly signals: readonly SignalRef[]
}

/** A number with its unit, and how far the true one may lie from it. */
export interface Measure {
  readonly value: number
  readonly unit: Unit
  /** From resolution and message period; null where it cannot be said. */
  readonly uncertainty: number | null
  /** Of a rate, what it is for each of: 5 °C `min` is five degrees a minute. */
  readonly per?: Per
  /** A difference of two values: in another unit it has another size, but no offset. */
  readonly difference?: true
}

/** What a rate is for each of. */
export type Per = 'min' | '1,000 rpm' | 'L of engine'

/** Who says a limit: a published source by name, `common practice`, `from memory`. */
export interface Limit {
  /** Stable name, such as `rest-voltage.pass-from`; a profile overrides it by this name. */
  readonly id: string
  readonly value: number
  readonly unit: Unit
  readonly source: string
  /** Who set it: our default, or the profile with its title. */
  readonly owner: 'default' | { readonly profile: string }
  /** As in {@link Measure}. */
  readonly per?: Per
  readonly difference?: true
}

/** What the engine was doing. */
export type PhaseKind =
  | 'key-on'
  | 'preheat'
  | 'cranking'
  | 'run-up'
  | 'idle-settle'
  | 'warm-idle'
  | 'idle'
  | 'load'
  | 'shutdown'
  | 'stall'
  | 'after-run'
  | 'unknown'

/** A stretch in which the engine was doing one thing. */
export interface Phase extends Span {
  readonly kind: PhaseKind
  /** `reported` by the controller's own state; `inferred` from other signals; `probable` from weak ones. */
  readonly basis: 'reported' | 'inferred' | 'probable'
  /** Neither end is known finer than this, in microseconds: the period of the messages it rests on. */
  readonly resolution: number
  /** Of cranking: which attempt since the key was turned on, from 1, and whether the engine started. */
  readonly attempt?: { readonly number: number; readonly started: boolean }
  /** Key cycle, from 1. */
  readonly cycle: number
  readonly why: string
}

export type Verdict = 'pass' | 'caution' | 'fail' | 'not-judged'

/** One acceptance test and what came of it. */
export interface CheckResult {
  /** Stable name, such as `oil-pressure-rise`. */
  readonly id: string
  readonly title: string
  /** What a pass proves, in one sentence. */
  readonly proves: string
  readonly verdict: Verdict
  readonly measured: Measure | null
  readonly limits: readonly Limit[]
  readonly evidence: readonly Evidence[]
  /** One sentence: what was found, or why it was not judged. */
  readonly finding: string
  /** What to do next; of a check not judged, the instrument to use instead. */
  readonly advice: string
  /** Names of cautions to show with it, see `cautions.ts`. */
  readonly cautions: readonly string[]
}

/** Something that speaks for or against a cause. */
export interface Fact extends Evidence {
  /** Stable name of the pattern, such as `value-pinned`. */
  readonly pattern: string
}

/** One thing to do, in order. */
export interface Step {
  readonly text: string
  readonly key: 'off' | 'on' | 'cranking' | 'running' | 'any'
  /** What to use, such as a meter; null where hands and eyes do. */
  readonly tool: string | null
  readonly cautions: readonly string[]
}

/** What may be behind one or several faults. */
export interface Cause {
  /** Stable name, such as `sensor-supply-short`. */
  readonly id: string
  readonly title: string
  /** `probable`: the evidence points here. `possible`: it fits. `unsupported`: nothing in the recording shows it. */
  readonly confidence: 'probable' | 'possible' | 'unsupported'
  /** Share of the facts it could have that are there: n of m. */
  readonly supported: { readonly facts: number; readonly of: number }
  readonly supports: readonly Fact[]
  readonly contradicts: readonly Fact[]
  readonly steps: readonly Step[]
}

/** The moment a fault was first seen. */
export interface Onset {
  readonly time: number
  /** What the engine was doing; null where no engine is known. */
  readonly phase: PhaseKind | null
  /** Supply voltage in force then; null where nobody sends it. */
  readonly volts: Measure | null
}

/** One fault in plain words. */
export interface FaultFinding {
  readonly episodes: readonly Episode[]
  readonly channel: string
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  /** Name of the SPN, its number where nobody knows it; meaning of the FMI. */
  readonly name: string
  readonly meaning: string
  /** What the part is and does, in a sentence; null where it is not known here. */
  readonly about: string | null
  readonly onset: Onset
  /** What the bus shows for and against the controller's claim. */
  readonly supports: readonly Fact[]
  readonly contradicts: readonly Fact[]
  /** Another fault of this analysis that this one probably follows from; null for a root, and where the root itself is not reported. */
  readonly follows: { readonly spn: number; readonly fmi: number } | null
}

/** Faults that share one probable root, or a trouble that no controller has reported. */
export interface FaultGroup extends Span {
  /** Empty where no controller reports a fault: then what was measured, or {@link checks}, raised it. */
  readonly faults: readonly FaultFinding[]
  /** Names of checks with a caution or a fail that the same causes explain. */
  readonly checks: readonly string[]
  /** Best first; never empty. */
  readonly causes: readonly Cause[]
}
