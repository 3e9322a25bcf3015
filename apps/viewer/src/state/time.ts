/** Times as they are shown: seconds from the beginning of the recording, or the clock's. */

/** Steps of a time axis, in seconds, such that labels are round. */
const STEPS: readonly number[] = [
  0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1_800, 3_600,
  7_200, 10_800, 21_600, 43_200, 86_400,
]
const LONGEST_STEP = 86_400

/** Seconds between the marks of an axis: the finest round step with at most so many marks. */
export function tickStep(span: number, most: number): number {
  const step = STEPS.find((candidate) => span / candidate <= most)
  if (step !== undefined) return step
  return Math.ceil(span / most / LONGEST_STEP) * LONGEST_STEP
}

/** Places of an axis' marks, in seconds. */
export function ticksBetween(from: number, to: number, most: number): readonly number[] {
  if (!(to > from) || most < 1) return []
  const step = tickStep(to - from, most)
  const first = Math.ceil(from / step - 1e-9)
  const last = Math.floor(to / step + 1e-9)
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => rounded((first + index) * step))
}

/** A time from the beginning: `1:02:03.4`, `2:05`, `0:04.25`. `step` says how fine. */
export function formatTime(seconds: number, step = 0.1): string {
  const decimals = Math.min(6, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9)))
  const scale = 10 ** decimals
  const total = Math.round(Math.abs(seconds) * scale)
  const whole = Math.floor(total / scale)
  const fraction = decimals === 0 ? '' : `.${`${total % scale}`.padStart(decimals, '0')}`
  const sign = seconds < 0 && total > 0 ? '−' : ''
  const hours = Math.floor(whole / 3_600)
  const minutes = Math.floor(whole / 60) % 60
  const rest = `${whole % 60}`.padStart(2, '0') + fraction
  return hours > 0 ? `${sign}${hours}:${`${minutes}`.padStart(2, '0')}:${rest}` : `${sign}${minutes}:${rest}`
}

/** How long something took, in words of one or two units. */
export function formatDuration(seconds: number): string {
  const size = Math.abs(seconds)
  if (size < 0.0995) return `${Math.round(size * 1e3)} ms`
  if (size < 9.95) return `${size.toFixed(1)} s`
  if (size < 59.5) return `${Math.round(size)} s`
  const whole = Math.round(size)
  const hours = Math.floor(whole / 3_600)
  const minutes = Math.floor(whole / 60) % 60
  if (hours > 0) return `${hours} h ${minutes} min`
  return whole % 60 === 0 ? `${minutes} min` : `${minutes} min ${whole % 60} s`
}

/** Date and time of day, in the place of the reader. */
export function formatMoment(micros: number): string {
  return new Intl.DateTimeFormat('en-GB', { dateStyle: 'medium', timeStyle: 'medium' }).format(micros / 1_000)
}

/** Time of day in hours and minutes, in the place of the reader. Milliseconds, unlike all the other times here. */
export function formatClock(milliseconds: number): string {
  return new Intl.DateTimeFormat('en-GB', { timeStyle: 'short' }).format(milliseconds)
}

function rounded(seconds: number): number {
  return Math.round(seconds * 1e6) / 1e6
}
