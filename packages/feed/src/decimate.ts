/** Samples → an overview: what `Signal.overview` does for recordings, for columns that are at hand. */
import type { OverviewColumns } from './column-frame.js'

/**
 * First, least, greatest and last value in each of `columns` equal stretches from `from` to `to`. No
 * spike is lost.
 *
 * @param time microseconds, ascending; those outside the window are left out
 * @param value NaN where there is none
 */
export function overviewOf(
  time: Float64Array,
  value: Float64Array,
  from: number,
  to: number,
  columns: number,
): OverviewColumns {
  const overview: OverviewColumns = {
    form: 'overview',
    first: new Float64Array(columns).fill(Number.NaN),
    least: new Float64Array(columns).fill(Number.NaN),
    greatest: new Float64Array(columns).fill(Number.NaN),
    last: new Float64Array(columns).fill(Number.NaN),
    count: new Uint32Array(columns),
  }
  const { first, least, greatest, last, count } = overview
  const scale = to > from ? columns / (to - from) : 0
  for (let row = 0; row < time.length; row++) {
    const at = time[row] as number
    if (at < from || at > to) continue
    // The last column takes the moment `to` itself.
    const column = Math.min(columns - 1, Math.floor((at - from) * scale))
    count[column] = (count[column] as number) + 1
    const here = value[row] as number
    if (Number.isNaN(here)) continue
    if (Number.isNaN(first[column])) first[column] = here
    // Written so that the first value, compared with NaN, is taken.
    if (!(here >= (least[column] as number))) least[column] = here
    if (!(here <= (greatest[column] as number))) greatest[column] = here
    last[column] = here
  }
  return overview
}
