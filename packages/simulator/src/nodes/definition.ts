/** Definitions the nodes write their messages from. */
import type { GroupDefinition, SignalInput } from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import { SimulationError } from '../error.js'

/**
 * The definition of a group the simulated nodes send.
 *
 * @throws {SimulationError} `no-definition` where the catalogue has lost it
 */
export function definitionOf(pgn: number): GroupDefinition {
  const group = findGroup(pgn)
  if (!group) throw new SimulationError('no-definition', `the catalogue has no parameter group ${pgn}`)
  return group
}

/** A two-bit state: 0 no, 1 yes. */
export const flag = (on: boolean): SignalInput => (on ? 1 : 0)
