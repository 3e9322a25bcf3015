/**
 * Who says so: every source that a table of the decoder rests on, and the ones that are none
 * (`memory`, `practice`, `own`). Titles are given without makers' names.
 */

/** Title by short name. */
export const SOURCES = {
  memory: 'from memory',
  practice: 'common practice',
  own: 'a definition file given by the user',
  recording: 'Open CAN captures of two heavy trucks (public dataset): seen there, with plausible values',

  // Position and scale of signals, or position and codes
  course: 'University course sample parameter table (open teaching repository of a US university): position and scale',
  'course-lab': 'University laboratory exercise 5-1, wheel speed broadcast (open teaching repository)',
  truck: "A truck maker's bodywork CAN interface manual (English and Swedish editions)",
  'truck-fms': "A truck maker's FMS CAN interface manual",
  'truck-bits': "A truck maker's programming manual, J1939 start-bit table",
  engine: "An engine maker's published J1939 parameter table (application manual, chapter 6)",
  'engine-offroad':
    "An off-road engine maker's electrical application manual, indicator tables: position, length and states",
  'engine-switches':
    "An engine maker's electrical manual for truck engines, switches read from J1939: position and states",
  marine: "An engine maker's published marine display CAN interface manual",
  genset: 'Generator set controller manual, J1939 option (byte map)',
  governor: 'Engine speed governor manual, messages from the bus: position and a worked example',
  'iso-list': 'Official online parameter list of ISO 11783: position, length and scale',

  // Which signal is in which group, its length or its scale, but not all of position and scale
  list: 'The same university table, list of the SPNs of each group in byte order, with acronym and rate; no position, no scale',
  positions: 'Published SPN and PGN table: position and length, no scale',
  charger: 'Battery charger manual, J1939 table: group and scale',
  fan: 'Fan controller user guide: which SPN is in which group',
  'genset-table': 'Generator set control manual, visualization table: which SPN is in which group',

  // Names, addresses, trouble codes
  'public-text': 'Public text without a named author, cross-checked',
  'claim-lab': 'University laboratory notebook on address claims (open teaching repository)',
  'kernel-header': 'J1939 header of the Linux kernel',
  'annex-contents': "Contents page of the standard's digital annex, July 2019: titles of its tables",
  'top-level-standard': 'J1939 top level document, October 2007: rationale',
  'isobus-dictionary': 'ISO 11783-11 online data dictionary: list of device classes',
  'plc-manual': 'Programming system documentation on J1939 nodes',
  'io-manual': 'I/O controller manuals',
  'display-manual': 'Operator display manual',
  'open-capture': 'Open CAN captures of heavy trucks (public dataset)',
  'brake-manual': "Brake system makers' manuals, tables of trouble codes",
  'compressor-manual': "An air compressor maker's operating instructions, engine trouble codes",
  'loader-manual': "A loader maker's operator manual, engine trouble codes",
  'telehandler-manual': "A telescopic handler maker's operator manual, list of SPNs",
  'excavator-list': "An excavator maker's list of engine trouble codes",
  'tractor-list': 'List of trouble codes of a tractor engine, with SPN names',
  'off-road-list': 'Lists of trouble codes of an off-road diesel engine',
  'industrial-manual': "An industrial engine maker's installation manual",
  'towed-manual': 'Manual of a towed machine, engine trouble codes',
  'dm1-manual': "An engine maker's manual on fault messages, list of SPNs",
  'controller-manual': 'Generator set controller manual, list of common SPNs',
  'aftertreatment-list': 'List of trouble codes of an aftertreatment controller',
  'transmission-list': "A transmission maker's overview of trouble codes with SPN and FMI",
  'shift-manual': "An automated transmission maker's troubleshooting manual",
  'heater-article': 'Workshop articles on faults of exhaust fluid line heaters',
  'turbo-article': 'Workshop article on faults of turbocharger actuators',

  // Diagnostic messages
  'fmi-page': 'Public list of failure mode identifiers on a workshop page',
  'genset-engine': "An engine maker's genset operator manual: list of failure mode identifiers",
  keypad: 'Keypad J1939 manual: fault messages with worked examples',
  loader: 'A loader operator manual: list of failure mode identifiers',
  training: 'Public training page: states and meanings of the diagnostic lamps',
} as const

/** Short name of a source. */
export type SourceId = keyof typeof SOURCES

/** Not published, or not a statement by anybody: these confirm nothing. */
const NO_PUBLICATION: ReadonlySet<SourceId> = new Set(['memory', 'practice', 'own', 'recording'])

/** Sources of the same hand, which count once: the second is by who wrote the first. */
const SAME_HAND: Partial<Record<SourceId, SourceId>> = { list: 'course', 'course-lab': 'course', 'truck-fms': 'truck' }

/** Whether a source is a publication, and so confirms what it says. */
export function isPublication(id: SourceId): boolean {
  return !NO_PUBLICATION.has(id)
}

/** How many independent publications are among some sources. */
export function publicationsAmong(sources: readonly SourceId[]): number {
  return new Set(sources.filter(isPublication).map((id) => SAME_HAND[id] ?? id)).size
}
