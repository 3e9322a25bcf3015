/**
 * What a comparison of two runs of one vehicle says, as data. `render.ts` shows it as text, HTML or
 * Markdown; as JSON it is the file format `firstcrank.comparison`, described in docs/formats.md. It
 * holds plain values only. Times are integer microseconds of the run they belong to; lengths of time
 * are seconds; a value that is not there is null.
 */
import type { Recording } from '@firstcrank/decoder'
import type { Unit } from '@firstcrank/decoder/catalog'
import type { Evidence, PhaseKind, SignalRef, Span, Verdict } from '../model.js'
import type { Profile } from '../profile.js'
import type { RecordingFacts, Report, Trace } from '../report.js'

export const COMPARISON_SCHEMA = 'firstcrank.comparison'
/** Grows when a program that reads comparisons of the version before would misread the new ones. */
export const COMPARISON_VERSION = 1

/** One run to be compared: opened with a summary, and what `analyse` made of it. */
export interface Run {
  readonly recording: Recording
  readonly report: Report
  /** What a person calls it, such as a file's name. */
  readonly title: string
  /** The profile it was analysed with. */
  readonly profile?: Profile
}

export type RunSide = 'before' | 'after'

/** Evidence, and in which of the two runs it can be opened. */
export interface RunEvidence extends Evidence {
  readonly run: RunSide
}

/** A condition under which a fault may come: a signal of its engine between two values, both included. */
export interface EnablingCondition {
  readonly spn: number
  readonly from: number
  readonly to: number
}

export interface CompareOptions {
  /** A person vouches that both runs are of one vehicle, where the bus cannot say. Default no. */
  readonly sameVehicle?: boolean
  /** Enabling conditions from the maker's text, in place of those read off the earlier run. */
  readonly enabling?: readonly EnablingCondition[]
}

export interface Comparison {
  readonly schema: typeof COMPARISON_SCHEMA
  readonly version: typeof COMPARISON_VERSION
  readonly before: RunFacts
  readonly after: RunFacts
  readonly vehicle: VehicleComparison
  /** The answer in a few sentences, the most important first. */
  readonly conclusion: readonly string[]
  readonly faults: readonly FaultComparison[]
  /** Commands to clear faults, seen in either run. */
  readonly clears: readonly ClearSeen[]
  /** How each run was used; one row for each engine that both have. */
  readonly exposure: readonly ExposureComparison[]
  readonly vitals: readonly VitalComparison[]
  readonly alignment: readonly AlignedEvent[]
  /** Vitals of both runs around the first of each aligned event. */
  readonly overlays: readonly Overlay[]
  /** What else is different between the runs. */
  readonly changes: readonly Change[]
}

export interface RunFacts {
  readonly title: string
  readonly recording: RecordingFacts
}

/** Whether both runs are of one vehicle, and how that is known. */
export interface VehicleComparison {
  /** `vouched`: the bus cannot say, a person does. */
  readonly same: 'same' | 'different' | 'unknown' | 'vouched'
  readonly text: string
  readonly identities: readonly IdentityComparison[]
}

/** One thing a node says of itself, in both runs. */
export interface IdentityComparison {
  readonly kind: 'vehicle' | 'component' | 'software' | 'calibration' | 'ecu' | 'name'
  readonly channel: string
  readonly sa: number
  readonly before: string | null
  readonly after: string | null
  readonly same: boolean | null
}

/** What became of a fault. */
export type FaultChange = 'gone' | 'still-there' | 'new' | 'changed' | 'not-comparable'

/** How far the later run proves a repair. */
export type Grade = 'proved' | 'supported' | 'not-proved' | 'not-tested' | 'came-back'

