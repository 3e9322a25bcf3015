/**
 * Messages that clear faults. DM3 and DM11 are asked for with a request (PGN 59904) that names
 * their parameter group; DM22 clears one fault and carries its own answers. From memory, except the
 * numbers of DM3 and DM11 (university course parameter table).
 */
import { MAX_FMI } from './dtc.js'
import { type DiagnosticProblem, fillerStart } from './problem.js'

/** A request's first three bytes are the PGN asked for; the rest, if any, is filler. */
const REQUEST_BYTES = 3

/** A command to clear a whole list of faults. Whether it was done is in the acknowledgement. */
export interface Clear {
  readonly kind: 'clear'
  readonly dm: number
  /** Which faults it is meant to clear. */
  readonly clears: 'previously-active' | 'active'
  /** `request`: as the standard has it. `group`: the parameter group itself was sent. */
  readonly form: 'request' | 'group'
  readonly problems: readonly DiagnosticProblem[]
}

const CLEARS: Readonly<Record<3 | 11, Clear['clears']>> = { 3: 'previously-active', 11: 'active' }

/** The parameter group a request asks for; null where it is cut short. */
export function requestedPgn(payload: Uint8Array): number | null {
  if (payload.length < REQUEST_BYTES) return null
  return payload[0] | (payload[1] << 8) | (payload[2] << 16)
}

/** A clear command: DM3 or DM11, asked for or sent. A payload of its own should be empty, FF or 00. */
export function decodeClear(dm: 3 | 11, form: Clear['form'], payload: Uint8Array): Clear {
  const unexpected = form === 'group' && fillerStart(payload) > 0
  const problems: DiagnosticProblem[] = unexpected ? [{ code: 'unexpected-payload', at: 0 }] : []
  return { kind: 'clear', dm, clears: CLEARS[dm], form, problems }
}

/** What a DM22 says. */
export type IndividualClearAction =
  | 'clear-previously-active'
  | 'previously-active-cleared'
  | 'previously-active-refused'
  | 'clear-active'
  | 'active-cleared'
  | 'active-refused'
  | 'reserved'

/** By control byte. From memory. */
const ACTIONS: Readonly<Record<number, IndividualClearAction>> = {
  1: 'clear-previously-active',
  2: 'previously-active-cleared',
  3: 'previously-active-refused',
  17: 'clear-active',
  18: 'active-cleared',
  19: 'active-refused',
}

/** A command to clear one fault, or the answer to it. */
export interface IndividualClear {
  readonly kind: 'individual-clear'
  readonly dm: number
  /** Null where the payload is empty. */
  readonly action: IndividualClearAction | null
  /** The control byte as sent; null where the payload is empty. */
  readonly control: number | null
  /** The fault; null where the payload ends before it. */
  readonly fault: { readonly spn: number; readonly fmi: number } | null
  readonly problems: readonly DiagnosticProblem[]
}

const INDIVIDUAL_CLEAR_BYTES = 8

/**
 * Reads a DM22: byte 1 control, 2 reason for a refusal, 3–5 filler, 6–8 the first three bytes of a
 * trouble code, which is read as version 4 since the method bit is not among them. From memory.
 */
export function decodeIndividualClear(payload: Uint8Array): IndividualClear {
  const whole = payload.length >= INDIVIDUAL_CLEAR_BYTES
  const control = payload.length > 0 ? payload[0] : null
  return {
    kind: 'individual-clear',
    dm: 22,
    action: control === null ? null : (ACTIONS[control] ?? 'reserved'),
    control,
    fault: whole
      ? { spn: payload[5] | (payload[6] << 8) | ((payload[7] >>> 5) << 16), fmi: payload[7] & MAX_FMI }
      : null,
    problems: whole ? [] : [{ code: 'short-payload', at: payload.length }],
  }
}
