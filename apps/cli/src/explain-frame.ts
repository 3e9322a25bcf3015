/** One frame taken apart, for people. */
import {
  type Catalogue,
  decodeDiagnostic,
  decodeSignal,
  type GroupDefinition,
  isProprietaryGroup,
  type Message,
  parseIdentifier,
  type SignalValue,
} from '@firstcrank/decoder'
import { confidenceText, groupFormText, positionText, scaleText } from './definition-text.js'
import { diagnosticLines } from './diagnostic-text.js'
import { dataLines, identifierLines, type LetteredSignal, letteredSignals } from './explain-bits.js'
import { networkLines } from './explain-network.js'
import type { FrameInput } from './frame-input.js'
import { destinationText, nodeText, pgnText } from './names.js'
import { hex, plural, wrap } from './text.js'
import { rawText, valueText } from './value-form.js'

/** A frame as a message on its own: what the diagnostics and the network need to read it. */
export function messageOf({ id, data }: FrameInput): Message {
  const { priority, pgn, sa, da } = parseIdentifier(id)
  return { channel: 0, priority, pgn, sa, da, firstTime: 0, time: 0, payload: data, transport: 'single' }
}

/** The whole explanation. */
export function frameText(frame: FrameInput, catalogue: Catalogue): string[] {
  const { id, data } = frame
  const identifier = parseIdentifier(id)
  const group = catalogue.find(identifier.pgn)
  const signals = group === undefined ? [] : letteredSignals(group, data.length)
  const message = messageOf(frame)
  return [
    `Identifier ${hex(id, 8)}`,
    ...identifierLines(identifier),
    '',
    ...groupLines(identifier, group),
    ...(data.length === 0
      ? ['', 'No data given.']
      : ['', `Data, ${plural(data.length, 'byte')}${lengthRemark(data, group)}`, ...dataLines(data, group, signals)]),
    ...(data.length === 0 ? [] : signals.flatMap((signal) => signalLines(signal, data, group))),
    ...(data.length === 0 ? [] : meaningLines(message, catalogue)),
  ]
}

function groupLines({ pgn, sa, da }: ReturnType<typeof parseIdentifier>, group: GroupDefinition | undefined): string[] {
  const way = `From ${nodeText(sa)} to ${destinationText(da)}.`
  if (group === undefined) {
    const why = isProprietaryGroup(pgn)
      ? 'What is in it only its maker knows; where you know, describe it in a file and give that with --definitions.'
      : 'It has no definition here.'
    return [`Group ${pgnText(pgn)}`, ...wrap(why, '  '), ...wrap(way, '  ')]
  }
  return [
    ...wrap(`Group ${pgnText(pgn)}  ${group.acronym}, ${group.name}`),
    ...wrap(`${groupFormText(group)}; ${confidenceText(group)}`, '  '),
    ...wrap(way, '  '),
  ]
}

function lengthRemark(data: Uint8Array, group: GroupDefinition | undefined): string {
  if (group === undefined || group.length === 'variable' || data.length === group.length) return ''
  return ` (the definition has ${group.length})`
}

function signalLines(
  { letter, definition, instance }: LetteredSignal,
  data: Uint8Array,
  group?: GroupDefinition,
): string[] {
  const block =
    group?.repeat === undefined || instance === undefined ? 0 : group.repeat.at - 1 + instance * group.repeat.bytes
  const value = decodeSignal(definition, data.subarray(block))
  const which = instance === undefined ? '' : `, block ${instance + 1}`
  return [
    '',
    ...wrap(`${letter}  ${definition.name} (SPN ${definition.spn}${which}): ${valueText(value)}`),
    ...wrap(
      `${positionText(definition)}; ${rawRemark(value)}${scaleText(definition)}; ${confidenceText(definition)}`,
      '   ',
    ),
  ]
}

function rawRemark({ raw, status }: SignalValue): string {
  if (raw === null) return ''
  const number = typeof raw === 'number' ? ` (${raw})` : ''
  return `raw ${rawText(raw)}${number}, ${status}; `
}

/** What a message says that signals cannot: faults, requests, claims. */
function meaningLines(message: Message, catalogue: Catalogue): string[] {
  const diagnostic = decodeDiagnostic(message)
  const lines = [
    ...networkLines(message, catalogue),
    ...(diagnostic === undefined ? [] : [`DM${diagnostic.dm}`, ...diagnosticLines(diagnostic, catalogue.groups)]),
  ]
  return lines.length === 0
    ? []
    : ['', 'What it says', ...lines.flatMap((line) => (line.startsWith('  ') ? [line] : wrap(line, '  ')))]
}
