/** A story to be simulated: where, how broken, what the driver does, and what a technician should find. */
import type { DriverScript } from './driver/script.js'
import type { Hardware, SensorCondition, SensorName } from './hardware.js'

/** Circumstances under which an intermittent failure shows. */
export type Exposure = 'always' | 'vibration' | 'cornering' | 'tip-in' | 'running'

/** When a failure shows itself. */
export interface Pattern {
  /** s since key-on at which it begins; the first time its exposure holds after that. 0 where not given. */
  readonly from?: number
  /** s at which it ends for good. */
  readonly until?: number
  /** It shows only while this holds. */
  readonly during?: Exposure
  /** It comes and goes: s of each appearance, and s of rest before the next may come. */
  readonly on?: readonly [number, number]
  readonly off?: readonly [number, number]
  /** At most so many appearances. */
  readonly times?: number
}

/** One thing that is wrong. */
export interface Failure {
  /** What, in workshop words. */
  readonly component: string
  /** In which way. */
  readonly kind: string
  readonly pattern?: Pattern
  readonly hardware?: Partial<Hardware>
  readonly sensors?: Partial<Record<SensorName, Partial<SensorCondition>>>
}

/** A fault some node is expected to report. */
export interface ExpectedFault {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  /** It belongs to the root cause; the others follow from it. */
  readonly root: boolean
}

export interface Scenario {
  readonly name: string
  readonly title: string
  /** What happened, and what the recording shows. */
  readonly story: string
  /** What a good technician concludes. */
  readonly diagnosis: string
  /** Short name of the root cause; `none` where nothing is wrong. */
  readonly cause: string
  /** Instant of key-on, UTC. */
  readonly start: string
  /** °C outside, and of coolant and oil where they are warmer. */
  readonly ambient: number
  readonly engine?: number
  /** m; the station's height where not given. */
  readonly altitude?: number
  readonly script: DriverScript
  readonly failures: readonly Failure[]
  readonly expected: readonly ExpectedFault[]
  /** The gauge's address, where it is set wrongly. */
  readonly gaugeAddress?: number
  /** Faults the engine's memory holds from before the recording. */
  readonly stored?: readonly { readonly spn: number; readonly fmi: number; readonly count: number }[]
  /** Stretches the recorder missed, s since key-on. */
  readonly holes?: readonly (readonly [number, number])[]
  readonly errorFrames?: boolean
}
