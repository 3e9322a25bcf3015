/** The shape of what is known about parts: who they are, how they are wired, what to do first. */
import type { Unit } from '@firstcrank/decoder/catalog'
import { type CautionId, turningCautions } from '../../cautions.js'
import type { Step } from '../../model.js'

/** How a part is wired and how it fails: one row of `kinds.ts` each. */
export type Kind =
  | 'thermistor'
  | 'exhaust-probe'
  | 'pressure-sensor'
  | 'position-sensor'
  | 'pedal'
  | 'air-mass'
  | 'pickup'
  | 'switch'
  | 'driver'
  | 'heater'
  | 'injector'
  | 'actuator'
  | 'smart-sensor'
  | 'supply'
  | 'sensor-supply'
  | 'network'
  | 'controller'
  | 'estimate'
  | 'unknown'

/** What a failure mode says, the thirty-two of them in thirteen classes: see `failure-modes.ts`. */
export type FaultClass =
  | 'high'
  | 'low'
  | 'implausible'
  | 'volts-high'
  | 'volts-low'
  | 'open'
  | 'overcurrent'
  | 'no-response'
  | 'pulses'
  | 'late'
  | 'invalid'
  | 'calibration'
  | 'unspecific'

/** A figure a meter or the bus should show, and who says so. */
export interface Figure {
  readonly text: string
  /** A published source by name, `common practice` or `from memory`. */
  readonly source: string
}

/** From where on a reading is outside what is usual: where controllers commonly warn. */
export interface UsualLimit {
  readonly value: number
  readonly unit: Unit
  readonly source: string
}

/** One part, under all SPNs that stand for it. */
export interface Component {
  readonly spns: readonly number[]
  /** What a mechanic calls it, without article. */
  readonly part: string
  readonly kind: Kind
  /** What it is and what it does, in a sentence. */
  readonly about: string
  /** SPNs that read much the same in some condition, and in which. */
  readonly siblings?: readonly { readonly spns: readonly number[]; readonly when: Agreement }[]
  readonly high?: UsualLimit
  readonly low?: UsualLimit
  readonly figures?: readonly Figure[]
  /** What to do before the steps every part of its kind has; `any` for all classes not listed. */
  readonly first?: Partial<Record<FaultClass | 'any', readonly Step[]>>
  readonly cautions?: readonly CautionId[]
}

/** When siblings agree: after standing cold, with the engine at rest, or at all times. */
export type Agreement = 'cold' | 'at-rest' | 'always'

type KeyState = Step['key']

/** One thing to do. Where the engine turns, the cautions for that come with it. */
export function step(key: KeyState, tool: string | null, text: string, ...cautions: CautionId[]): Step {
  return { text, key, tool, cautions: [...new Set([...cautions, ...turningCautions(key)])] }
}

export const METER = 'multimeter'
export const CLAMP = 'current clamp'
export const MECHANICAL_GAUGE = 'mechanical gauge'
export const INFRARED = 'infrared thermometer'
export const THIS_PROGRAM = 'a new recording'

/** Common practice: no published source was found. */
export const PRACTICE = 'common practice'
export const MEMORY = 'from memory'
