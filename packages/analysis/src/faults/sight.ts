/** What looking for something in a recording gives: that it is there, that it is not, and the sentence to say so. */
import type { Fact, SignalRef, Span } from '../model.js'
import { SECOND } from '../series.js'

/** Whether a pattern is in the recording, with its sentence. Null where nobody can tell. */
export interface Sight extends Span {
  readonly seen: boolean
  /** One plain sentence with its numbers: what is there, or what is there instead. */
  readonly text: string
  readonly signals: readonly SignalRef[]
}

/** Puts a sight together. Signals nobody sends are left out. */
export function sight(
  seen: boolean,
  text: string,
  { from, to }: Span,
  signals: readonly (SignalRef | undefined)[] = [],
): Sight {
  return { seen, text, from, to, signals: signals.filter((signal) => signal !== undefined) }
}

/** A sight as something that speaks for or against a cause. */
export function factOf(pattern: string, { text, from, to, signals }: Sight): Fact {
  return { pattern, text, from, to, signals }
}

/** A number as a person writes it: as many digits as its unit is worth, a true minus sign. */
export function number(value: number, digits: number): string {
  const text = value.toFixed(digits)
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−')
}

/** Volts, degrees, kilopascals, megapascals, percent, speed and seconds in words. */
export const volts = (value: number): string => `${number(value, 1)} V`
export const degrees = (value: number): string => `${number(value, 0)} °C`
export const kilopascals = (value: number): string => `${number(value, 0)} kPa`
export const megapascals = (value: number): string => `${number(value, 0)} MPa`
export const percent = (value: number): string => `${number(value, 0)} %`
export const rpm = (value: number): string => `${number(value, 0)} rpm`

/** A length of time in words, given in microseconds. */
export function seconds(micros: number): string {
  const value = micros / SECOND
  if (value > 0 && value < 0.1) return `${number(micros / 1000, 0)} ms`
  if (value >= 120) {
    const whole = Math.round(value)
    return `${Math.floor(whole / 60)} min${whole % 60 === 0 ? '' : ` ${whole % 60} s`}`
  }
  return `${number(value, value < 10 ? 1 : 0)} s`
}

/** `once`, `twice`, `3 times`. */
export function times(count: number): string {
  return count === 1 ? 'once' : count === 2 ? 'twice' : `${count} times`
}

/** `a`, `a and b`, `a, b and c`. */
export function list(parts: readonly string[]): string {
  const last = parts.at(-1) ?? ''
  return parts.length < 2 ? last : `${parts.slice(0, -1).join(', ')} and ${last}`
}

/** The first letter as a sentence begins. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