/** One fault of one node in both runs. */
export interface FaultComparison {
  readonly channel: string
  readonly sa: number
  readonly spn: number
  /** Of the earlier run, or of the later one where the fault is new. */
  readonly fmi: number
  readonly name: string
  readonly meaning: string
  readonly change: FaultChange
  /** Null of a new fault: nothing was to be repaired. */
  readonly grade: Grade | null
  /** The answer in plain words with its numbers. */
  readonly statement: string
  /** Why the grade is no better, and what else has to be known; one sentence each. */
  readonly reasons: readonly string[]
  readonly before: FaultSide | null
  readonly after: FaultSide | null
  readonly exposure: FaultExposure | null
  readonly statistics: FaultStatistics | null
  readonly evidence: readonly RunEvidence[]
}

/** What one run shows of a fault. */
export interface FaultSide {
  /** Failure modes listed; one, or several where the part reports more. */
  readonly fmis: readonly number[]
  readonly episodes: number
  /** Microseconds. */
  readonly first: number
  /** s */
  readonly active: number
  /** The node's own count, the highest; null where it gives none. */
  readonly count: number | null
  /** Lamps lit while it was active. */
  readonly lamps: readonly string[]
  /** There from its first appearance until the engine stopped, or the run ended, without a break. */
  readonly unbroken: boolean
  /** And long enough to say that it stays. */
  readonly persistent: boolean
}

/** Whether the later run gave a fault the chance to come. */
export interface FaultExposure {
  /** s of the earlier run in which it could have come: same use of the engine as when it was active. */
  readonly before: number
  /** s of the later run that are comparable with those: no operating cell counts for more than its share before. */
  readonly after: number
  /** Σ min(before, after) / Σ before over the cells in which it was active, time in the cells beside included; 0 to 1. */
  readonly coverage: number
  /** `not tested` below 0.5, `partial` to 0.8, else `comparable`. */
  readonly verdict: 'not-tested' | 'partial' | 'comparable'
  /** s of such use before it first came; and s of it in the later run. */
  readonly toFirst: number
  readonly reached: number
  /** How long the later run is in all: s running, of these above 1,150 rpm, and idling. */
  readonly run: { readonly running: number; readonly fast: number; readonly idling: number }
  /** Values at onset in the earlier run give or take a bin's width, or those a person gave; and s in all of them at once. */
  readonly enabling: readonly EnablingCondition[]
  readonly enabledBefore: number
  readonly enabledAfter: number
  /** Times it came in the earlier run, and of how many of them the later run had the conditions again; of conditions a person gave, 1. */
  readonly onsets: { readonly of: number; readonly again: number }
  /** Conditions of the earlier run that the later one never had, in words. */
  readonly notExercised: readonly string[]
}

/** What the counts prove. */
export interface FaultStatistics {
  readonly events: { readonly before: number; readonly after: number }
  readonly hours: { readonly before: number; readonly after: number }
  /** Chance to see so few after, if nothing changed; one-sided, exact. */
  readonly p: number
  /** Rate after divided by rate before, 95 %, Clopper–Pearson; `to` null where unbounded. */
  readonly ratio: { readonly from: number; readonly to: number | null }
  /** Events an hour that remain possible after none was seen, 95 %, one-sided; null where some were, or no time. */
  readonly perHour: number | null
  /** The same for each start: starts of the later run, and the chance in each that remains possible. */
  readonly starts: { readonly count: number; readonly chance: number } | null
  /** h in all, and h more than there are, that must pass without it before chance is unlikely; null where it came. */
  readonly needed: number | null
  readonly missing: number | null
}

/** A command to clear faults, or an answer to one. */
export interface ClearSeen extends RunEvidence {
  readonly sa: number
  readonly da: number
  /** 3, 11 or 22. */
  readonly dm: number
}

/** How one engine was used in both runs. */
export interface ExposureComparison {
  readonly channel: string
  readonly sa: number
  readonly before: Usage
  readonly after: Usage
  /** Σ min / Σ before over all cells of the earlier run. */
  readonly coverage: number
  /** What cells are made of here, and what was left out because a run does not have it. */
  readonly dimensions: readonly Dimension[]
  readonly missing: readonly Dimension[]
  readonly cells: readonly Cell[]
  /** Starts and stretches of running, where they are in each run. */
  readonly evidence: readonly RunEvidence[]
}

