/**
 * What a node says of its own diagnostics: DM13 broadcast control, DM19 calibrations, DM20 monitor
 * ratios, DM24 supported parameters, DM29 fault counts. All layouts are from memory; parts memory is
 * not sure of are left out.
 */
import { type RawReader, rawReader } from '../signal/raw.js'
import { statusOf, VALID } from '../signal/status.js'
import { fixedText } from '../signal/text.js'
import { type DiagnosticProblem, fillerStart } from './problem.js'
import { type DiagnosticValues, readValues, recalledValue, type ValueDefinitions } from './values.js'

/** What is to happen to normal broadcasts on the data link the message came on. */
export type BroadcastControl = 'stop' | 'start' | 'reserved' | 'no-action'

const BROADCAST_CONTROLS: readonly BroadcastControl[] = ['stop', 'start', 'reserved', 'no-action']

/** DM13. Other data links, hold and suspend are left out. */
export interface StopStartBroadcast {
  readonly kind: 'stop-start-broadcast'
  readonly dm: number
  /** Byte 1 bits 8–7; null where the payload is empty. */
  readonly currentDataLink: BroadcastControl | null
  readonly problems: readonly DiagnosticProblem[]
}

/** Reads a DM13. */
export function decodeStopStartBroadcast(payload: Uint8Array): StopStartBroadcast {
  const currentDataLink = payload.length === 0 ? null : BROADCAST_CONTROLS[payload[0] >>> 6]
  const problems: DiagnosticProblem[] = payload.length === 0 ? [{ code: 'short-payload', at: 0 }] : []
  return { kind: 'stop-start-broadcast', dm: 13, currentDataLink, problems }
}

/** One calibration of a node. */
export interface Calibration {
  /** SPN 1635: 16 characters without filler; null where not available or blank. */
  readonly id: string | null
  /** SPN 1634, the calibration verification number; null where not available. Usually shown in hex. */
  readonly verificationNumber: number | null
}

/** DM19: per calibration four bytes of verification number, then 16 of identification. */
export interface Calibrations {
  readonly kind: 'calibrations'
  readonly dm: number
  readonly calibrations: readonly Calibration[]
  readonly problems: readonly DiagnosticProblem[]
}

const CALIBRATION_BYTES = 20
const VERIFICATION_BYTES = 4
const VERIFICATION_NUMBER = rawReader(0, 32)
const VERIFICATION_NOT_AVAILABLE = 0xffffffff

/** Reads a DM19. */
export function decodeCalibrations(payload: Uint8Array): Calibrations {
  const { blocks, problems } = splitBlocks(payload, 0, CALIBRATION_BYTES)
  const calibrations = blocks.map((block) => {
    const { status, text } = fixedText(block, VERIFICATION_BYTES, CALIBRATION_BYTES - VERIFICATION_BYTES)
    const number = VERIFICATION_NUMBER(block, 0)
    return {
      id: status === 'valid' ? text : null,
      verificationNumber: number === VERIFICATION_NOT_AVAILABLE ? null : number,
    }
  })
  return { kind: 'calibrations', dm: 19, calibrations, problems }
}

/** How often one monitor ran, against how often it could have. */
export interface MonitorRatio {
  /** The parameter that stands for the monitored system. */
  readonly spn: number
  /** Times it ran to its end; null where not available. */
  readonly numerator: number | null
  /** Times it could have; null where not available. */
  readonly denominator: number | null
}

/** Counters of DM20. */
export type RatioCountName = 'ignitionCycles' | 'conditionsMet'

const RATIO_COUNTS: ValueDefinitions<RatioCountName> = {
  ignitionCycles: recalledValue(3048, 'Ignition cycle counter', 1, 2, 'count'),
  conditionsMet: recalledValue(3049, 'OBD monitoring conditions encountered', 3, 2, 'count'),
}

/** DM20: two counters, then per monitor three bytes of SPN, numerator and denominator. */
export interface MonitorRatios {
  readonly kind: 'monitor-ratios'
  readonly dm: number
  readonly values: DiagnosticValues<RatioCountName>
  readonly ratios: readonly MonitorRatio[]
  readonly problems: readonly DiagnosticProblem[]
}

const RATIO_COUNT_BYTES = 4
const RATIO_BYTES = 7
const NUMERATOR = rawReader(24, 16)
const DENOMINATOR = rawReader(40, 16)

