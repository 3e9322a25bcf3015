/**
 * What the bytes of a message mean, read the slow and obvious way: a payload is a string of bits, a
 * value an exact fraction, rounded once. Takes nothing from the decoder but its definitions, which are
 * data. The rules of what is a value are those of SAE J1939-71; sources as in the decoder's `status.ts`.
 */
import type { GroupDefinition, SignalDefinition } from '@firstcrank/decoder/catalog'

/** What a message says of one signal. Signals that are not sent are left out altogether. */
export interface ReferenceValue {
  readonly spn: number
  readonly instance: number | undefined
  readonly status: string
  /** Null where it is text or bytes. */
  readonly raw: bigint | null
  /** The double nearest to the exact value; null where there is none. */
  readonly value: number | null
  readonly label: string | undefined
  readonly text: string | undefined
}

/** All signals of a message, those of repeated blocks behind the others, block by block. */
export function readReferenceGroup(group: GroupDefinition, payload: string): ReferenceValue[] {
  const read = (signals: readonly SignalDefinition[], bytes: string, instance?: number): ReferenceValue[] =>
    signals.flatMap((signal) => readReferenceSignal(signal, bytes, instance) ?? [])
  const values = read(group.signals, payload)
  if (group.repeat === undefined) return values
  const { at, bytes, signals } = group.repeat
  const blocks = payload.slice((at - 1) * 2).match(new RegExp(`.{${bytes * 2}}`, 'g')) ?? []
  return [...values, ...blocks.flatMap((block, instance) => read(signals, block, instance))]
}

/** One signal of a payload in hexadecimal digits; undefined where the payload ends before it. */
export function readReferenceSignal(
  definition: SignalDefinition,
  payload: string,
  instance?: number,
): ReferenceValue | undefined {
  const base = { spn: definition.spn, instance, raw: null, value: null, label: undefined, text: undefined }
  const [byte, bit = '1'] = definition.at.split('.')
  if (definition.kind === 'text') {
    const bytes = latin1(payload).slice(Number(byte) - 1)
    const piece =
      definition.bytes === 'delimited' ? pieceOf(bytes, definition.field ?? 0) : bytes.slice(0, definition.bytes)
    if (piece === undefined || (piece === '' && definition.bytes !== 'delimited')) return undefined
    const status = textStatus(piece)
    return { ...base, status, text: status === 'valid' ? piece.replace(/^[\0\xff ]+|[\0\xff ]+$/g, '') : undefined }
  }
  if (definition.kind === 'bytes') {
    return payload.length / 2 < Number(byte) ? undefined : { ...base, status: 'valid' }
  }
  const first = (Number(byte) - 1) * 8 + Number(bit) - 1
  const bits = bitsFromLowest(payload).slice(first, first + definition.bits)
  if (bits.length < definition.bits) return undefined
  const highestFirst = [...bits].reverse().join('')
  const raw = BigInt(`0b${highestFirst}`)
  const status = numberStatus(highestFirst, raw, definition.kind === 'bit-field' ? 'full' : definition.range)
  if (status !== 'valid') return { ...base, status, raw }
  switch (definition.kind) {
    case 'numeric':
      return { ...base, status, raw, value: scaled(raw, definition.resolution, definition.offset) }
    case 'state':
      return { ...base, status, raw, value: Number(raw), label: definition.states[Number(raw)] ?? `state ${raw}` }
    case 'bit-field': {
      const set = definition.flags.filter((_, index) => bits[index] === '1')
      return { ...base, status, raw, value: Number(raw), label: set.length > 0 ? set.join(', ') : 'none' }
    }
  }
}

/** A payload's bits, the lowest of the first byte first. */
function bitsFromLowest(payload: string): string {
  const bytes = payload.match(/../g) ?? []
  return bytes.map((hex) => [...Number.parseInt(hex, 16).toString(2).padStart(8, '0')].reverse().join('')).join('')
}

/** Which kind of thing a raw value is; `bits` with the highest first. */
function numberStatus(bits: string, raw: bigint, rule: 'standard' | 'full' | number = 'standard'): string {
  if (rule === 'full') return 'valid'
  if (typeof rule === 'number') return raw > BigInt(rule) ? 'not-available' : 'valid'
  if (bits.length === 1) return 'valid'
  if (bits.length < 8) {
    if (/^1+$/.test(bits)) return 'not-available'
    return /^1+0$/.test(bits) ? 'error' : 'valid'
  }
  const special: Readonly<Record<string, string>> = {
    '11111111': 'not-available',
    '11111110': 'error',
    '11111101': 'reserved',
    '11111100': 'reserved',
    '11111011': 'parameter-specific',
  }
  return special[bits.slice(0, 8)] ?? 'valid'
}

function latin1(payload: string): string {
  return (payload.match(/../g) ?? []).map((hex) => String.fromCharCode(Number.parseInt(hex, 16))).join('')
}

/** A `*`-ended field; the last may lack its `*` where it is not empty. */
function pieceOf(text: string, field: number): string | undefined {
  const pieces = text.split('*')
  if (pieces.at(-1) === '') pieces.pop()
  return pieces[field]
}

function textStatus(piece: string): string {
  if (/^\xff+$/.test(piece)) return 'not-available'
  return /^\0+$/.test(piece) ? 'error' : 'valid'
}

/** A fraction of whole numbers; the denominator is positive. */
interface Fraction {
  readonly above: bigint
  readonly below: bigint
}

function scaled(raw: bigint, resolution: number, offset: number): number {
  const step = fractionOf(resolution)
  const shift = fractionOf(offset)
  return nearestDouble({
    above: raw * step.above * shift.below + shift.above * step.below,
    below: step.below * shift.below,
  })
}

/** A number as it is written in decimal. */
function fractionOf(value: number): Fraction {
  const [mantissa, exponent = '0'] = String(value).split('e')
  const [whole, part = ''] = mantissa.split('.')
  const power = BigInt(exponent) - BigInt(part.length)
  const digits = BigInt(whole + part)
  return power < 0n ? { above: digits, below: 10n ** -power } : { above: digits * 10n ** power, below: 1n }
}

/** The nearest double; of two equally near the even one, as IEEE 754 rounds. */
export function nearestDouble({ above, below }: Fraction): number {
  if (above === 0n) return 0
  if (above < 0n) return -nearestDouble({ above: -above, below })
  // 53 significant bits: find the power of two that brings the quotient there.
  let power = 0
  let quotient = above / below
  const shift = (by: number): bigint => (by >= 0 ? (above << BigInt(by)) / below : above / (below << BigInt(-by)))
  while (quotient < 2n ** 52n) quotient = shift(++power)
  while (quotient >= 2n ** 53n) quotient = shift(--power)
  const exact: Fraction =
    power >= 0 ? { above: above << BigInt(power), below } : { above, below: below << BigInt(-power) }
  const twiceRest = 2n * (exact.above - quotient * exact.below)
  const up = twiceRest > exact.below || (twiceRest === exact.below && quotient % 2n === 1n)
  return Number(up ? quotient + 1n : quotient) / 2 ** power
}
