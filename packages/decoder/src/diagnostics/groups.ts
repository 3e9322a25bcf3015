/** The diagnostic messages DM1 to DM60, and what each is read as. Names and sources: the catalogue. */
import type { GroupDefinition } from '../catalog/definition.js'
import { DIAGNOSTICS } from '../catalog/groups/diagnostics.js'

/** What a diagnostic message is read as. `other`: known by name, its payload left as it is. */
export type DiagnosticKind =
  | 'fault-list'
  | 'clear'
  | 'individual-clear'
  | 'freeze-frames'
  | 'expanded-freeze-frames'
  | 'readiness-1'
  | 'readiness-2'
  | 'readiness-3'
  | 'stop-start-broadcast'
  | 'calibrations'
  | 'monitor-ratios'
  | 'spn-support'
  | 'fault-counts'
  | 'other'

export interface DiagnosticGroup {
  /** Number of the diagnostic message: 1 for DM1. */
  readonly dm: number
  readonly pgn: number
  readonly purpose: string
  readonly kind: DiagnosticKind
  /** The catalogue's entry: name and who says so. */
  readonly definition: GroupDefinition
}

/** Kind by number; those not listed are `other`. */
const KINDS: Readonly<Record<number, DiagnosticKind>> = {
  1: 'fault-list',
  2: 'fault-list',
  3: 'clear',
  4: 'freeze-frames',
  5: 'readiness-1',
  6: 'fault-list',
  11: 'clear',
  12: 'fault-list',
  13: 'stop-start-broadcast',
  19: 'calibrations',
  20: 'monitor-ratios',
  21: 'readiness-2',
  22: 'individual-clear',
  23: 'fault-list',
  24: 'spn-support',
  25: 'expanded-freeze-frames',
  26: 'readiness-3',
  27: 'fault-list',
  28: 'fault-list',
  29: 'fault-counts',
}

/** All diagnostic messages by number. */
export const DIAGNOSTIC_GROUPS: readonly DiagnosticGroup[] = DIAGNOSTICS.map((definition, index) => ({
  dm: index + 1,
  pgn: definition.pgn,
  purpose: definition.name,
  kind: KINDS[index + 1] ?? 'other',
  definition,
}))

const BY_PGN: ReadonlyMap<number, DiagnosticGroup> = new Map(DIAGNOSTIC_GROUPS.map((group) => [group.pgn, group]))

/** The diagnostic message a parameter group carries; undefined for any other group. */
export function diagnosticGroup(pgn: number): DiagnosticGroup | undefined {
  return BY_PGN.get(pgn)
}

/** A diagnostic message by its number: 1 for DM1. Undefined outside 1 to 60. */
export function diagnosticGroupByNumber(dm: number): DiagnosticGroup | undefined {
  return DIAGNOSTIC_GROUPS[dm - 1]
}
