/**
 * What a check is: everything about it that is no computation, as one object of a table, and a small
 * function that computes. The engine of all checks is in `index.ts`.
 */
import type { CautionId } from '../cautions.js'
import type { LimitId } from '../limits.js'
import type { Evidence, Measure, Verdict } from '../model.js'
import type { CheckContext } from './context.js'

/** What a check found. */
export interface Judged {
  readonly verdict: Exclude<Verdict, 'not-judged'>
  /** Null where what was found is no number. */
  readonly measured: Measure | null
  readonly finding: string
  readonly evidence: readonly Evidence[]
  /** Where the table's advice does not fit what was found. */
  readonly advice?: string
  /** Beyond those of the table. */
  readonly cautions?: readonly CautionId[]
}

/** Why a check could not judge: a sentence without its "Not judged". */
export interface NotJudged {
  readonly verdict: 'not-judged'
  readonly reason: string
  /** What there is to see all the same. */
  readonly evidence?: readonly Evidence[]
  readonly measured?: Measure
}

/** What comes of a check. */
export type Outcome = Judged | NotJudged

/** One acceptance test. */
export interface CheckDefinition {
  /** Stable name. */
  readonly id: string
  readonly title: string
  /** What a pass proves, in one sentence. */
  readonly proves: string
  /** SPNs it cannot do without: each entry is one of several that will do. */
  readonly needs: readonly (readonly number[])[]
  /** It tests a sensor, so that a fault of the sensor's circuit is no reason not to look at its values. */
  readonly ofSensor?: true
  /** What of the engine it is about; where a profile says that it is not fitted, there is nothing to judge. */
  readonly fitted?: 'pedal' | 'egr' | 'turbocharger' | 'airMassSensor' | 'intakeHeater' | 'alternator'
  /** When it can judge, in plain words. */
  readonly enabling: string
  /** What it computes, in plain words. */
  readonly computes: string
  readonly limits: readonly LimitId[]
  /** What to use where it cannot judge. */
  readonly otherwise: string
  /** What to do about it. */
  readonly advice: { readonly pass: string; readonly caution: string; readonly fail: string }
  /** Shown with every result that is no pass. */
  readonly cautions: readonly CautionId[]
  readonly judge: (context: CheckContext) => Outcome
}

/** A check that could not be made. */
export function notJudged(reason: string, more: Omit<NotJudged, 'verdict' | 'reason'> = {}): NotJudged {
  return { verdict: 'not-judged', reason, ...more }
}
