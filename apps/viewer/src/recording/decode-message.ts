/** One raw message → what its bytes say. Loads the catalogue: import it only when a message is opened. */
import { DTC_BYTES, decodeDtc, decodeGroup, diagnosticGroup, fmiDefinition, isNoDtc } from '@firstcrank/decoder'
import {
  confidenceInWords,
  faultName,
  findGroup,
  type GroupDefinition,
  type SignalDefinition,
  startBit,
} from '@firstcrank/decoder/catalog'

/** A signal of an opened message. */
export interface OpenedSignal {
  readonly at: string
  readonly spn: number
  readonly name: string
  readonly raw: string
  readonly value: number | null
  readonly status: string
  readonly label: string | undefined
  readonly unit: string | null
  readonly resolution: number | null
  readonly instance: number | undefined
  /** How sure position and scale are, in words. */
  readonly confidence: string
  /** Of a trouble code, what has failed, and how often; undefined of all else. */
  readonly failure?: { readonly fmi: number; readonly meaning: string | undefined; readonly count: number | null }
  /** Its bits of the payload: the first, counted from the lowest of byte 1, and the one behind the last. */
  readonly from: number
  readonly to: number
}

/** What a message says; undefined where nobody has defined its group. */
export function decodeMessage(
  pgn: number,
  payload: Uint8Array,
): { readonly acronym: string; readonly name: string; readonly signals: readonly OpenedSignal[] } | undefined {
  const group = findGroup(pgn)
  if (group === undefined) return undefined
  const signals = decodeGroup(group, payload).map(
    ({ definition, spn, name, raw, value, status, label, text: words, instance }) => ({
      at: definition.at,
      spn,
      name,
      raw: raw === null || raw === undefined ? '' : `${raw}`,
      value: typeof value === 'number' ? value : null,
      status,
      label: label ?? words,
      unit: definition.kind === 'numeric' ? definition.unit : null,
      resolution: definition.kind === 'numeric' ? definition.resolution : null,
      instance,
      confidence: confidenceInWords(definition),
      ...bitsOf(group, definition, instance, payload.length),
    }),
  )
  return { acronym: group.acronym, name: group.name, signals: [...signals, ...troubleCodes(pgn, payload)] }
}

/** Bytes of lamps before the first trouble code of a message that lists faults: SAE J1939-73. */
const LAMP_BYTES = 2

/** The trouble codes of a message that lists faults; their layout is the decoder's. */
function troubleCodes(pgn: number, payload: Uint8Array): OpenedSignal[] {
  if (diagnosticGroup(pgn)?.kind !== 'fault-list') return []
  const codes: OpenedSignal[] = []
  for (let at = LAMP_BYTES; at + DTC_BYTES <= payload.length; at += DTC_BYTES) {
    if (isNoDtc(payload, at)) continue
    const { spn, fmi, occurrenceCount } = decodeDtc(payload, at)
    codes.push({
      at: `${at + 1}`,
      spn,
      name: faultName(spn) ?? '',
      raw: '',
      value: null,
      status: 'valid',
      label: undefined,
      failure: { fmi, meaning: fmiDefinition(fmi)?.meaning, count: occurrenceCount },
      unit: null,
      resolution: null,
      instance: undefined,
      confidence: '',
      from: at * 8,
      to: (at + DTC_BYTES) * 8,
    })
  }
  return codes
}

/** Where a signal lies; of text that ends at a sign of its own, no more than its first byte is told. */
function bitsOf(
  { repeat }: GroupDefinition,
  definition: SignalDefinition,
  instance: number | undefined,
  length: number,
): { from: number; to: number } {
  const block = repeat === undefined || instance === undefined ? 0 : (repeat.at - 1 + instance * repeat.bytes) * 8
  const from = block + startBit(definition.at)
  if ('bits' in definition) return { from, to: from + definition.bits }
  const { bytes } = definition
  return { from, to: bytes === 'rest' ? length * 8 : from + (bytes === 'delimited' ? 1 : bytes) * 8 }
}
