/** The shape of the fault name tables, and how they become a map. */

/** Names of the SPNs of one theme. */
export interface FaultTable {
  readonly theme: string
  /** Where the names come from, unless `fault-sources.ts` lists an SPN under a published source. */
  readonly source: 'memory'
  /** Name by SPN. */
  readonly names: Readonly<Record<number, string>>
  /** Runs of SPNs whose names differ by a number only. */
  readonly series?: readonly FaultSeries[]
}

/** SPNs `first` to `first + count - 1`, numbered from `start`. */
export interface FaultSeries {
  readonly first: number
  readonly count: number
  /** The number in the first name; 1 where nothing is said. */
  readonly start?: number
  /** The name, with `#` in place of the number. */
  readonly name: string
}

/** Name by SPN of all tables given, in their order; a later name replaces an earlier one. */
export function faultNamesOf(tables: readonly FaultTable[]): Map<number, string> {
  const names = new Map<number, string>()
  for (const { names: single, series = [] } of tables) {
    for (const [spn, name] of Object.entries(single)) names.set(Number(spn), name)
    for (const { first, count, start = 1, name } of series) {
      for (let i = 0; i < count; i++) names.set(first + i, name.replace('#', String(start + i)))
    }
  }
  return names
}
