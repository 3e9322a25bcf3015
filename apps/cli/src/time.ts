/** Integer microseconds as text. Nothing here depends on the machine's time zone or language. */

const SECOND = 1_000_000
/** Times from here on are absolute: the year 1973 and later, as the decoder has it. */
const ABSOLUTE_FROM = 100_000_000 * SECOND

/** Whether a time counts from the epoch, and not from the log's own zero. */
export function isAbsolute(micros: number): boolean {
  return micros >= ABSOLUTE_FROM
}

/** Seconds with exactly six decimals, as in the machine-readable outputs: `1436509052.249713`. */
export function exactSeconds(micros: number): string {
  const whole = Math.round(micros)
  const size = Math.abs(whole)
  const seconds = Math.floor(size / SECOND)
  return `${whole < 0 ? '-' : ''}${seconds}.${String(size - seconds * SECOND).padStart(6, '0')}`
}

/** Seconds with three decimals, for people: `12.345 s`. */
export function secondsText(micros: number): string {
  return `${(micros / SECOND).toFixed(3)} s`
}

/** A length of time as a person says it: `12.345 s`, `49 min 36 s`, `3 h 02 min`. */
export function durationText(micros: number): string {
  if (micros < 60 * SECOND) return secondsText(micros)
  const seconds = Math.round(micros / SECOND)
  const minutes = Math.floor(seconds / 60)
  const hours = Math.floor(minutes / 60)
  if (hours === 0) return `${minutes} min ${two(seconds % 60)} s`
  if (hours < 48) return `${hours} h ${two(minutes % 60)} min`
  return `${Math.floor(hours / 24)} d ${two(hours % 24)} h`
}

/** A moment: `2021-07-21 22:04:02.645 UTC`, or seconds where the log's times have no date. */
export function momentText(micros: number): string {
  if (!isAbsolute(micros)) return secondsText(micros)
  const text = new Date(Math.floor(micros / 1000)).toISOString()
  return `${text.slice(0, 10)} ${text.slice(11, 23)} UTC`
}

function two(value: number): string {
  return String(value).padStart(2, '0')
}
