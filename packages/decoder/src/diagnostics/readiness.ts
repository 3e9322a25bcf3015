/**
 * Readiness for an emissions inspection: DM5 (what is monitored and what has been completed), DM21
 * (distance and time with the lamp on and since the last clear) and DM26 (this driving cycle).
 * Layouts, scales and labels are from memory. A `complete` bit is 0 when the test is done,
 * and also for a monitor the node does not have.
 */
import { rawReader } from '../signal/raw.js'
import { statusOf, VALID } from '../signal/status.js'
import type { DiagnosticProblem } from './problem.js'
import { type DiagnosticValues, readValues, recalledValue, type ValueDefinitions } from './values.js'

/** A system that is watched all the time, or tested now and then. Bits count from 0. From memory. */
interface MonitorDefinition {
  readonly name: string
  readonly continuous: boolean
  readonly bit: number
}

/** Continuous: bits of byte 4 (its bits 4–6 for the status). Others: bits of a pair of bytes. */
const MONITORS: readonly MonitorDefinition[] = [
  { name: 'misfire', continuous: true, bit: 0 },
  { name: 'fuel system', continuous: true, bit: 1 },
  { name: 'comprehensive component', continuous: true, bit: 2 },
  { name: 'catalyst', continuous: false, bit: 0 },
  { name: 'heated catalyst', continuous: false, bit: 1 },
  { name: 'evaporative system', continuous: false, bit: 2 },
  { name: 'secondary air system', continuous: false, bit: 3 },
  { name: 'air conditioning refrigerant', continuous: false, bit: 4 },
  { name: 'exhaust gas sensor', continuous: false, bit: 5 },
  { name: 'exhaust gas sensor heater', continuous: false, bit: 6 },
  { name: 'exhaust gas recirculation and variable valve timing', continuous: false, bit: 7 },
  { name: 'cold start aid', continuous: false, bit: 8 },
  { name: 'boost pressure control', continuous: false, bit: 9 },
  { name: 'diesel particulate filter', continuous: false, bit: 10 },
  { name: 'NOx converting catalyst or adsorber', continuous: false, bit: 11 },
  { name: 'NMHC converting catalyst', continuous: false, bit: 12 },
]

interface MonitorBits {
  readonly name: string
  /** Whether it is watched all the time. */
  readonly continuous: boolean
  /** Whether its test is complete; null where not available. */
  readonly complete: boolean | null
}

/** What a node says of one monitored system in DM5. */
export interface Monitor extends MonitorBits {
  /** Whether the node has this monitor; null where not available. */
  readonly supported: boolean | null
}

/** What a node says of one monitored system in DM26. */
export interface CycleMonitor extends MonitorBits {
  /** Whether the test can still run in this driving cycle; null where not available. */
  readonly enabled: boolean | null
}

const CONTINUOUS_STATUS_SHIFT = 4

/**
 * Bytes 4 to 8, laid out alike in DM5 and DM26; fields all FF, or not sent, are not available.
 * `first` is the bit that says supported in the one and enabled in the other.
 */
function readMonitors(payload: Uint8Array): (MonitorBits & { first: boolean | null })[] {
  const continuous = readField(payload, 3, 1)
  const support = readField(payload, 4, 2)
  const status = readField(payload, 6, 2)
  return MONITORS.map(({ name, continuous: isContinuous, bit }) => ({
    name,
    continuous: isContinuous,
    first: isSet(isContinuous ? continuous : support, bit),
    complete: isClear(isContinuous ? continuous : status, isContinuous ? bit + CONTINUOUS_STATUS_SHIFT : bit),
  }))
}

function readField(payload: Uint8Array, at: number, bytes: number): number | null {
  if (at + bytes > payload.length) return null
  const field = rawReader(at * 8, bytes * 8)(payload, 0)
  return field === 2 ** (bytes * 8) - 1 ? null : field
}

function isSet(field: number | null, bit: number): boolean | null {
  return field === null ? null : ((field >>> bit) & 1) === 1
}

function isClear(field: number | null, bit: number): boolean | null {
  return field === null ? null : ((field >>> bit) & 1) === 0
}

/** What a node says it was built to comply with, by code (SPN 1220). From memory; others by number. */
export const OBD_COMPLIANCE: Readonly<Record<number, string>> = {
  1: 'OBD II',
  2: 'OBD',
  3: 'OBD and OBD II',
  4: 'OBD I',
  5: 'not intended to meet OBD II',
  6: 'EOBD',
  7: 'EOBD and OBD II',
  8: 'EOBD and OBD',
  9: 'EOBD, OBD and OBD II',
  10: 'JOBD',
  11: 'JOBD and OBD II',
  12: 'JOBD and EOBD',
  13: 'JOBD, EOBD and OBD II',
  19: 'HD OBD P',
  20: 'HD OBD',
}

