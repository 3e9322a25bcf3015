/**
 * Who says so, for the name tables: neutral titles of the published sources, and memory.
 * A table keeps its names apart from its sources, so that a program that only shows names need not
 * load them.
 */
import { SOURCES } from '../sources.js'

/** Sources of names alone. */
const OF_NAMES = {
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
} as const

/** Short name of a source. */
export type NameSourceId = 'memory' | 'list' | 'truck' | 'engine' | 'marine' | keyof typeof OF_NAMES

/** Title by short name. */
export const NAME_SOURCES: Readonly<Record<NameSourceId, string>> = {
  ...OF_NAMES,
  memory: SOURCES.memory,
  list: SOURCES.list,
  truck: SOURCES.truck,
  engine: SOURCES.engine,
  marine: SOURCES.marine,
}

/** The codes that each source names. */
export type SourceLists = Readonly<Partial<Record<NameSourceId, readonly number[]>>>

/** The sources that name a code: `['memory']` where no published one does. */
export function sourcesOf(lists: SourceLists, code: number): NameSourceId[] {
  const sources = (Object.keys(lists) as NameSourceId[]).filter((id) => lists[id]?.includes(code))
  return sources.length > 0 ? sources : ['memory']
}

/** How many independent published sources name a code. 0 means from memory alone. */
export function confirmations(lists: SourceLists, code: number): number {
  return sourcesOf(lists, code).filter((id) => id !== 'memory').length
}
