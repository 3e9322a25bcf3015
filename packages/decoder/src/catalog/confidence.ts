/** How far a figure can be trusted, from its provenance; and the same in words for who asks. */
import { publicationsAmong, type SourceId } from './sources.js'

/**
 * - `confirmed`: two or more independent sources give position and scale;
 * - `one-source`: one does;
 * - `recordings`: none does, but real recordings hold values that agree with it;
 * - `memory`: neither;
 * - `own`: the user's own definition, for which the user vouches.
 */
export type Confidence = 'confirmed' | 'one-source' | 'recordings' | 'memory' | 'own'

/** All levels, the most trusted first; `own` stands apart. */
export const CONFIDENCES: readonly Confidence[] = ['confirmed', 'one-source', 'recordings', 'memory', 'own']

/** What both a signal and a group have. A group has no count: whoever names it confirms it. */
interface Claim {
  readonly sources: readonly SourceId[]
  readonly confirmed?: number
}

function confirmations(claim: Claim): number {
  return claim.confirmed ?? publicationsAmong(claim.sources)
}

/** How far the position and scale of a signal, or the name of a group, can be trusted. */
export function confidenceOf(claim: Claim): Confidence {
  if (claim.sources.includes('own')) return 'own'
  const count = confirmations(claim)
  if (count > 1) return 'confirmed'
  if (count === 1) return 'one-source'
  return claim.sources.includes('recording') ? 'recordings' : 'memory'
}

/** The same in plain words, to be put beside a value: `from memory`, `confirmed by 2 independent sources`. */
export function confidenceInWords(claim: Claim): string {
  switch (confidenceOf(claim)) {
    case 'own':
      return 'your own definition'
    case 'confirmed':
      return `confirmed by ${confirmations(claim)} independent sources`
    case 'one-source':
      return 'one source'
    case 'recordings':
      return 'from memory, agrees with recordings'
    case 'memory':
      return 'from memory'
  }
}
