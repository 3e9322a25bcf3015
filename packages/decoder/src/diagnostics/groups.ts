/**
 * The diagnostic messages DM1 to DM60: number, parameter group, purpose, and who says so.
 * Where `confirmed` is 0 the number is from memory and no published source was found for it.
 */
import type { DiagnosticSourceId } from './sources.js'

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
  /** Independent sources of number and purpose. */
  readonly confirmed: number
  readonly sources: readonly DiagnosticSourceId[]
  readonly note?: string
}

/** A row of the university course parameter table. */
function listed(dm: number, pgn: number, purpose: string, kind: DiagnosticKind = 'other'): DiagnosticGroup {
  return { dm, pgn, purpose, kind, confirmed: 1, sources: ['list'] }
}

/** A row from memory. */
function recalled(dm: number, pgn: number, purpose: string, kind: DiagnosticKind = 'other'): DiagnosticGroup {
  return { dm, pgn, purpose, kind, confirmed: 0, sources: ['memory'] }
}

const UNCERTAIN = 'Purpose and parameter group are uncertain.'

/** All diagnostic messages by number. */
export const DIAGNOSTIC_GROUPS: readonly DiagnosticGroup[] = [
  {
    ...listed(1, 65226, 'active trouble codes and lamps', 'fault-list'),
    confirmed: 2,
    sources: ['list', 'engine'],
  },
  {
    ...listed(2, 65227, 'previously active trouble codes', 'fault-list'),
    confirmed: 2,
    sources: ['list', 'keypad'],
  },
  listed(3, 65228, 'clear previously active trouble codes', 'clear'),
  listed(4, 65229, 'freeze frame parameters', 'freeze-frames'),
  listed(5, 65230, 'diagnostic readiness 1', 'readiness-1'),
  listed(6, 65231, 'pending trouble codes', 'fault-list'),
  {
    ...listed(7, 58112, 'command non-continuously monitored test'),
    note: 'Named in the entry of DM8, its answer.',
  },
  listed(8, 65232, 'test results for non-continuously monitored systems'),
  listed(9, 65233, 'oxygen sensor test results'),
  listed(10, 65234, 'non-continuously monitored test identifiers supported'),
  listed(11, 65235, 'clear active trouble codes', 'clear'),
  listed(12, 65236, 'emissions-related active trouble codes', 'fault-list'),
  recalled(13, 57088, 'stop or start broadcast', 'stop-start-broadcast'),
  recalled(14, 55552, 'memory access request'),
  recalled(15, 55296, 'memory access response'),
  recalled(16, 55040, 'binary data transfer'),
  recalled(17, 54784, 'boot load data'),
  recalled(18, 54272, 'data security'),
  recalled(19, 54016, 'calibration information', 'calibrations'),
  recalled(20, 49664, 'monitor performance ratio', 'monitor-ratios'),
  recalled(21, 49408, 'diagnostic readiness 2', 'readiness-2'),
  recalled(22, 49920, 'individual clear of a trouble code', 'individual-clear'),
  recalled(23, 64949, 'emissions-related previously active trouble codes', 'fault-list'),
  recalled(24, 64950, 'supported parameters', 'spn-support'),
  recalled(25, 64951, 'expanded freeze frame', 'expanded-freeze-frames'),
  recalled(26, 64952, 'diagnostic readiness 3', 'readiness-3'),
  recalled(27, 64898, 'all pending trouble codes', 'fault-list'),
  recalled(28, 64896, 'permanent trouble codes', 'fault-list'),
  recalled(29, 40448, 'trouble code counts', 'fault-counts'),
  recalled(30, 41984, 'scaled test results'),
  recalled(31, 41728, 'trouble code to lamp association'),
  recalled(32, 41472, 'regulated exhaust emission level exceedance'),
  recalled(33, 41216, 'emission increasing auxiliary control device active time'),
  recalled(34, 40960, 'not-to-exceed zone status'),
  recalled(35, 40704, 'immediate fault status'),
  recalled(36, 64868, 'harmonized roadworthiness, vehicle'),
  recalled(37, 64867, 'harmonized roadworthiness, system'),
  recalled(38, 64866, 'harmonized global technical regulation description'),
  recalled(39, 64865, 'harmonized cumulative continuous malfunction indicator, system'),
  recalled(40, 64864, 'harmonized class B1 failure counts'),
  recalled(41, 64863, 'class A trouble codes, pending'),
  recalled(42, 64862, 'class A trouble codes, confirmed and active'),
  recalled(43, 64861, 'class A trouble codes, previously active'),
  recalled(44, 64860, 'class B1 trouble codes, pending'),
  recalled(45, 64859, 'class B1 trouble codes, confirmed and active'),
  recalled(46, 64858, 'class B1 trouble codes, previously active'),
  recalled(47, 64857, 'class B2 trouble codes, pending'),
  recalled(48, 64856, 'class B2 trouble codes, confirmed and active'),
  recalled(49, 64855, 'class B2 trouble codes, previously active'),
  recalled(50, 64854, 'class C trouble codes, pending'),
  recalled(51, 64853, 'class C trouble codes, confirmed and active'),
  recalled(52, 64852, 'class C trouble codes, previously active'),
  recalled(53, 64721, 'active service-only trouble codes'),
  recalled(54, 64722, 'previously active service-only trouble codes'),
  recalled(55, 64723, 'clear service-only trouble codes'),
  recalled(56, 64711, 'engine emissions certification information'),
  recalled(57, 64710, 'on-board diagnostics information'),
  { ...recalled(58, 64475, 'rationality fault parameter data'), note: UNCERTAIN },
  { ...recalled(59, 64476, 'rationality fault parameters monitored'), note: UNCERTAIN },
  { ...recalled(60, 64474, 'rationality fault parameter data, other'), note: UNCERTAIN },
]

const BY_PGN: ReadonlyMap<number, DiagnosticGroup> = new Map(DIAGNOSTIC_GROUPS.map((group) => [group.pgn, group]))

/** The diagnostic message a parameter group carries; undefined for any other group. */
export function diagnosticGroup(pgn: number): DiagnosticGroup | undefined {
  return BY_PGN.get(pgn)
}

/** A diagnostic message by its number: 1 for DM1. Undefined outside 1 to 60. */
export function diagnosticGroupByNumber(dm: number): DiagnosticGroup | undefined {
  return DIAGNOSTIC_GROUPS[dm - 1]
}
