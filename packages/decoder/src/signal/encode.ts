/**
 * Values into a payload: the inverse of reading, for made-up recordings and for tests.
 * Nothing here puts a frame on a bus.
 *
 * Bytes nobody gave a value for are FF, which says "not available". Values are little-endian across
 * byte borders and are held inside the valid range, so that a large number never turns into an error
 * code. Source: SAE J1939-71 as described in `status.ts`.
 */
import type { GroupDefinition, SignalDefinition } from '../catalog/definition.js'
import { startBit } from '../catalog/definition.js'
import { highestValidRaw } from './status.js'

/** A number in the signal's unit, the number of a state, a set of flags, or no value at all. */
export type SignalInput = number | 'error' | 'not-available'

/** Values by suspect parameter number. */
export type GroupInput = Readonly<Record<number, SignalInput>>

/** Writes one signal into a payload. */
export type SignalWriter = (payload: Uint8Array, value: SignalInput) => void

export type EncodeErrorCode = 'unknown-signal' | 'not-a-number' | 'no-such-status'

/** A value that cannot be written: a signal the group has not, or one that holds no number. */
export class EncodeError extends Error {
  readonly code: EncodeErrorCode

  constructor(code: EncodeErrorCode, message: string) {
    super(message)
    this.name = 'EncodeError'
    this.code = code
  }
}

/**
 * The payload of one instance of a group.
 *
 * @param values by SPN: physical numbers, state numbers, `'error'` or `'not-available'`
 * @returns as many bytes as the group has; for a group of variable length, up to the last signal given
 * @throws {EncodeError} `unknown-signal`, `not-a-number` (text and raw bytes), `no-such-status`
 */
export function encodeGroup(group: GroupDefinition, values: GroupInput): Uint8Array {
  const given = Object.keys(values).map(Number)
  const length =
    group.length === 'variable' ? Math.max(0, ...given.map((spn) => lastByte(findSignal(group, spn)))) : group.length
  const payload = new Uint8Array(length).fill(0xff)
  for (const spn of given) signalWriter(group, spn)(payload, values[spn] as SignalInput)
  return payload
}

/**
 * A function that writes one signal of a group, for those who write many payloads.
 *
 * @throws {EncodeError} `unknown-signal`, `not-a-number`
 */
export function signalWriter(group: GroupDefinition, spn: number): SignalWriter {
  const signal = findSignal(group, spn)
  if (signal.kind === 'text' || signal.kind === 'bytes') {
    throw new EncodeError('not-a-number', `SPN ${spn} of ${group.acronym} is ${signal.kind}, not a number`)
  }
  const { bits } = signal
  const first = startBit(signal.at)
  const [resolution, offset] = signal.kind === 'numeric' ? [signal.resolution, signal.offset] : [1, 0]
  const rule = signal.kind === 'bit-field' ? 'full' : (signal.range ?? 'standard')
  const highest = highestValidRaw(bits, rule)
  const notAvailable = 2 ** bits - 1
  const error = rule === 'standard' && bits > 1 ? notAvailable - 2 ** Math.max(0, bits - 8) : undefined
  return (payload, value) => {
    if (typeof value === 'number') {
      if (Number.isNaN(value)) throw new EncodeError('not-a-number', `SPN ${spn} of ${group.acronym} was given NaN`)
      const raw = Math.round((value - offset) / resolution)
      writeBits(payload, first, bits, Math.min(Math.max(raw, 0), highest))
    } else if (value === 'not-available') {
      writeBits(payload, first, bits, notAvailable)
    } else if (error === undefined) {
      throw new EncodeError('no-such-status', `SPN ${spn} of ${group.acronym} cannot say that it has an error`)
    } else {
      writeBits(payload, first, bits, error)
    }
  }
}

function findSignal(group: GroupDefinition, spn: number): SignalDefinition {
  const signal = group.signals.find((candidate) => candidate.spn === spn)
  if (!signal) throw new EncodeError('unknown-signal', `${group.acronym} (${group.pgn}) has no SPN ${spn}`)
  return signal
}

/** Number of the last byte a signal reaches into, counted from 1; 0 where the signal has no width. */
function lastByte(signal: SignalDefinition): number {
  return 'bits' in signal ? Math.ceil((startBit(signal.at) + signal.bits) / 8) : 0
}

/** Arithmetic instead of shifts: exact up to 53 bits. Bits past the payload's end are dropped. */
function writeBits(payload: Uint8Array, first: number, bits: number, raw: number): void {
  let rest = raw
  for (let done = 0; done < bits; ) {
    const at = first + done
    const shift = at & 7
    const take = Math.min(8 - shift, bits - done)
    const span = 1 << take
    const index = at >> 3
    const mask = (span - 1) << shift
    payload[index] = (payload[index] & ~mask) | ((rest % span) << shift)
    rest = Math.floor(rest / span)
    done += take
  }
}
