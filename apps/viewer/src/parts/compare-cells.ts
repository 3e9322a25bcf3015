/** Operating cells of two runs, laid out as maps of speed and load and as bars of temperature. Pure. */
import { BIN_WIDTH, type Cell, type CellPlaces } from '@firstcrank/analysis'

/** Seconds in both runs. */
export interface Seconds {
  readonly before: number
  readonly after: number
}

/** Time in some cells, and where the longest stay in one of them is. */
export interface Stay extends Seconds {
  readonly longest: CellPlaces
}

const NEVER: Stay = { before: 0, after: 0, longest: { before: null, after: null } }

/** A map of time by speed and load. */
export interface UseMap {
  /** Lower ends of bins: rpm ascending, % descending as on a sheet; null where load is not known. */
  readonly speeds: readonly number[]
  readonly loads: readonly (number | null)[]
  at(speed: number, load: number | null): Stay
  /** s, the longest of any cell in either run. */
  readonly most: number
}

/** Time with the engine running; null where there is none with a speed in either run. */
export function useMap(cells: readonly Cell[]): UseMap | null {
  const running = cells.filter(({ use, speed }) => use === 'running' && speed !== null)
  if (running.length === 0) return null
  const sums = summed(running, ({ speed, load }) => `${speed}/${load}`)
  const known = running.flatMap(({ load }) => load ?? [])
  return {
    speeds: bins(
      running.flatMap(({ speed }) => speed ?? []),
      BIN_WIDTH.speed,
    ),
    loads: [...bins(known, BIN_WIDTH.load).reverse(), ...(running.some(({ load }) => load === null) ? [null] : [])],
    at: (speed, load) => sums.get(`${speed}/${load}`) ?? NEVER,
    most: Math.max(...[...sums.values()].flatMap(({ before, after }) => [before, after])),
  }
}

/** Time by coolant temperature, whatever the engine did; empty where it is not known in both runs. */
export function coolantBars(cells: readonly Cell[]): readonly (Stay & { readonly coolant: number })[] {
  const known = cells.filter(({ coolant }) => coolant !== null)
  const sums = summed(known, ({ coolant }) => `${coolant}`)
  return bins(
    known.flatMap(({ coolant }) => coolant ?? []),
    BIN_WIDTH.coolant,
  ).map((coolant) => ({ coolant, ...(sums.get(`${coolant}`) ?? NEVER) }))
}

/** How deep a cell is tinted: 0 nothing, 4 the longest. By factors, since idling outlasts all else. */
export function depthOf(seconds: number, most: number): 0 | 1 | 2 | 3 | 4 {
  if (seconds <= 0) return 0
  const share = Math.log1p(seconds) / Math.log1p(Math.max(most, 1))
  return share > 0.8 ? 4 : share > 0.55 ? 3 : share > 0.3 ? 2 : 1
}

function summed(cells: readonly Cell[], key: (cell: Cell) => string): Map<string, Stay> {
  const sums = new Map<string, Stay>()
  for (const cell of cells) {
    const { before, after, longest } = sums.get(key(cell)) ?? NEVER
    sums.set(key(cell), {
      before: before + cell.before,
      after: after + cell.after,
      longest: {
        before: longer(longest.before, cell.longest.before),
        after: longer(longest.after, cell.longest.after),
      },
    })
  }
  return sums
}

type Place = CellPlaces['before']

function longer(one: Place, two: Place): Place {
  if (one === null || two === null) return one ?? two
  return two.to - two.from > one.to - one.from ? two : one
}

/** From the least to the greatest, none left out. */
function bins(values: readonly number[], width: number): number[] {
  if (values.length === 0) return []
  const least = Math.min(...values)
  return Array.from({ length: (Math.max(...values) - least) / width + 1 }, (_, index) => least + index * width)
}
