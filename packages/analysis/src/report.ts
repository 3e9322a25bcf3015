/**
 * The report on one recording: all that a person is told, as data. `render/` shows it as text, HTML or
 * Markdown; as JSON it is the file format `firstcrank.report`, described in docs/formats.md. It holds
 * plain values only. Times are integer microseconds; a value that is not there is null.
 */
import type { Unit } from '@firstcrank/decoder/catalog'
import type { Caution } from './cautions.js'
import type { GaugeView } from './gauge.js'
import type { Cause, CheckResult, Evidence, FaultGroup, Limit, Phase, SignalRef, Span, Step, Verdict } from './model.js'

export const REPORT_SCHEMA = 'firstcrank.report'
/** Grows when a program that reads reports of the version before would misread the new ones. */
export const REPORT_VERSION = 1

export interface Report {
  readonly schema: typeof REPORT_SCHEMA
  readonly version: typeof REPORT_VERSION
  readonly recording: RecordingFacts
  /** Whose limits were used beside the defaults; null where no profile was given. */
  readonly profile: { readonly title: string } | null
  readonly conclusion: Conclusion
  /** What is wrong or doubtful, the most urgent first. Empty where nothing was found. */
  readonly findings: readonly Finding[]
  /** What to do, in order; the steps of the findings without repeats. */
  readonly next: readonly NextStep[]
  readonly engines: readonly EngineReport[]
  /** What the bus itself was like. */
  readonly bus: readonly CheckResult[]
  readonly faults: readonly FaultGroup[]
  readonly gauge: readonly GaugeView[]
  /** What the bus cannot show and a person has to look at. */
  readonly manual: readonly ManualCheck[]
  /** Every caution named anywhere in the report. */
  readonly cautions: readonly Caution[]
  /** Every limit something was judged by, with its source and owner. */
  readonly limits: readonly Limit[]
}

/** What was recorded. */
export interface RecordingFacts extends Span {
  /** What the caller calls it, such as a file name; null where it has no name. */
  readonly name: string | null
  /** Whether times count from 1970; else from the log's own zero. */
  readonly dated: boolean
  readonly channels: readonly string[]
  readonly frames: number
  /** Lines that could not be read. */
  readonly malformed: number
  /** What is wrong with the log itself, in a sentence: empty, no log, cut short. Null where nothing is. */
  readonly damage: string | null
  readonly nodes: readonly NodeFacts[]
}

/** One source address. */
export interface NodeFacts {
  readonly channel: string
  readonly sa: number
  /** What sits there, by its NAME or its preferred address. */
  readonly title: string
  readonly frames: number
}

/** The verdict, and the four questions it answers. */
export interface Conclusion {
  readonly level: 'fail' | 'caution' | 'none-found' | 'nothing-judged'
  /** One sentence, with how much could be judged. */
  readonly verdict: string
  /** The verdict without what it rests on. */
  readonly headline: string
  /** The rest of the verdict: how many faults and checks it rests on; null where the headline says it all. */
  readonly basis: string | null
  readonly counts: Readonly<Record<Verdict, number>>
  /** Faults nodes listed as active while it was recorded. */
  readonly faults: number
  /** Was the first start good? What is wrong? What do I check first? What could not be judged? */
  readonly answers: readonly Answer[]
}

export interface Answer {
  readonly id: 'start' | 'wrong' | 'first' | 'open'
  readonly question: string
  readonly answer: string
}

/** How soon something has to be looked at. */
export type Urgency = 'stop' | 'fail' | 'caution'

/** One thing that is wrong or doubtful: a cause of faults, or checks that did not pass. */
export interface Finding {
  /** Name of the cause or of the check it comes from. */
  readonly id: string
  readonly kind: 'cause' | 'check' | 'bus'
  readonly urgency: Urgency
  readonly title: string
  /** How sure a cause is; null of checks. */
  readonly confidence: Cause['confidence'] | null
  /** Why it is said, in a sentence or two. */
  readonly text: string
  /** Source address of the engine or of the node it is about; null of the bus as a whole. */
  readonly sa: number | null
  /** First and last moment it shows; null where that cannot be said. */
  readonly span: Span | null
  /** What speaks for it, and what against. */
  readonly evidence: readonly Evidence[]
  readonly against: readonly Evidence[]
  readonly steps: readonly Step[]
  readonly cautions: readonly string[]
  /** Faults it explains. */
  readonly faults: readonly { readonly sa: number; readonly spn: number; readonly fmi: number }[]
  /** Checks that show the same. */
  readonly checks: readonly string[]
}

/** One thing to do, and for which finding; null for what is to be done in any case. */
export interface NextStep extends Step {
  readonly finding: string | null
}

/** What is said of one engine. */
export interface EngineReport {
  readonly channel: string
  readonly sa: number
  readonly title: string
  readonly phases: readonly Phase[]
  readonly checks: readonly CheckResult[]
  readonly figures: readonly Figure[]
}

/** A picture: several plots over one stretch of time. */
export interface Figure extends Span {
  readonly id: 'start' | 'run'
  readonly title: string
  readonly phases: readonly Phase[]
  readonly lanes: readonly FaultLane[]
  readonly plots: readonly Plot[]
  /** Vitals that cannot be drawn, and why. */
  readonly missing: readonly string[]
}

/** When a fault was active. */
export interface FaultLane {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly name: string
  readonly spans: readonly Span[]
}

/** One or more signals of one unit over the stretch of its figure. */
export interface Plot {
  readonly title: string
  readonly unit: Unit
  readonly traces: readonly Trace[]
  /** Limits where they were applied. */
  readonly limits: readonly (Span & { readonly limit: Limit; readonly check: string })[]
}

/** A signal in equal columns of time: least and greatest value of each, null where it has none. */
export interface Trace {
  readonly name: string
  readonly signal: SignalRef
  /** How long a value is in force, in microseconds: a line across a longer silence would be an invention. */
  readonly hold: number
  readonly least: readonly (number | null)[]
  readonly greatest: readonly (number | null)[]
}

/** When in the work something is looked at. */
export type ManualStage = 'before' | 'cranking' | 'running' | 'stopped' | 'road' | 'hand-over'

/** Something the bus cannot show. */
export interface ManualCheck {
  readonly id: string
  readonly stage: ManualStage
  readonly text: string
  /** What to use; null where hands and eyes do. */
  readonly tool: string | null
  readonly cautions: readonly string[]
  /** Findings and checks of this report that make it the more needed; may be empty. */
  readonly because: readonly string[]
}
