/**
 * Columns of a window → points of a line. Values come decimated already (first, least, greatest and
 * last of each column of pixels), so that no spike is lost and the picture's cost does not grow.
 */
import type { ColumnEntry } from '@firstcrank/feed'

/** Points of one line: seconds ascending, and values; null where the line is broken. */
export interface Points {
  readonly x: readonly number[]
  readonly y: readonly (number | null)[]
}

/** How a signal's columns become points. */
export interface PointOptions {
  /** Time of the axis' zero, in microseconds. */
  readonly zero: number
  /** Silence after which a line is broken, in microseconds: a line across it would be an invention. */
  readonly hold: number
  /** A value in the unit it is shown in. */
  readonly show: (value: number) => number
}

/** The points of one signal. */
export function pointsOf({ columns, from, to }: ColumnEntry, options: PointOptions): Points {
  return columns.form === 'samples' ? ofSamples(columns, options) : ofOverview(columns, from, to, options)
}

type Form<Name> = Extract<ColumnEntry['columns'], { form: Name }>

function ofSamples({ time, value }: Form<'samples'>, { zero, hold, show }: PointOptions): Points {
  const x: number[] = []
  const y: (number | null)[] = []
  let before = Number.NaN
  for (let row = 0; row < time.length; row++) {
    const at = time[row] as number
    if (at - before > hold) push(x, y, (before + hold - zero) / 1e6, null)
    const here = value[row] as number
    push(x, y, (at - zero) / 1e6, Number.isNaN(here) ? null : show(here))
    before = at
  }
  return { x, y }
}

function ofOverview(columns: Form<'overview'>, from: number, to: number, { zero, hold, show }: PointOptions): Points {
  const { first, least, greatest, last, count } = columns
  const x: number[] = []
  const y: (number | null)[] = []
  const width = (to - from) / first.length
  let quiet = 0
  for (let column = 0; column < first.length; column++) {
    const start = (from + column * width - zero) / 1e6
    const step = width / 4e6
    if (count[column] === 0) {
      quiet += width
      if (quiet > hold && y.at(-1) !== null && y.length > 0) push(x, y, start, null)
      continue
    }
    quiet = 0
    if (Number.isNaN(first[column])) {
      push(x, y, start, null)
      continue
    }
    push(x, y, start, show(first[column] as number))
    push(x, y, start + step, show(least[column] as number))
    push(x, y, start + step * 2, show(greatest[column] as number))
    push(x, y, start + step * 3, show(last[column] as number))
  }
  return { x, y }
}

/** Times must ascend: of two messages at one time the last one counts, unless it would hide a value. */
function push(x: number[], y: (number | null)[], at: number, value: number | null): void {
  const end = x.length - 1
  if (end >= 0 && at <= (x[end] as number)) {
    if (value !== null || y[end] === undefined) y[end] = value
    return
  }
  x.push(at)
  y.push(value)
}

/** Lines over one common list of times, as a plot wants them; undefined where a line has no point of its own. */
export type Aligned = readonly [readonly number[], ...(readonly (number | null | undefined)[])[]]

/** Several lines over the union of their times. */
export function align(lines: readonly Points[]): Aligned {
  const times = lines.reduce<readonly number[]>((all, { x }) => (areEqual(all, x) ? all : union(all, x)), [])
  const values = lines.map(({ x, y }) => {
    if (areEqual(x, times)) return y
    let row = 0
    return times.map((time) => (x[row] === time ? y[row++] : undefined))
  })
  return [times, ...values]
}

/** Busy signals have the columns of the window as their times, all the same. */
function areEqual(a: readonly number[], b: readonly number[]): boolean {
  if (a.length !== b.length) return false
  for (let row = 0; row < a.length; row++) if (a[row] !== b[row]) return false
  return true
}

/** Two ascending lists made one; merged, since sorting both anew for every picture took longer than drawing it. */
function union(a: readonly number[], b: readonly number[]): readonly number[] {
  if (a.length === 0) return b
  const all: number[] = []
  let [i, j] = [0, 0]
  while (i < a.length || j < b.length) {
    const [one, other] = [a[i] ?? Number.POSITIVE_INFINITY, b[j] ?? Number.POSITIVE_INFINITY]
    all.push(Math.min(one, other))
    if (one <= other) i++
    if (other <= one) j++
  }
  return all
}

/** Least and greatest of what is drawn from `from` to `to`; null where nothing is. */
export function extentOf(data: Aligned, from: number, to: number): readonly [number, number] | null {
  const [times, ...lines] = data
  let least = Number.POSITIVE_INFINITY
  let greatest = Number.NEGATIVE_INFINITY
  for (let row = 0; row < times.length; row++) {
    const at = times[row] as number
    if (at < from || at > to) continue
    for (const line of lines) {
      const value = line[row]
      if (value === null || value === undefined) continue
      if (value < least) least = value
      if (value > greatest) greatest = value
    }
  }
  return least <= greatest ? [least, greatest] : null
}
