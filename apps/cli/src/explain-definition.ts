/** Definitions and who says so, for people. */
import { type Catalogue, type GroupDefinition, isProprietaryGroup, type SignalDefinition } from '@firstcrank/decoder'
import { faultNameConfirmed, faultNameSources, SOURCES, signalsOf } from '@firstcrank/decoder/catalog'
import {
  bullets,
  confidenceText,
  groupFormText,
  labelLines,
  positionText,
  scaleText,
  sourceLines,
} from './definition-text.js'
import { pgnText, spnName } from './names.js'
import { plural, wrap } from './text.js'

/** A signal and the group that carries it. */
export interface Place {
  readonly group: GroupDefinition
  readonly signal: SignalDefinition
}

/** Every place where an SPN is carried, own definitions first. */
export function placesOf(spn: number, catalogue: Catalogue): Place[] {
  return catalogue.groups.flatMap((group) =>
    signalsOf(group)
      .filter((signal) => signal.spn === spn)
      .map((signal) => ({ group, signal })),
  )
}

/** What is known of an SPN. */
export function spnText(spn: number, catalogue: Catalogue): string[] {
  const places = placesOf(spn, catalogue)
  const name = places[0]?.signal.name ?? spnName(spn)
  if (name === undefined) return [`SPN ${spn}`, '  No list here has it: neither as a signal nor as a fault.']
  return [
    `SPN ${spn}  ${name}`,
    ...places.flatMap(({ group, signal }) => ['', ...placeLines(group, signal)]),
    ...(spnName(spn) === undefined ? [] : ['', ...faultNameLines(spn, places.length === 0)]),
  ]
}

function placeLines(group: GroupDefinition, signal: SignalDefinition): string[] {
  const isRepeated = group.repeat?.signals.includes(signal) ?? false
  return [
    ...wrap(
      `In group ${pgnText(group.pgn)}  ${group.acronym}, ${group.name}${isRepeated ? ', in its repeated part' : ''}`,
    ),
    `  ${positionText(signal)}`,
    `  ${scaleText(signal)}${rangeText(signal)}`,
    ...labelLines(signal).map((line) => `    ${line}`),
    ...sourceLines('Position and scale', signal, '  '),
  ]
}

function rangeText(signal: SignalDefinition): string {
  if (signal.kind !== 'numeric' && signal.kind !== 'state') return ''
  if (signal.range === 'full') return '; every raw value is a value'
  return typeof signal.range === 'number' ? `; raw values above ${signal.range} are not available` : ''
}

function faultNameLines(spn: number, isOnlyFault: boolean): string[] {
  const what = isOnlyFault ? 'No group here carries it; it names a fault. The name is' : 'As the name of a fault:'
  if (faultNameConfirmed(spn) === 0) return wrap(`${what} from memory, no published source.`)
  return bullets(
    `${what} published, in`,
    faultNameSources(spn).map((id) => SOURCES[id]),
    '',
  )
}

/** What is known of a parameter group. */
export function pgnTextLines(pgn: number, catalogue: Catalogue): string[] {
  const group = catalogue.find(pgn)
  if (group === undefined) {
    const why = isProprietaryGroup(pgn) ? 'Only its maker knows what is in it.' : 'It has no definition here.'
    return [`PGN ${pgnText(pgn)}`, `  ${why}`]
  }
  const signals = signalsOf(group)
  return [
    ...wrap(`PGN ${pgnText(pgn)}  ${group.acronym}, ${group.name}`),
    ...wrap(groupFormText(group), '  '),
    ...sourceLines('Name and number', group, '  '),
    '',
    signals.length === 0 ? '  No signals are defined for it.' : `  ${plural(signals.length, 'signal')}`,
    ...signals.flatMap((signal) => [
      ...wrap(`SPN ${signal.spn}  ${signal.name}`, '  '),
      ...wrap(`${positionText(signal)}; ${scaleText(signal)}; ${confidenceText(signal)}`, '      '),
      ...(signal.note === undefined ? [] : wrap(`Note: ${signal.note}`, '      ')),
    ]),
  ]
}
