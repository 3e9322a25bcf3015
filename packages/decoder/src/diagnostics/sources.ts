/**
 * Who says so, for the tables of this folder: neutral titles of the published sources the catalogue
 * does not already have. Layouts of SAE J1939-73 beyond the fault list are from memory throughout;
 * each says so where it stands.
 */
import { SOURCES, type SourceId } from '../catalog/sources.js'

/** Title by short name. */
export const DIAGNOSTIC_SOURCES = {
  'fmi-page': 'Public list of failure mode identifiers on a workshop page',
  'genset-engine': "An engine maker's genset operator manual: list of failure mode identifiers",
  keypad: 'Keypad J1939 manual: fault messages with worked examples',
  loader: 'A loader operator manual: list of failure mode identifiers',
  training: 'Public training page: states and meanings of the diagnostic lamps',
} as const

/** A source of the catalogue, or one of {@link DIAGNOSTIC_SOURCES}. */
export type DiagnosticSourceId = SourceId | keyof typeof DIAGNOSTIC_SOURCES

/** The title of a source. */
export function diagnosticSourceTitle(id: DiagnosticSourceId): string {
  return id in DIAGNOSTIC_SOURCES ? DIAGNOSTIC_SOURCES[id as keyof typeof DIAGNOSTIC_SOURCES] : SOURCES[id as SourceId]
}
