/** What went wrong while a log was read: all of it counted, the first of it kept. */
import { LINE_PROBLEMS, type LineProblem } from './line.js'

/** A code, what it means, and whether a line with it gave no frame. */
export interface ProblemDefinition {
  readonly code: ProblemCode
  readonly lost: boolean
  readonly meaning: string
}

/** Problems of a line that only who reads the whole log can see: its limits. */
export const READER_PROBLEMS = [
  { code: 'line-too-long', lost: true, meaning: 'the line is longer than the limit and was not read' },
  { code: 'too-many-channels', lost: true, meaning: 'the frame is on one interface more than the limit' },
  { code: 'too-many-identifiers', lost: true, meaning: 'the frame has one identifier more than the limit' },
  {
    code: 'damaged-compression',
    lost: true,
    meaning: 'the compressed log is damaged or ends early; what came before was read',
  },
] as const

/** Code of a problem met while reading a log. */
export type ProblemCode = LineProblem | (typeof READER_PROBLEMS)[number]['code']

/** Every problem there is. */
export const PROBLEMS: readonly ProblemDefinition[] = [...LINE_PROBLEMS, ...READER_PROBLEMS]

/** One line with a problem. */
export interface Problem {
  readonly code: ProblemCode
  /** Number of the line, from 1. */
  readonly line: number
  /** Its first {@link PROBLEM_TEXT_CHARACTERS} characters, safe to print: none of them is a control character. */
  readonly text: string
}

/** How often a problem was met. */
export interface ProblemCount {
  readonly code: ProblemCode
  readonly count: number
  /** Whether these lines gave no frame. */
  readonly lost: boolean
}

/** Problems kept by default. */
export const DEFAULT_MAX_PROBLEMS = 100
/** Characters of a line that a problem keeps. */
export const PROBLEM_TEXT_CHARACTERS = 120

/** Counts problems, and keeps the first ones: of every code at least one, beyond the limit if need be. */
export class ProblemList {
  readonly #limit: number
  readonly #kept: Problem[] = []
  readonly #counts = new Map<ProblemCode, number>()

  constructor(limit: number = DEFAULT_MAX_PROBLEMS) {
    this.#limit = limit
  }

  /**
   * Adds the problem of the line bytes[start, end).
   *
   * @param line number of the line, from 1
   */
  add(code: ProblemCode, line: number, bytes: Uint8Array, start: number, end: number): void {
    const before = this.#counts.get(code) ?? 0
    this.#counts.set(code, before + 1)
    if (this.#kept.length < this.#limit || before === 0) {
      this.#kept.push({ code, line, text: printableText(bytes, start, end) })
    }
  }

  /** The first problems, in the order they were met. */
  get kept(): readonly Problem[] {
    return this.#kept
  }

  /** Problems met, kept or not. */
  get total(): number {
    let sum = 0
    for (const count of this.#counts.values()) sum += count
    return sum
  }

  /** Problems by code, in the order of {@link PROBLEMS}; only those that were met. */
  counts(): readonly ProblemCount[] {
    return PROBLEMS.flatMap(({ code, lost }) => {
      const count = this.#counts.get(code)
      return count === undefined ? [] : [{ code, count, lost }]
    })
  }
}

/** The longest UTF-8 character. */
const MAX_BYTES_PER_CHARACTER = 4

/** The first characters of a line. What is not UTF-8, or would do something to a terminal, becomes U+FFFD. */
function printableText(bytes: Uint8Array, start: number, end: number): string {
  const enough = Math.min(end, start + PROBLEM_TEXT_CHARACTERS * MAX_BYTES_PER_CHARACTER)
  const decoded = new TextDecoder().decode(bytes.subarray(start, enough)).replace(/\r+$/, '').replaceAll('\t', ' ')
  return Array.from(decoded).slice(0, PROBLEM_TEXT_CHARACTERS).join('').replace(/\p{C}/gu, '\ufffd')
}
