/** A maker's figures by speed and something else: read between the points in straight lines. */

/** Rows for each `y`, one figure for each `x`; both rising. */
export interface Table2 {
  readonly x: readonly number[]
  readonly y: readonly number[]
  readonly values: readonly (readonly number[])[]
}

/** The value at a point; beyond the edges the edge's; NaN where the point is not known. */
export function lookUp({ x, y, values }: Table2, atX: number, atY: number): number {
  const column = placeIn(x, atX)
  const row = placeIn(y, atY)
  const along = (index: number): number => {
    const figures = values[index] ?? []
    const low = figures[column.index] ?? Number.NaN
    const high = figures[Math.min(column.index + 1, x.length - 1)] ?? Number.NaN
    return low + (high - low) * column.share
  }
  const low = along(row.index)
  return low + (along(Math.min(row.index + 1, y.length - 1)) - low) * row.share
}

/** The value of a straight-line curve, `[x, y]` in rising x; beyond the ends the end's; NaN at NaN. */
export function interpolate(points: readonly (readonly [number, number])[], at: number): number {
  const { index, share } = placeIn(
    points.map(([x]) => x),
    at,
  )
  const low = points[index]?.[1] ?? Number.NaN
  const high = points[Math.min(index + 1, points.length - 1)]?.[1] ?? Number.NaN
  return low + (high - low) * share
}

function placeIn(points: readonly number[], at: number): { index: number; share: number } {
  const next = points.findIndex((point) => point > at)
  if (next === 0) return { index: 0, share: 0 }
  if (next < 0) return { index: points.length - 1, share: Number.isNaN(at) ? at : 0 }
  const low = points[next - 1] as number
  return { index: next - 1, share: (at - low) / ((points[next] as number) - low) }
}
