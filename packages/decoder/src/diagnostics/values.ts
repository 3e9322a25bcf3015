/** Numbers at fixed bytes of a diagnostic payload, by the same definitions the catalogue uses. */
import type { NumericDefinition } from '../catalog/definition.js'
import type { Unit } from '../catalog/units.js'
import { decodeSignal, type SignalValue } from '../signal/value.js'

/** Definitions by the name each value gets in its message. */
export type ValueDefinitions<Name extends string> = Readonly<Record<Name, NumericDefinition>>

/** Values by the same names. */
export type DiagnosticValues<Name extends string> = Readonly<Record<Name, SignalValue>>

/** A definition of whole bytes whose position and scale are from memory. */
export function recalledValue(
  spn: number,
  name: string,
  at: number,
  bytes: number,
  unit: Unit,
  resolution = 1,
  offset = 0,
): NumericDefinition {
  const bits = bytes * 8
  return { kind: 'numeric', spn, name, at: `${at}`, bits, resolution, offset, unit, sources: ['memory'], confirmed: 0 }
}

/** Reads a table of values. */
export function readValues<Name extends string>(
  payload: Uint8Array,
  definitions: ValueDefinitions<Name>,
): DiagnosticValues<Name> {
  const entries = Object.entries<NumericDefinition>(definitions)
  return Object.fromEntries(
    entries.map(([name, definition]) => [name, decodeSignal(definition, payload)]),
  ) as DiagnosticValues<Name>
}
