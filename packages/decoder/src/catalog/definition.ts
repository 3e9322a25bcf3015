/**
 * The shape of everything the catalogue holds. Definitions are readonly data; readers are compiled
 * from them once (see `signal/`).
 */
import { isDirectedGroup } from '../bus/identifier.js'
import type { SourceId } from './sources.js'
import type { Unit } from './units.js'

/** One parameter group and the signals in it. */
export interface GroupDefinition {
  readonly pgn: number
  /** The standard's short form, such as `EEC1`. */
  readonly acronym: string
  readonly name: string
  /** Bytes; `variable` where the payload's own content decides. */
  readonly length: number | 'variable'
  /** Default priority, 0 (highest) to 7. */
  readonly priority?: number
  /** How often it is sent. */
  readonly period?: Period
  /** Whom it is for. Only groups whose identifier holds a destination say so; see {@link defaultDestination}. */
  readonly destination?: Destination
  readonly signals: readonly SignalDefinition[]
  /** A part of the payload that comes again and again; its signals' positions count from its start. */
  readonly repeat?: RepeatDefinition
  /** Who names the group. Length, priority and period are from memory where none of them gives them. */
  readonly sources: readonly SourceId[]
  /** What a reader should know: what is uncertain, what a recording shows. */
  readonly note?: string
}

/** Default destination: every node, one node, or one or the other as the sender likes. */
export type Destination = 'global' | 'node' | 'either'

/**
 * Repetition: milliseconds where the group is sent at a fixed rate, else the rule in a word.
 * `engine-speed` groups follow the crankshaft: up to every 10 ms.
 */
export type Period = number | 'engine-speed' | 'on-request' | 'on-change' | 'as-needed'

/** A run of equal blocks, up to the payload's end or to `count` blocks. */
export interface RepeatDefinition {
  /** First byte of the first block, counted from 1. */
  readonly at: number
  /** Bytes in a block. */
  readonly bytes: number
  readonly signals: readonly SignalDefinition[]
}

/** Where a figure comes from. */
export interface Provenance {
  /** Who says so. An empty list is not allowed: write `memory` where it is memory. */
  readonly sources: readonly SourceId[]
  /** How many independent sources give this position and scale. 0 where none does. */
  readonly confirmed: number
  /** What a reader should know: which of two readings was taken, and why. */
  readonly note?: string
}

/** What every signal has. */
interface SignalBase extends Provenance {
  /** Suspect parameter number. */
  readonly spn: number
  readonly name: string
  /** Where it starts, as the standard writes it: byte, or byte.bit, both counted from 1. */
  readonly at: string
}

/** A number: raw × resolution + offset. */
export interface NumericDefinition extends SignalBase {
  readonly kind: 'numeric'
  /** 1 to 64. */
  readonly bits: number
  readonly resolution: number
  readonly offset: number
  readonly unit: Unit
  readonly range?: RangeRule
}

/** A code with a meaning for each value. */
export interface StateDefinition extends SignalBase {
  readonly kind: 'state'
  /** 1 to 32. */
  readonly bits: number
  /** Label by raw value. Values with no label are shown as their number. */
  readonly states: StateLabels
  readonly range?: RangeRule
}

/** A set of independent flags, least significant first. */
export interface BitFieldDefinition extends SignalBase {
  readonly kind: 'bit-field'
  readonly bits: number
  /** Label of each bit, from the least significant. */
  readonly flags: readonly string[]
}

/** Latin-1 text: of a fixed number of bytes, or up to a `*` or the payload's end. */
export interface TextDefinition extends SignalBase {
  readonly kind: 'text'
  /** Bytes, or `delimited`: up to the next `*` or the end of the payload. */
  readonly bytes: number | 'delimited'
  /** Which of the `*`-separated fields after `at`, from 0. */
  readonly field?: number
}

/** Bytes without a scale. */
export interface BytesDefinition extends SignalBase {
  readonly kind: 'bytes'
  /** Bytes, or `rest`: up to the end of the payload. */
  readonly bytes: number | 'rest'
}

export type SignalDefinition =
  | NumericDefinition
  | StateDefinition
  | BitFieldDefinition
  | TextDefinition
  | BytesDefinition

/** Labels of a state signal, by raw value. */
export type StateLabels = Readonly<Record<number, string>>

/**
 * Which raw values are no values:
 * - `standard` (where nothing is said): the ranges of SAE J1939-71, see `signal/status.ts`;
 * - `full`: every raw value is one, the highest ones too (SPN 695: all four codes are control modes);
 * - a number: raw values above it are not available (SPN 4154: 0 to 7 are values, 8 to 15 are not;
 *   SPN 899: 14 is "other", a mode of its own, 15 is not available).
 */
export type RangeRule = 'standard' | 'full' | number

/** The zero-based first bit of a start position in the standard's notation (`'4'` is 24, `'1.5'` is 4). */
export function startBit(at: string): number {
  const [byte, bit = '1'] = at.split('.')
  return (Number(byte) - 1) * 8 + Number(bit) - 1
}

/** All signals of a group, those of its repeated part last. */
export function signalsOf(group: GroupDefinition): readonly SignalDefinition[] {
  return group.repeat ? [...group.signals, ...group.repeat.signals] : group.signals
}

/**
 * Whom a group is for. Groups of PDU format 240 and above have no destination in their identifier:
 * they are for every node.
 */
export function defaultDestination(group: Pick<GroupDefinition, 'pgn' | 'destination'>): Destination {
  return isDirectedGroup(group.pgn) ? (group.destination ?? 'either') : 'global'
}
