/**
 * Who says so: the published sources the definitions rest on, and the ones that are none
 * (`memory`, `practice`). Titles are given without makers' names.
 */
export const SOURCES = {
  memory: 'from memory',
  practice: 'common practice',
  own: 'a definition file given by the user',
  course:
    'University course sample parameter table (open teaching repository of a US university, ENGR 580A2): position and scale',
  list: 'The same university table, list of the SPNs of each group in byte order, with acronym and rate; no position, no scale',
  'course-lab': 'University laboratory exercise 5-1, wheel speed broadcast (open teaching repository)',
  truck: "A truck maker's bodywork CAN interface manual (English and Swedish editions)",
  'truck-fms': "A truck maker's FMS CAN interface manual",
  'truck-bits': "A truck maker's programming manual, J1939 start-bit table",
  engine: "An engine maker's published J1939 parameter table (application manual, chapter 6)",
  marine: "An engine maker's published marine display CAN interface manual",
  genset: 'Generator set controller manual, J1939 option (byte map)',
  'genset-table': 'Generator set control manual, visualization table: which SPN is in which group',
  charger: 'Battery charger manual, J1939 table: group and scale',
  fan: 'Fan controller user guide: which SPN is in which group',
  positions: 'Published SPN and PGN table: position and length, no scale',
  recording: 'Open CAN captures of two heavy trucks (public dataset): seen there, with plausible values',
} as const

/** Short name of a source. */
export type SourceId = keyof typeof SOURCES
