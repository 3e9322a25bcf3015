/** Any diagnostic message of SAE J1939-73, taken apart. Nothing a payload holds makes it throw. */
import type { Message } from '../bus/message.js'
import { REQUEST_PGN } from '../bus/nodes.js'
import { type Clear, decodeClear, decodeIndividualClear, type IndividualClear, requestedPgn } from './clears.js'
import type { OldConversion } from './dtc.js'
import { decodeFaultList, type FaultList, type FaultListSource } from './fault-list.js'
import {
  decodeExpandedFreezeFrames,
  decodeFreezeFrames,
  type ExpandedFreezeFrames,
  type FreezeFrames,
} from './freeze-frame.js'
import { type DiagnosticGroup, type DiagnosticKind, diagnosticGroup } from './groups.js'
import {
  type Calibrations,
  decodeCalibrations,
  decodeFaultCounts,
  decodeMonitorRatios,
  decodeSpnSupport,
  decodeStopStartBroadcast,
  type FaultCounts,
  type MonitorRatios,
  type SpnSupport,
  type StopStartBroadcast,
  type SupportedSpn,
} from './monitors.js'
import type { DiagnosticProblem } from './problem.js'
import {
  decodeReadiness1,
  decodeReadiness2,
  decodeReadiness3,
  type Readiness1,
  type Readiness2,
  type Readiness3,
} from './readiness.js'

/** A diagnostic message that is known by name only. */
export interface OtherDiagnostic {
  readonly kind: 'other'
  readonly dm: number
  readonly purpose: string
  /** A copy; it may be kept. */
  readonly payload: Uint8Array
  readonly problems: readonly DiagnosticProblem[]
}

/** A diagnostic message; `kind` says which, `dm` its number, `problems` what was wrong with it. */
export type DiagnosticMessage =
  | FaultList
  | Clear
  | IndividualClear
  | FreezeFrames
  | ExpandedFreezeFrames
  | Readiness1
  | Readiness2
  | Readiness3
  | StopStartBroadcast
  | Calibrations
  | MonitorRatios
  | SpnSupport
  | FaultCounts
  | OtherDiagnostic

/** What somebody knows about a node that its messages do not say. */
export interface DiagnosticOptions {
  /** How a node lays out SPNs where the conversion method bit is 1. */
  readonly conversion?: (channel: number, sa: number) => OldConversion | undefined
  /** What a node listed in its DM24, for reading its DM25. */
  readonly supported?: (channel: number, sa: number) => readonly SupportedSpn[] | undefined
}

type Decode = (message: Message, group: DiagnosticGroup, options: DiagnosticOptions) => DiagnosticMessage

const conversionOf = (message: Message, options: DiagnosticOptions) => options.conversion?.(message.channel, message.sa)

const readClear = ({ dm }: DiagnosticGroup, form: Clear['form'], payload: Uint8Array) =>
  decodeClear(dm === 3 ? 3 : 11, form, payload)

/** One reader for each kind of {@link DIAGNOSTIC_GROUPS}. */
const DECODERS: Readonly<Record<DiagnosticKind, Decode>> = {
  'fault-list': (message, { dm }, options) =>
    decodeFaultList(`DM${dm}` as FaultListSource, message.payload, conversionOf(message, options)),
  clear: (message, group) => readClear(group, 'group', message.payload),
  'individual-clear': ({ payload }) => decodeIndividualClear(payload),
  'freeze-frames': (message, _group, options) => decodeFreezeFrames(message.payload, conversionOf(message, options)),
  'expanded-freeze-frames': (message, _group, options) =>
    decodeExpandedFreezeFrames(
      message.payload,
      conversionOf(message, options),
      options.supported?.(message.channel, message.sa),
    ),
  'readiness-1': ({ payload }) => decodeReadiness1(payload),
  'readiness-2': ({ payload }) => decodeReadiness2(payload),
  'readiness-3': ({ payload }) => decodeReadiness3(payload),
  'stop-start-broadcast': ({ payload }) => decodeStopStartBroadcast(payload),
  calibrations: ({ payload }) => decodeCalibrations(payload),
  'monitor-ratios': ({ payload }) => decodeMonitorRatios(payload),
  'spn-support': ({ payload }) => decodeSpnSupport(payload),
  'fault-counts': ({ payload }) => decodeFaultCounts(payload),
  other: ({ payload }, { dm, purpose }) => ({ kind: 'other', dm, purpose, payload: payload.slice(), problems: [] }),
}

/**
 * Reads a diagnostic message, or the request that is a clear command (DM3, DM11).
 *
 * @returns undefined for every other parameter group
 */
export function decodeDiagnostic(message: Message, options: DiagnosticOptions = {}): DiagnosticMessage | undefined {
  const asked = message.pgn === REQUEST_PGN ? requestedPgn(message.payload) : null
  if (asked !== null) {
    const group = diagnosticGroup(asked)
    return group?.kind === 'clear' ? readClear(group, 'request', message.payload) : undefined
  }
  const group = diagnosticGroup(message.pgn)
  return group && DECODERS[group.kind](message, group, options)
}
