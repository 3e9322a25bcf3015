/** What is wrong with a field of a file that a person wrote, in words for a person who has never seen a schema. */
import type { z } from 'zod'

type Issue = z.core.$ZodRawIssue

/** What to say of a field; undefined where the schema has words of its own, or for what never happens. */
export function fieldWords(issue: Issue): string | undefined {
  switch (issue.code) {
    case 'invalid_type':
      return typeWords(issue.expected, issue.input)
    case 'too_big':
      return `must ${sizeWords('at most', Number(issue.maximum), issue.origin)}`
    case 'too_small':
      return issue.minimum === 1 && issue.origin !== 'number'
        ? 'must not be empty'
        : `must ${sizeWords('at least', Number(issue.minimum), issue.origin)}`
    case 'invalid_value':
      return issue.values.length === 1
        ? `must be ${String(issue.values[0])}`
        : `must be one of ${issue.values.join(', ')}`
    case 'invalid_union':
      return kindWords(issue)
    case 'unrecognized_keys':
      return `has no field ${issue.keys.join(', nor ')}`
    default:
      return undefined
  }
}

const TYPES: Readonly<Record<string, string>> = {
  array: 'a list',
  boolean: 'true or false',
  int: 'a whole number',
  null: 'null',
  number: 'a number',
  object: 'an object',
  record: 'an object',
  string: 'a text',
}

function typeWords(expected: string, input: unknown): string {
  if (input === undefined) return 'is missing'
  const [wanted, found] = [TYPES[expected], TYPES[typeOf(input)]]
  // JSON knows no hexadecimal numbers, in which group numbers are often written.
  if ((expected === 'number' || expected === 'int') && typeof input === 'string' && /^0x[\da-f]+$/i.test(input)) {
    return `must be ${wanted}: write ${Number(input)}`
  }
  return expected === 'int' ? `must be ${wanted}` : `must be ${wanted}, not ${found}`
}

function typeOf(value: unknown): string {
  if (value === null) return 'null'
  return Array.isArray(value) ? 'array' : typeof value
}

function sizeWords(bound: string, size: number, origin: string): string {
  if (origin === 'string') return `have ${bound} ${size} characters`
  return origin === 'array' ? `have ${bound} ${size} entries` : `be ${bound} ${size}`
}

/** Kinds are told apart by one field, which the issue names together with what it may be. */
function kindWords(issue: Issue): string | undefined {
  const { discriminator, options, input } = issue as { discriminator?: string; options?: string[]; input?: unknown }
  if (discriminator === undefined || options === undefined) return undefined
  const isMissing = (input as Record<string, unknown> | undefined)?.[discriminator] === undefined
  return isMissing ? 'is missing' : `must be one of ${options.join(', ')}`
}
