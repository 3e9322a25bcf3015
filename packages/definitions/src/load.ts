/** Text of a definition file → definitions the decoder takes. */
import type { GroupDefinition, SignalDefinition } from '@firstcrank/decoder'
import { isDirectedGroup, startBit } from '@firstcrank/decoder'
import { type DefinitionsFile, definitionsFile, type GroupInFile, type SignalInFile } from './schema.js'

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
    json = JSON.parse(text)
  } catch (error) {
    throw new DefinitionsError('not-json', [`not JSON: ${(error as Error).message}`])
  }
  const result = definitionsFile.safeParse(json)
  if (!result.success) {
    throw new DefinitionsError(
      'invalid',
      result.error.issues.map((issue) => `${placeOf(issue.path)}: ${issue.message}`),
    )
  }
  const problems = contradictions(result.data)
  if (problems.length > 0) throw new DefinitionsError('invalid', problems)
  return result.data.groups.map((group) => toGroup(group, `From: ${result.data.source}`))
}

function placeOf(path: readonly PropertyKey[]): string {
  const place = path.map((part) => (typeof part === 'number' ? `[${part}]` : `.${String(part)}`)).join('')
  return place.replace(/^\./, '') || 'file'
}

/** What a schema cannot say: groups given twice or with a destination, signals that reach past their group's end. */
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
    problems.push(...signalsPastEnd(group.signals, group.length, `${place}.signals`))
    if (group.repeat) {
      problems.push(...signalsPastEnd(group.repeat.signals, group.repeat.bytes, `${place}.repeat.signals`))
    }
  })
  return problems
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
