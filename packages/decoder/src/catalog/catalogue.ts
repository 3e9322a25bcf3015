/** The definitions in force: the built-in ones, and a person's own, which win. */

import { findGroup, GROUPS } from './built-in.js'
import type { GroupDefinition } from './definition.js'

/** Looks up definitions. */
export class Catalogue {
  readonly #own: ReadonlyMap<number, GroupDefinition>

  /** @param own definitions that come before the built-in ones with the same PGN */
  constructor(own: readonly GroupDefinition[] = []) {
    this.#own = new Map(own.map((group) => [group.pgn, group]))
  }

  /** The definition of a parameter group, if there is one. */
  find(pgn: number): GroupDefinition | undefined {
    return this.#own.get(pgn) ?? findGroup(pgn)
  }

  /** All definitions, own ones first. */
  get groups(): readonly GroupDefinition[] {
    return [...this.#own.values(), ...GROUPS.filter((group) => !this.#own.has(group.pgn))]
  }
}
