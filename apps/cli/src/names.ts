/** Names for the numbers of the bus, and how much they can be relied on. */
import { fmiDefinition, GLOBAL_ADDRESS, type GroupDefinition, isProprietaryGroup, type Name } from '@firstcrank/decoder'
import {
  faultName,
  findSignals,
  functionName,
  INDUSTRY_GROUPS,
  nodeRole,
  signalsOf,
  vehicleSystemName,
} from '@firstcrank/decoder/catalog'
import { hex } from './text.js'

/** What the function field of a NAME says; its number where it has no name here. */
export function nameFunction(name: Name): string {
  return functionName(name.function, name.industryGroup, name.vehicleSystem) ?? `function ${name.function}`
}

/** A node in a sentence: `Engine 1 (address 0)`, or `address 40` where nobody says what it is. */
export function nodeText(sa: number, name: Name | null = null): string {
  const role = nodeRole(sa, name)
  return role === undefined ? `address ${sa}` : `${role} (address ${sa})`
}

/** A destination in a sentence: `all nodes`, or the node. */
export function destinationText(da: number, name: Name | null = null): string {
  return da === GLOBAL_ADDRESS ? 'all nodes' : nodeText(da, name)
}

/** The 64 bits of a NAME as 16 hexadecimal digits. */
export function nameValue(name: Name): string {
  return name.value.toString(16).toUpperCase().padStart(16, '0')
}

/** Industry group and vehicle system of a NAME, in words. */
export function nameField(name: Name): string {
  const group = INDUSTRY_GROUPS[name.industryGroup] ?? `industry group ${name.industryGroup}`
  const system = vehicleSystemName(name.vehicleSystem, name.industryGroup)
  return system === undefined || SAYS_NOTHING.has(system) ? group : `${group}, ${system}`
}

/** Vehicle systems that add nothing to the industry group. */
const SAYS_NOTHING: ReadonlySet<string> = new Set(['Non-specific system', 'Not available'])

/**
 * What an SPN stands for: by somebody's own definitions, else by the built-in ones, else by the lists of
 * faults; undefined where none has it.
 */
export function spnName(spn: number, own: readonly GroupDefinition[] = []): string | undefined {
  const ownName = own.flatMap(signalsOf).find((signal) => signal.spn === spn)?.name
  return ownName ?? faultName(spn, (number) => findSignals(number)[0]?.signal.name)
}

/** What an SPN stands for in a fault; its number where no list here has it. */
export function faultTitle(spn: number, own: readonly GroupDefinition[] = []): string {
  return spnName(spn, own) ?? `SPN ${spn}, not in the public list known here`
}

/** The failure mode in the standard's words. */
export function fmiMeaning(fmi: number): string {
  return fmiDefinition(fmi)?.meaning ?? 'unknown'
}

/** The same for a person who has never read the standard. */
export function fmiPlain(fmi: number): string {
  return fmiDefinition(fmi)?.plain ?? ''
}

/** What to call a group that has no definition. */
export function undefinedGroup(pgn: number): string {
  return isProprietaryGroup(pgn) ? "the maker's own, not public" : 'not defined here'
}

/** A PGN as a number and in hexadecimal: `65262 (FEEE)`. */
export function pgnText(pgn: number): string {
  return `${pgn} (${hex(pgn, 4)})`
}
