/** Text of a definition file → definitions the decoder takes. */
import type { GroupDefinition, SignalDefinition } from '@firstcrank/decoder'
import { isDirectedGroup, startBit } from '@firstcrank/decoder'
import type { z } from 'zod'
import { type DefinitionsFile, definitionsFile, type GroupInFile, type SignalInFile } from './schema.js'
import { fieldWords } from './words.js'

/** What is wrong with a definition file. `not-json`: not JSON at all; `invalid`: see `problems`. */
export type DefinitionsErrorCode = 'not-json' | 'invalid'

/** A definition file that cannot be used. */
export class DefinitionsError extends Error {
  readonly code: DefinitionsErrorCode
  /** One line for each thing that is wrong, each starting with the field's place: `groups[0].signals[2].bits: …`. */
  readonly problems: readonly string[]

  constructor(code: DefinitionsErrorCode, problems: readonly string[]) {
    super(problems.join('\n'))
    this.name = 'DefinitionsError'
    this.code = code
    this.problems = problems
  }
}

/**
 * Reads a definition file.
 *
 * @throws {DefinitionsError} `not-json` or `invalid`
 */
export function parseDefinitions(text: string): GroupDefinition[] {
  let json: unknown
  try {
    json = JSON.parse(text.replace(/^\ufeff/, ''))
  } catch (error) {
    // The message quotes the text, line ends and all.
    throw new DefinitionsError('not-json', [`not JSON: ${(error as Error).message.replaceAll(/\s+/g, ' ')}`])
  }
  const result = definitionsFile.safeParse(json, { error: fieldWords })
  if (!result.success) {
    throw new DefinitionsError(
      'invalid',
      result.error.issues.map((issue) => `${placeOf(issue.path)}: ${messageOf(issue)}`),
    )
  }
  const problems = contradictions(result.data)
  if (problems.length > 0) throw new DefinitionsError('invalid', problems)
  return result.data.groups.map((group) => toGroup(group, `From: ${result.data.source}`))
}

type Issue = z.core.$ZodIssue

/** A key that is none carries what is wrong with it inside. */
function messageOf(issue: Issue): string {
  return (issue.code === 'invalid_key' ? issue.issues[0]?.message : undefined) ?? issue.message
}

function placeOf(path: readonly PropertyKey[]): string {
  const place = path.map((part) => (typeof part === 'number' ? `[${part}]` : `.${String(part)}`)).join('')
  return place.replace(/^\./, '') || 'file'
}

/** What a schema cannot say: what is given twice, a destination in a PGN, and what there is no room for. */
function contradictions(file: DefinitionsFile): string[] {
  const problems: string[] = []
  const seen = new Set<number>()
  file.groups.forEach((group, index) => {
    const place = `groups[${index}]`
    if (seen.has(group.pgn)) problems.push(`${place}.pgn: ${group.pgn} is defined twice in this file`)
    seen.add(group.pgn)
    if (isDirectedGroup(group.pgn) && group.pgn % 256 !== 0) {
      const pgn = group.pgn - (group.pgn % 256)
      problems.push(`${place}.pgn: the low byte of ${group.pgn} is a destination; the group is ${pgn}`)
    }
    const spns = new Set<number>()
    const parts = [
      { signals: group.signals, length: group.length, part: `${place}.signals` },
      { signals: group.repeat?.signals ?? [], length: group.repeat?.bytes ?? 0, part: `${place}.repeat.signals` },
    ] as const
    for (const { signals, length, part } of parts) {
      problems.push(...signalsPastEnd(signals, length, part))
      signals.forEach((signal, at) => {
        if (spns.has(signal.spn)) problems.push(`${part}[${at}].spn: ${signal.spn} is in this group twice`)
        spns.add(signal.spn)
        problems.push(...codesPastWidth(signal, `${part}[${at}]`))
      })
    }
  })
  return problems
}

/** Raw values that the signal is too narrow to hold. */
function codesPastWidth(signal: SignalInFile, place: string): string[] {
  if (signal.kind !== 'numeric' && signal.kind !== 'state') return []
  const { bits, range } = signal
  const highest = 2 ** bits - 1
  const states = signal.kind === 'state' ? Object.keys(signal.states) : []
  const fields = [
    ...(typeof range === 'number' && range > highest ? ['range'] : []),
    ...states.filter((raw) => Number(raw) > highest).map((raw) => `states.${raw}`),
  ]
  return fields.map((field) => `${place}.${field}: ${bits} bits hold no more than ${highest}`)
}

function signalsPastEnd(signals: readonly SignalInFile[], length: number | 'variable', place: string): string[] {
  if (length === 'variable') return []
  return signals.flatMap((signal, index) => {
    const end = startBit(signal.at) + bitsOf(signal)
    return end <= length * 8
      ? []
      : [`${place}[${index}]: ends at byte ${Math.ceil(end / 8)}, after the last one (${length})`]
  })
}

function bitsOf(signal: SignalInFile): number {
  if (signal.kind === 'bit-field') return signal.flags.length
  if (signal.kind === 'numeric' || signal.kind === 'state') return signal.bits
  return typeof signal.bytes === 'number' ? signal.bytes * 8 : 8
}

function toGroup(group: GroupInFile, from: string): GroupDefinition {
  const { pgn, acronym, name, length, priority, period, repeat } = group
  return {
    pgn,
    acronym,
    name,
    length,
    ...(priority === undefined ? {} : { priority }),
    ...(period === undefined ? {} : { period }),
    ...(repeat === undefined
      ? {}
      : { repeat: { ...repeat, signals: repeat.signals.map((signal) => toSignal(signal, from)) } }),
    signals: group.signals.map((signal) => toSignal(signal, from)),
    sources: ['own'],
    note: from,
  }
}

function toSignal(signal: SignalInFile, from: string): SignalDefinition {
  const { note, ...rest } = signal
  const common = { sources: ['own'], confirmed: 0, note: note === undefined ? from : `${note}. ${from}` } as const
  switch (rest.kind) {
    case 'bit-field':
      return { ...rest, bits: rest.flags.length, ...common }
    case 'numeric':
    case 'state': {
      const { range, ...scaled } = rest
      return { ...scaled, ...common, ...(range === undefined ? {} : { range }) } as SignalDefinition
    }
    case 'text': {
      const { field, ...fixed } = rest
      return { ...fixed, ...common, ...(field === undefined ? {} : { field }) }
    }
    case 'bytes':
      return { ...rest, ...common }
  }
}