export type Dimension = 'speed' | 'load' | 'coolant'

export interface Usage {
  readonly keyCycles: number
  readonly coldStarts: number
  readonly hotStarts: number
  /** Neither cold nor hot, or nobody can tell. */
  readonly otherStarts: number
  /** s */
  readonly standing: number
  readonly cranking: number
  readonly running: number
  /** s above walking pace; null where no speed is sent. */
  readonly driving: number | null
}

/** One operating cell: from these values to the next bin; null where a dimension is left out or without a value. */
export interface Cell {
  readonly use: Use
  /** rpm, bins of 250 */
  readonly speed: number | null
  /** %, bins of 10 */
  readonly load: number | null
  /** °C, bins of 10 */
  readonly coolant: number | null
  /** s */
  readonly before: number
  readonly after: number
  readonly longest: CellPlaces
}

/** Where a cell can be seen: the longest stay in it, in each run; null where there is none. */
export type CellPlaces = Readonly<Record<RunSide, Span | null>>

/** What the engine is used for, as far as a fault cares. */
export type Use = 'standing' | 'cranking' | 'running'

/** One vital in one phase, both runs in the same operating cells. */
export interface VitalComparison {
  readonly id: string
  readonly title: string
  readonly unit: Unit
  readonly phase: PhaseKind
  /** Means over the cells both runs have, each cell with the same weight in both. */
  readonly before: number
  readonly after: number
  /** After minus before. */
  readonly difference: number
  /** 95 % */
  readonly interval: { readonly from: number; readonly to: number }
  /** Whether the difference is one that counts: more than {@link limit} for sure, perhaps, or not. */
  readonly matters: 'yes' | 'perhaps' | 'no'
  readonly limit: { readonly value: number; readonly source: string }
  /** What around the vehicle may explain it; null where nothing is known to. */
  readonly because: string | null
  /** The cells it rests on. */
  readonly cells: readonly VitalCell[]
  readonly evidence: readonly RunEvidence[]
}

export interface VitalCell {
  readonly speed: number | null
  readonly load: number | null
  readonly coolant: number | null
  readonly before: number
  readonly after: number
  readonly interval: { readonly from: number; readonly to: number }
  readonly longest: CellPlaces
}

/** The same event in both runs: lay them over one another with this offset. */
export interface AlignedEvent {
  readonly event: 'key-on' | 'first-crank' | 'engine-start'
  readonly sa: number
  /** Which of its kind, from 1. */
  readonly number: number
  readonly before: number
  readonly after: number
  /** µs to add to times of the earlier run. */
  readonly offset: number
}

/** Both runs around one event. Times are microseconds from the event, which is at 0 in both. */
export interface Overlay extends Span {
  readonly event: AlignedEvent
  readonly title: string
  readonly plots: readonly OverlayPlot[]
}

/** One signal in both runs, in equal columns of time from the overlay's `from` to its `to`. */
export interface OverlayPlot {
  readonly title: string
  readonly unit: Unit
  readonly traces: readonly [before: Trace, after: Trace]
}

/** Something else that is different. */
export interface Change {
  readonly kind: 'check' | 'identity' | 'node' | 'surroundings' | 'count'
  readonly text: string
  /** Of a check, its name and verdicts. */
  readonly check?: { readonly id: string; readonly before: Verdict; readonly after: Verdict }
  readonly evidence: readonly RunEvidence[]
}

/** A piece of evidence in one run. */
export function evidenceIn(
  run: RunSide,
  text: string,
  from: number,
  to: number,
  signals: readonly (SignalRef | undefined)[] = [],
): RunEvidence {
  return { run, text, from, to, signals: signals.filter((signal) => signal !== undefined) }
}
