/** What can be wrong with a diagnostic payload. Whatever else it holds is kept. */

/** Every problem code and what it says. */
export const DIAGNOSTIC_PROBLEMS = {
  'short-payload': 'the payload ends before the part every message of this group has',
  'incomplete-dtc': 'the payload ends inside a trouble code',
  'incomplete-block': 'the payload ends inside one of its equal blocks',
  'freeze-frame-length': 'the lengths of the freeze frames do not fit the payload',
  'freeze-frame-parameters': 'the listed parameters do not add up to the length of the freeze frame',
  'unexpected-payload': 'the payload should be empty or all FF',
  'field-count': 'the number of text fields is not the number announced',
} as const

export type DiagnosticProblemCode = keyof typeof DIAGNOSTIC_PROBLEMS

/** One thing wrong with a payload. */
export interface DiagnosticProblem {
  readonly code: DiagnosticProblemCode
  /** The first byte concerned, from 0. */
  readonly at: number
}

/** Where the filler at a payload's end begins: the last run of FF, or of 00 as some nodes pad. */
export function fillerStart(payload: Uint8Array): number {
  const last = payload.at(-1)
  if (last !== 0x00 && last !== 0xff) return payload.length
  return payload.findLastIndex((byte) => byte !== last) + 1
}
