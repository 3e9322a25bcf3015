/** Definitions in words: where a signal lies, how it is scaled, who says so. */
import type { GroupDefinition, SignalDefinition } from '@firstcrank/decoder'
import { confidenceInWords, confidenceOf, SOURCES, type SourceId } from '@firstcrank/decoder/catalog'
import { plural, wrap } from './text.js'
import { unitText } from './value-form.js'

/** Bits a signal takes; undefined where the payload's own content decides. */
export function widthOf(definition: SignalDefinition): number | undefined {
  if ('bits' in definition) return definition.bits
  return typeof definition.bytes === 'number' ? definition.bytes * 8 : undefined
}

/** Where a signal lies: `byte 4, 16 bits`, `byte 1 bit 5, 2 bits`. */
export function positionText(definition: SignalDefinition): string {
  const [byte, bit] = definition.at.split('.')
  const bits = widthOf(definition)
  const field = definition.kind === 'text' && definition.bytes === 'delimited' ? (definition.field ?? 0) + 1 : undefined
  const place = `byte ${byte}${bit === undefined ? '' : ` bit ${bit}`}`
  if (field !== undefined) return `from byte ${byte}, text field ${field} (fields end with *)`
  return bits === undefined ? `from ${place} to the end` : `${place}, ${plural(bits, 'bit')}`
}

/** How raw values become what they mean, in one line; empty for text and bytes. */
export function scaleText(definition: SignalDefinition): string {
  if (definition.kind === 'state') return 'a state'
  if (definition.kind === 'bit-field') return 'flags'
  if (definition.kind !== 'numeric') return definition.kind === 'text' ? 'text' : 'bytes without a scale'
  const { resolution, offset, unit } = definition
  return `${resolution}${unitText(unit)} a step${offset === 0 ? '' : `, from ${offset}${unitText(unit)}`}`
}

/** The labels of a state or of flags, one a line. */
export function labelLines(definition: SignalDefinition): string[] {
  if (definition.kind === 'state') return Object.entries(definition.states).map(([raw, label]) => `${raw}  ${label}`)
  if (definition.kind === 'bit-field') return definition.flags.map((flag, bit) => `bit ${bit + 1}  ${flag}`)
  return []
}

/** Something with a provenance. */
type Sourced = Pick<SignalDefinition, 'sources'> & { readonly confirmed?: number; readonly note?: string }

/** How sure a figure is, in words a person cannot miss where it is not. */
export function confidenceText(sourced: Sourced): string {
  const words = confidenceInWords(sourced)
  return confidenceOf(sourced) === 'memory' ? `${words}, no published source` : words
}

/**
 * Who says so, each with its full title, and the note.
 *
 * @param what the confidence is about: `Position and scale`
 */
export function sourceLines(what: string, sourced: Sourced, indent: string): string[] {
  const titles = sourced.sources.map((id: SourceId) => SOURCES[id])
  return [
    `${indent}${what}: ${confidenceText(sourced)}.`,
    ...(titles.every((title) => title === SOURCES.memory) ? [] : bullets('Who mentions it:', titles, indent)),
    ...(sourced.note === undefined ? [] : wrap(`Note: ${sourced.note}`, indent)),
  ]
}

/** A heading, and a line for each text under it. */
export function bullets(heading: string, texts: readonly string[], indent: string): string[] {
  const inner = `${indent}  `
  const bullet = (text: string): string[] =>
    wrap(text, inner).map((line, at) => (at === 0 ? `${indent}- ${line.slice(inner.length)}` : line))
  return [`${indent}${heading}`, ...texts.flatMap(bullet)]
}

const PERIODS: Readonly<Record<string, string>> = {
  'engine-speed': 'sent in step with the engine',
  'on-request': 'sent when asked for',
  'on-change': 'sent when something changes',
  'as-needed': 'sent when needed',
}

/** Length, period and priority of a group: `8 bytes, every 1000 ms, priority 6`. */
export function groupFormText({ length, period, priority }: GroupDefinition): string {
  const bytes = length === 'variable' ? 'of varying length' : plural(length, 'byte')
  const often = typeof period === 'number' ? `sent every ${period} ms` : period && PERIODS[period]
  return [bytes, often, priority === undefined ? undefined : `priority ${priority}`].filter(Boolean).join(', ')
}
