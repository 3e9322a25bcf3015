/** Where an axis gets its marks. */

/** Marks aimed at on an axis. */
const TIME_MARKS = 8
const VALUE_MARKS = 4
/** Steps a clock has, in seconds. */
const CLOCK_STEPS: readonly number[] = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14_400, 43_200]
const SECOND = 1_000_000

/** Round times between two, in microseconds from the recording's beginning. */
export function timeTicks(from: number, to: number): number[] {
  const wanted = (to - from) / SECOND / TIME_MARKS
  const step = (CLOCK_STEPS.find((candidate) => candidate >= wanted) ?? (CLOCK_STEPS.at(-1) as number)) * SECOND
  const first = Math.ceil(from / step) * step
  return Array.from({ length: Math.max(0, Math.floor((to - first) / step) + 1) }, (_, i) => first + i * step)
}

/** A value axis: its ends, its marks, and the digits they need. */
export interface ValueAxis {
  readonly from: number
  readonly to: number
  readonly ticks: readonly number[]
  readonly digits: number
}

/** Round values around a range; the axis ends on marks. A range without width gets some. */
export function axisTicks(low: number, high: number): ValueAxis {
  const least = Math.min(low, high)
  const width = Math.max(Math.abs(high - low), Math.abs(high) * 0.02, 0.1)
  const rough = width / VALUE_MARKS
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = ([1, 2, 2.5, 5, 10].find((factor) => factor * power >= rough * 0.999) ?? 10) * power
  const first = Math.floor(least / step + 1e-9)
  const last = Math.max(first + 1, Math.ceil((least + width) / step - 1e-9))
  const digits = Math.max(
    0,
    -Math.floor(Math.log10(step) + 1e-9),
    step / power === 2.5 ? 1 - Math.floor(Math.log10(power) + 1e-9) : 0,
  )
  const ticks = Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toFixed(digits + 2)))
  return { from: ticks[0] as number, to: ticks.at(-1) as number, ticks, digits }
}
