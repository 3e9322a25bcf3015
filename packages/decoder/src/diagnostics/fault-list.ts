/**
 * Messages that list faults: two lamp bytes, then four bytes for each trouble code, as long as it
 * takes. Source: an engine maker's published J1939 chapter and a keypad J1939 manual for DM1 and DM2;
 * that DM6, DM12, DM23, DM27 and DM28 are laid out alike is from memory.
 */
import { DTC_BYTES, type DtcInput, decodeDtc, encodeDtc, isNoDtc, type OldConversion, type TroubleCode } from './dtc.js'
import { decodeLamps, encodeLamps, type LampStatus } from './lamps.js'
import { type DiagnosticProblem, fillerStart } from './problem.js'

/** The messages that list faults. */
export type FaultListSource = 'DM1' | 'DM2' | 'DM6' | 'DM12' | 'DM23' | 'DM27' | 'DM28'

/** What a node says of a fault by the message it lists it in. */
export type FaultState = 'active' | 'previously-active' | 'pending' | 'permanent'

/** State of the faults each message lists. DM6, DM12 and DM23 list only emissions-related ones. */
export const FAULT_STATES: Readonly<Record<FaultListSource, FaultState>> = {
  DM1: 'active',
  DM2: 'previously-active',
  DM6: 'pending',
  DM12: 'active',
  DM23: 'previously-active',
  DM27: 'pending',
  DM28: 'permanent',
}

/** A message that lists faults. */
export interface FaultList {
  readonly kind: 'fault-list'
  readonly dm: number
  readonly source: FaultListSource
  readonly state: FaultState
  /** Null where the payload is empty. */
  readonly lamps: LampStatus | null
  /** In the order sent, repeats kept. Empty where the node reports none. */
  readonly faults: readonly TroubleCode[]
  /** Where there are any, the list may be longer than {@link faults}. */
  readonly problems: readonly DiagnosticProblem[]
}

const LAMP_BYTES = 2
/** Data bytes of one frame. A fault list is padded to them; what is left after one code is never one. */
const FRAME_BYTES = 8

/**
 * Reads a fault list. Codes that stand for "none" are left out; FF or 00 after the last is filler.
 *
 * @param conversion how this node lays out SPNs where the method bit is 1, if somebody knows it
 */
export function decodeFaultList(source: FaultListSource, payload: Uint8Array, conversion?: OldConversion): FaultList {
  const faults: TroubleCode[] = []
  const problems: DiagnosticProblem[] = []
  if (payload.length < LAMP_BYTES) problems.push({ code: 'short-payload', at: payload.length })
  let at = LAMP_BYTES
  for (; at + DTC_BYTES <= payload.length; at += DTC_BYTES) {
    if (!isNoDtc(payload, at)) faults.push(decodeDtc(payload, at, conversion))
  }
  if (payload.length !== FRAME_BYTES && fillerStart(payload) > at) problems.push({ code: 'incomplete-dtc', at })
  return {
    kind: 'fault-list',
    dm: Number(source.slice(2)),
    source,
    state: FAULT_STATES[source],
    lamps: payload.length === 0 ? null : decodeLamps(payload[0], payload[1] ?? 0xff),
    faults,
    problems,
  }
}

/**
 * The payload of a fault list, for made-up recordings and for tests. With no fault it holds the
 * standard's "none" (four bytes 00); up to 8 bytes it is padded with FF.
 *
 * @throws {DtcError} where a code does not fit its bits
 */
export function encodeFaultList(lamps: LampStatus, faults: readonly DtcInput[]): Uint8Array {
  const codes = faults.length > 0 ? faults.map(encodeDtc) : [new Uint8Array(DTC_BYTES)]
  const payload = new Uint8Array(Math.max(FRAME_BYTES, LAMP_BYTES + codes.length * DTC_BYTES)).fill(0xff)
  payload.set(encodeLamps(lamps))
  codes.forEach((code, index) => {
    payload.set(code, LAMP_BYTES + index * DTC_BYTES)
  })
  return payload
}
