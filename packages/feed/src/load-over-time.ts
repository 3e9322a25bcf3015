/** The load of a channel by second → the columns of a picture. */
import type { LoadSeries } from '@firstcrank/decoder'
import type { LoadOverTime } from './recording-info.js'

const SECOND = 1_000_000
/** Columns at most: more are not told apart on a phone. Our own choice. */
const MOST_COLUMNS = 240

/**
 * Load in equal stretches of whole seconds. The first and the last second of the clock are left out where there
 * are others: frames are in a part of them only, and the load would seem to rise and fall.
 *
 * @param from of the recording's first frame, in microseconds
 * @param to of its last
 */
export function loadOverTime({ time, load }: LoadSeries, from: number, to: number): LoadOverTime {
  const whole = Array.from(time.keys()).filter((row) => isInside(time[row] as number, from, to))
  const rows = whole.length > 0 ? whole : [...time.keys()]
  const start = time[rows[0] ?? 0] ?? from
  const end = (time[rows.at(-1) ?? 0] ?? from) + SECOND
  const step = SECOND * Math.ceil((end - start) / SECOND / MOST_COLUMNS)
  const columns = Math.ceil((end - start) / step)
  const mean: (number | null)[] = new Array(columns).fill(null)
  const greatest: (number | null)[] = new Array(columns).fill(null)
  const heard = new Uint32Array(columns)
  for (const row of rows) {
    const column = Math.floor(((time[row] as number) - start) / step)
    const share = load[row] as number
    heard[column] = (heard[column] as number) + 1
    mean[column] = (mean[column] ?? 0) + share
    greatest[column] = Math.max(greatest[column] ?? 0, share)
  }
  return { from: start, step, mean: mean.map((sum, i) => (sum === null ? null : sum / (heard[i] as number))), greatest }
}

function isInside(second: number, from: number, to: number): boolean {
  return second >= from && second + SECOND <= to
}
