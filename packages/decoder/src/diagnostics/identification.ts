/**
 * Who a node says it is, in text: component (65259), software (65242), ECU (64965) and vehicle
 * identification (65260). Fields end with `*`. Sources: university course parameter table (the
 * parameters of each group and their order); the ECU identification and the filler rules are from
 * memory.
 *
 * A field's status is that of any text: `valid` and empty where nothing stands between two `*`,
 * `not-available` where it is all FF, `error` where it is all NUL, `not-sent` where the payload ends
 * before it. Blanks, NUL and FF around a text are taken off; inside, every character stays. The last
 * field may lack its `*`. Filler after the last `*` is no field of its own.
 */
import { IDENTIFICATION } from '../catalog/groups/identification.js'
import type { Status } from '../signal/status.js'
import { fixedText, type TextValue } from '../signal/text.js'
import type { DiagnosticProblem } from './problem.js'

export type IdentificationKind = 'component' | 'software' | 'ecu' | 'vehicle'

/** One field of an identification. */
export interface IdentificationField {
  /** Null for a field beyond those the definition knows. */
  readonly spn: number | null
  readonly name: string
  readonly status: Status
  /** Empty unless the status is `valid`. */
  readonly text: string
}

/** A node's text about itself. */
export interface Identification {
  readonly kind: IdentificationKind
  readonly pgn: number
  /** Every field the definition knows, then any the node sends beyond them. */
  readonly fields: readonly IdentificationField[]
  readonly problems: readonly DiagnosticProblem[]
}

interface IdentificationDefinition {
  readonly kind: IdentificationKind
  readonly pgn: number
  /** Whether the first byte says how many fields follow (SPN 965). */
  readonly counted: boolean
  /** Those of the catalogue, in the order sent. */
  readonly fields: readonly { readonly spn: number; readonly name: string }[]
}

const DEFINITIONS: readonly IdentificationDefinition[] = [
  identification('component', 65259),
  identification('software', 65242, true),
  identification('ecu', 64965),
  identification('vehicle', 65260),
]

function identification(kind: IdentificationKind, pgn: number, counted = false): IdentificationDefinition {
  const signals = IDENTIFICATION.find((group) => group.pgn === pgn)?.signals ?? []
  return { kind, pgn, counted, fields: signals.filter((signal) => signal.kind === 'text') }
}

const BY_PGN: ReadonlyMap<number, IdentificationDefinition> = new Map(DEFINITIONS.map((entry) => [entry.pgn, entry]))

/** The parameter groups that carry an identification. */
export const IDENTIFICATION_PGNS: ReadonlySet<number> = new Set(BY_PGN.keys())

const DELIMITER = 0x2a
/** Most fields the count byte can announce; more are not kept. Source: the range of an 8-bit value, SAE J1939-71. */
const MAX_FIELDS = 250

/** Reads an identification; undefined for every other parameter group. Never throws. */
export function decodeIdentification(pgn: number, payload: Uint8Array): Identification | undefined {
  const definition = BY_PGN.get(pgn)
  if (!definition) return undefined
  const { kind, counted } = definition
  const announced = counted ? announcedFields(payload) : null
  const texts = splitFields(counted ? payload.subarray(1) : payload, announced ?? definition.fields.length)
  const problems: DiagnosticProblem[] = []
  if (payload.length === 0) problems.push({ code: 'short-payload', at: 0 })
  else if (texts.length > MAX_FIELDS || (announced ?? texts.length) !== texts.length) {
    problems.push({ code: 'field-count', at: 0 })
  }
  const count = Math.min(MAX_FIELDS, Math.max(texts.length, definition.fields.length))
  const fields = Array.from({ length: count }, (_, index) => nameField(definition, index, texts[index]))
  return { kind, pgn, fields, problems }
}

/** The count byte; null where it is not available or not sent. */
function announcedFields(payload: Uint8Array): number | null {
  return payload.length === 0 || payload[0] === 0xff ? null : payload[0]
}

/**
 * The texts between delimiters, at most one more than are kept. What follows the last delimiter is a
 * field if it holds text, or if it is marked not available and a field is still expected.
 */
function splitFields(bytes: Uint8Array, expected: number): TextValue[] {
  const texts: TextValue[] = []
  let start = 0
  for (let at = bytes.indexOf(DELIMITER); at >= 0; at = bytes.indexOf(DELIMITER, start)) {
    texts.push(at === start ? EMPTY : fixedText(bytes, start, at - start))
    start = at + 1
    if (texts.length > MAX_FIELDS) return texts
  }
  const last = fixedText(bytes, start, bytes.length - start)
  const marked = last.status === 'not-available' && texts.length < expected
  if (marked || last.text !== '') texts.push(last)
  return texts
}

const EMPTY: TextValue = { status: 'valid', text: '' }
const NOT_SENT: TextValue = { status: 'not-sent', text: '' }

function nameField(definition: IdentificationDefinition, index: number, value = NOT_SENT): IdentificationField {
  // Software identification repeats its one field; the others have a name for each.
  const known = definition.counted ? definition.fields[0] : definition.fields[index]
  return { spn: known?.spn ?? null, name: known?.name ?? `Field ${index + 1}`, ...value }
}
