/**
 * One row per signal: what the tables in `groups/` are written with. Each function only puts its
 * arguments into the plain object of `definition.ts`, so that a signal stays on one line:
 *
 *     num(190, 'Engine speed', '4', RPM, ['course', 'genset'], 2)
 *
 * SPN, name, start position, then width and scale (or the labels), then who says so and how many of
 * them independently; a note or a range rule last, where there is one.
 */
import type { NumericDefinition, RangeRule, StateDefinition, StateLabels, TextDefinition } from './definition.js'
import type { Slot } from './slots.js'
import type { SourceId } from './sources.js'
import { NUMBER_ONLY } from './states.js'

type Sources = readonly SourceId[]

/** What only some rows have. */
interface Extra {
  readonly note?: string
  readonly range?: RangeRule
}

/** For a code whose meanings are not remembered without doubt: it is shown as its number. */
export const UNREMEMBERED: Extra = { note: 'codes not listed: their meanings are not remembered without doubt' }

/** A number with the width and scale of a slot. */
export function num(
  spn: number,
  name: string,
  at: string,
  slot: Slot,
  sources: Sources,
  confirmed: number,
  extra?: Extra,
): NumericDefinition {
  return { kind: 'numeric', spn, name, at, ...slot, sources, confirmed, ...extra }
}

/** A code with labels, `bits` wide. */
export function state(
  spn: number,
  name: string,
  at: string,
  bits: number,
  states: StateLabels,
  sources: Sources,
  confirmed: number,
  extra?: Extra,
): StateDefinition {
  return { kind: 'state', spn, name, at, bits, states, sources, confirmed, ...extra }
}

/** Text of a fixed number of bytes. */
export function text(
  spn: number,
  name: string,
  at: string,
  bytes: number,
  sources: Sources,
  confirmed: number,
  extra?: Pick<Extra, 'note'>,
): TextDefinition {
  return { kind: 'text', spn, name, at, bytes, sources, confirmed, ...extra }
}

/** Text up to a `*`: the field with that number, from 0, counted from `at`. */
export function field(
  spn: number,
  name: string,
  at: string,
  number: number,
  sources: Sources,
  confirmed: number,
  extra?: Pick<Extra, 'note'>,
): TextDefinition {
  return { kind: 'text', spn, name, at, bytes: 'delimited', field: number, sources, confirmed, ...extra }
}

/**
 * A sensor's preliminary failure mode identifier, 5 bits: what its node would report if the failure
 * lasted. From memory throughout.
 */
export function fmi(spn: number, name: string, at: string, sources: Sources): StateDefinition {
  return state(spn, name, at, 5, NUMBER_ONLY, sources, 0, {
    range: 30,
    note: 'a failure mode identifier; 31 means none',
  })
}
