/** Numbers and times as somebody types them. */
import { CommandError } from './command-error.js'

/** How high the numbers of the standard go: 19 bits of SPN, 18 of PGN, 8 of address. */
export const HIGHEST = { spn: 0x7ffff, pgn: 0x3ffff, sa: 0xff } as const

const WHOLE = /^(?:\d+|0x[\da-f]+)$/i
const DECIMAL = /^-?(?:\d+\.?\d*|\.\d+)$/

/**
 * Whole numbers, decimal or with 0x in front.
 *
 * @throws {CommandError} 2, naming the option and the word that is none
 */
export function wholeNumbers(option: keyof typeof HIGHEST, words: readonly string[]): number[] {
  return words.map((word) => {
    const value = WHOLE.test(word) ? Number(word) : Number.NaN
    const highest = HIGHEST[option]
    if (!(value <= highest)) {
      throw new CommandError(2, `--${option} ${word}: a whole number from 0 to ${highest} is needed${hexHint(word)}`)
    }
    return value
  })
}

function hexHint(word: string): string {
  return /^[\da-f]+$/i.test(word) && !WHOLE.test(word) ? `; did you mean 0x${word}?` : ''
}

/**
 * A number, whole or not.
 *
 * @throws {CommandError} 2, naming the option
 */
export function decimalNumber(option: string, word: string): number {
  if (!DECIMAL.test(word)) throw new CommandError(2, `--${option} ${word}: a number is needed`)
  return Number(word)
}

/** A moment somebody names: counted from the first frame of the log, or absolute. In microseconds. */
export interface TimeBound {
  readonly from: 'first-frame' | 'epoch'
  readonly micros: number
}

/** Seconds from here on are taken as counted from the epoch: a log longer than three years is not expected. */
const ABSOLUTE_FROM_SECONDS = 100_000_000
const SECONDS = /^(\d+)(?:\.(\d{1,6})\d*)?$/
const DATE = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d(?:\.\d+)?)?)Z?$/

/**
 * A time: seconds after the first frame; from 100,000,000 on, seconds since the epoch; or a date and
 * time of day in UTC.
 *
 * @throws {CommandError} 2, naming the option
 */
export function timeBound(option: string, word: string): TimeBound {
  const [, whole, fraction = ''] = SECONDS.exec(word) ?? []
  if (whole !== undefined) {
    const micros = Number(whole) * 1e6 + Number(fraction.padEnd(6, '0'))
    return { from: Number(whole) >= ABSOLUTE_FROM_SECONDS ? 'epoch' : 'first-frame', micros }
  }
  const [, day, clock] = DATE.exec(word) ?? []
  const millis = Date.parse(`${day}T${clock}Z`)
  if (day === undefined || Number.isNaN(millis)) {
    throw new CommandError(
      2,
      `--${option} ${word}: give seconds after the first frame, such as 12.5, or UTC, such as 2026-01-10T06:12:00`,
    )
  }
  return { from: 'epoch', micros: millis * 1000 + subMillis(clock ?? '') }
}

/** What stands behind the milliseconds of a time of day, in microseconds. */
function subMillis(clock: string): number {
  return Number((clock.split('.')[1] ?? '').slice(3, 6).padEnd(3, '0'))
}

/**
 * Bits per second.
 *
 * @throws {CommandError} 2
 */
export function bitRate(word: string): number {
  const value = WHOLE.test(word) ? Number(word) : Number.NaN
  if (!(value >= 10_000 && value <= 1_000_000)) {
    throw new CommandError(2, `--bit-rate ${word}: bits per second are needed, 10000 to 1000000, such as 250000`)
  }
  return value
}
