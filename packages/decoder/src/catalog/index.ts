/**
 * The catalogue's front door: definitions, look-ups, names, sources and how far each figure can be
 * trusted. Nothing in it needs a module of another folder.
 */
export {
  findGroup,
  findSignals,
  GROUPS,
  type SignalInGroup,
} from './built-in.js'
export { Catalogue } from './catalogue.js'
export * from './confidence.js'
export type * from './definition.js'
export { defaultDestination, signalsOf, startBit } from './definition.js'
export * from './names/index.js'
export { SOURCES, type SourceId } from './sources.js'
export { UNITS, type Unit } from './units.js'