/** Reads a DM20. */
export function decodeMonitorRatios(payload: Uint8Array): MonitorRatios {
  const { blocks, problems } = splitBlocks(payload, RATIO_COUNT_BYTES, RATIO_BYTES)
  if (payload.length < RATIO_COUNT_BYTES) problems.push({ code: 'short-payload', at: payload.length })
  const ratios = blocks
    .filter((block) => fillerStart(block) > 0)
    .map((block) => ({
      spn: readRatioSpn(block),
      numerator: readCount(block, NUMERATOR),
      denominator: readCount(block, DENOMINATOR),
    }))
  return { kind: 'monitor-ratios', dm: 20, values: readValues(payload, RATIO_COUNTS), ratios, problems }
}

function readCount(block: Uint8Array, read: RawReader): number | null {
  const count = read(block, 0)
  return statusOf(count, 16) === VALID ? count : null
}

/**
 * The 19-bit SPN in three bytes; the five spare bits are all 1 or all 0. They are remembered as the
 * high bits of the third byte, not the low ones as in a trouble code; where only the low ones are
 * filled, the trouble code's layout is read.
 */
function readRatioSpn(block: Uint8Array): number {
  const low = block[0] | (block[1] << 8)
  const third = block[2]
  const likeTroubleCode = (third & 0x1f) === 0x1f
  return low | ((likeTroubleCode ? third >>> 5 : third & 7) << 16)
}

/** A parameter a node can report for diagnosis. */
export interface SupportedSpn {
  readonly spn: number
  /** Whether it is in the expanded freeze frame, DM25. */
  readonly inFreezeFrame: boolean
  /** Whether it is sent as ordinary data. */
  readonly inDataStream: boolean
  /** Whether there are scaled test results for it, DM30. */
  readonly inTestResults: boolean
  /** Bytes it takes in the freeze frame. */
  readonly bytes: number
}

/** DM24: per parameter the SPN as in a trouble code, three support bits (0 is yes), and a length. */
export interface SpnSupport {
  readonly kind: 'spn-support'
  readonly dm: number
  /** In the order sent, which is the order of the expanded freeze frame. */
  readonly supported: readonly SupportedSpn[]
  readonly problems: readonly DiagnosticProblem[]
}

const SUPPORT_BYTES = 4

/** Reads a DM24. */
export function decodeSpnSupport(payload: Uint8Array): SpnSupport {
  const { blocks, problems } = splitBlocks(payload, 0, SUPPORT_BYTES)
  const supported = blocks
    .filter((block) => fillerStart(block) > 0)
    .map((block) => ({
      spn: block[0] | (block[1] << 8) | ((block[2] >>> 5) << 16),
      inFreezeFrame: (block[2] & 1) === 0,
      inDataStream: (block[2] & 2) === 0,
      inTestResults: (block[2] & 4) === 0,
      bytes: block[3],
    }))
  return { kind: 'spn-support', dm: 24, supported, problems }
}

/** Counters of DM29. */
export type FaultCountName = 'emissionsPending' | 'allPending' | 'lampOn' | 'previouslyLampOn' | 'permanent'

const FAULT_COUNTS: ValueDefinitions<FaultCountName> = {
  emissionsPending: recalledValue(4104, 'Emissions-related pending trouble codes', 1, 1, 'count'),
  allPending: recalledValue(4105, 'All pending trouble codes', 2, 1, 'count'),
  lampOn: recalledValue(4106, 'Emissions-related MIL-on trouble codes', 3, 1, 'count'),
  previouslyLampOn: recalledValue(4107, 'Emissions-related previously MIL-on trouble codes', 4, 1, 'count'),
  permanent: recalledValue(4108, 'Emissions-related permanent trouble codes', 5, 1, 'count'),
}

const FAULT_COUNT_BYTES = 5

/** DM29. */
export interface FaultCounts {
  readonly kind: 'fault-counts'
  readonly dm: number
  readonly values: DiagnosticValues<FaultCountName>
  readonly problems: readonly DiagnosticProblem[]
}

/** Reads a DM29. */
export function decodeFaultCounts(payload: Uint8Array): FaultCounts {
  const short = payload.length < FAULT_COUNT_BYTES
  const problems: DiagnosticProblem[] = short ? [{ code: 'short-payload', at: payload.length }] : []
  return { kind: 'fault-counts', dm: 29, values: readValues(payload, FAULT_COUNTS), problems }
}

/** Equal blocks from a byte on; what is left after the last must be filler. */
function splitBlocks(
  payload: Uint8Array,
  start: number,
  bytes: number,
): { blocks: Uint8Array[]; problems: DiagnosticProblem[] } {
  const blocks: Uint8Array[] = []
  let at = start
  for (; at + bytes <= payload.length; at += bytes) blocks.push(payload.subarray(at, at + bytes))
  return { blocks, problems: fillerStart(payload) <= at ? [] : [{ code: 'incomplete-block', at }] }
}