/** Values of DM5. */
export type Readiness1ValueName = 'activeCount' | 'previouslyActiveCount'

const READINESS_1_VALUES: ValueDefinitions<Readiness1ValueName> = {
  activeCount: recalledValue(1218, 'Active trouble codes', 1, 1, 'count'),
  previouslyActiveCount: recalledValue(1219, 'Previously active trouble codes', 2, 1, 'count'),
}

/** DM5. */
export interface Readiness1 {
  readonly kind: 'readiness-1'
  readonly dm: number
  readonly values: DiagnosticValues<Readiness1ValueName>
  /** SPN 1220 by number; null where not available or not sent. */
  readonly complianceCode: number | null
  /** Its label; null where it has none here. */
  readonly compliance: string | null
  readonly monitors: readonly Monitor[]
  readonly problems: readonly DiagnosticProblem[]
}

/** Reads a DM5. */
export function decodeReadiness1(payload: Uint8Array): Readiness1 {
  const complianceCode = payload.length > 2 && statusOf(payload[2], 8) === VALID ? payload[2] : null
  return {
    kind: 'readiness-1',
    dm: 5,
    values: readValues(payload, READINESS_1_VALUES),
    complianceCode,
    compliance: OBD_COMPLIANCE[complianceCode ?? 0] ?? null,
    monitors: readMonitors(payload).map(({ first, ...monitor }) => ({ ...monitor, supported: first })),
    problems: shorterThanAFrame(payload),
  }
}

/** Values of DM21. */
export type Readiness2ValueName = 'distanceWithLampOn' | 'distanceSinceCleared' | 'timeWithLampOn' | 'timeSinceCleared'

const READINESS_2_VALUES: ValueDefinitions<Readiness2ValueName> = {
  distanceWithLampOn: recalledValue(3069, 'Distance travelled while MIL is activated', 1, 2, 'km'),
  distanceSinceCleared: recalledValue(3294, 'Distance since trouble codes cleared', 3, 2, 'km'),
  timeWithLampOn: recalledValue(3295, 'Minutes run by engine while MIL is activated', 5, 2, 'min'),
  timeSinceCleared: recalledValue(3296, 'Time since trouble codes cleared', 7, 2, 'min'),
}

/** DM21. The lamp is the malfunction indicator lamp. */
export interface Readiness2 {
  readonly kind: 'readiness-2'
  readonly dm: number
  readonly values: DiagnosticValues<Readiness2ValueName>
  readonly problems: readonly DiagnosticProblem[]
}

/** Reads a DM21. */
export function decodeReadiness2(payload: Uint8Array): Readiness2 {
  const values = readValues(payload, READINESS_2_VALUES)
  return { kind: 'readiness-2', dm: 21, values, problems: shorterThanAFrame(payload) }
}

/** Values of DM26. */
export type Readiness3ValueName = 'timeSinceStart' | 'warmUpsSinceCleared'

const READINESS_3_VALUES: ValueDefinitions<Readiness3ValueName> = {
  timeSinceStart: recalledValue(3301, 'Time since engine start', 1, 2, 's'),
  warmUpsSinceCleared: recalledValue(3302, 'Warm-ups since trouble codes cleared', 3, 1, 'count'),
}

/** DM26. */
export interface Readiness3 {
  readonly kind: 'readiness-3'
  readonly dm: number
  readonly values: DiagnosticValues<Readiness3ValueName>
  readonly monitors: readonly CycleMonitor[]
  readonly problems: readonly DiagnosticProblem[]
}

/** Reads a DM26. */
export function decodeReadiness3(payload: Uint8Array): Readiness3 {
  return {
    kind: 'readiness-3',
    dm: 26,
    values: readValues(payload, READINESS_3_VALUES),
    monitors: readMonitors(payload).map(({ first, ...monitor }) => ({ ...monitor, enabled: first })),
    problems: shorterThanAFrame(payload),
  }
}

const FRAME_BYTES = 8

function shorterThanAFrame(payload: Uint8Array): DiagnosticProblem[] {
  return payload.length < FRAME_BYTES ? [{ code: 'short-payload', at: payload.length }] : []
}
