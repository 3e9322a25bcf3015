/** What a recording really holds: for tests, and for scoring whoever judges the recording. */
import type { ExpectedFault, Scenario } from './scenario.js'

/** Words of the run's phases, as everywhere in this project. */
export type PhaseName = 'key-on' | 'preheat' | 'cranking' | 'run-up' | 'idle' | 'load' | 'shutdown' | 'after-run'

/** Times are seconds since key-on. */
export interface TruePhase {
  readonly phase: PhaseName
  readonly from: number
  readonly to: number
}

/** Something that was made to be wrong. */
export interface InjectedFailure {
  readonly component: string
  readonly kind: string
  /** First appearance; null where the recording ended before it. */
  readonly onset: number | null
  readonly appearances: readonly { readonly from: number; readonly to: number | null }[]
}

/** A fault a node really had, by its own memory. */
export interface TrueEpisode {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly from: number
  /** Null where it was still active at the end. */
  readonly to: number | null
}

export interface Truth {
  readonly version: 1
  readonly scenario: string
  readonly title: string
  readonly seed: number
  /** Key-on, UTC, and µs since the epoch. */
  readonly start: string
  readonly startMicros: number
  /** s from key-on to the last frame. */
  readonly duration: number
  readonly frames: number
  readonly surroundings: {
    readonly ambient: number
    readonly altitude: number
    readonly pressure: number
    readonly coolant: number
  }
  readonly injected: readonly InjectedFailure[]
  readonly phases: readonly TruePhase[]
  readonly expectedFaults: readonly ExpectedFault[]
  readonly episodes: readonly TrueEpisode[]
  /** Times each node reset for want of volts. */
  readonly resets: readonly { readonly sa: number; readonly count: number }[]
  readonly rootCause: string
  readonly diagnosis: string
}

/** The part of a truth that the scenario alone decides. */
export type ScenarioTruth = Pick<
  Truth,
  'scenario' | 'title' | 'start' | 'startMicros' | 'expectedFaults' | 'rootCause' | 'diagnosis'
>

export function scenarioTruth(scenario: Scenario): ScenarioTruth {
  return {
    scenario: scenario.name,
    title: scenario.title,
    start: scenario.start,
    startMicros: Date.parse(scenario.start) * 1000,
    expectedFaults: scenario.expected,
    rootCause: scenario.cause,
    diagnosis: scenario.diagnosis,
  }
}
