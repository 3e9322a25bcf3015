/** Whether the engine had stood for long: told by temperatures that have become alike. */
import { median, SECOND, windowOf } from '../series.js'
import type { CheckContext } from './context.js'

/** Temperatures that meet after a long rest: coolant, intake manifold, intake air, fuel, oil. */
export const SOAK_SPNS: readonly number[] = [110, 105, 172, 174, 175]
/** Fluids: they stay warm the longest. */
const FLUIDS: readonly number[] = [110, 175]
/**
 * Which messages after waking are read: the median of ten seconds, for the first ones may not be
 * measurements yet (a fleet standard's description warns of them), but none after something has begun to
 * heat, save in the first three seconds.
 */
const AT_LEAST = 3 * SECOND
const AT_MOST = 10 * SECOND
/** °C within which temperatures count as alike. */
const ALIKE = 10

/** °C by which both fluids are above everything else in an engine that has not stood for long. */
const STILL_WARM = 2

/** One temperature as first told. */
export interface SoakReading {
  readonly spn: number
  readonly celsius: number
  readonly time: number
}

/** The first temperatures of the recording, where it begins with the key turned on. */
export function soakReadings({ raw, phases }: CheckContext): SoakReading[] {
  const first = phases[0]
  if (first === undefined || !['key-on', 'preheat'].includes(first.kind)) return []
  const heats = phases.find(({ kind }) => kind !== 'key-on')?.from ?? first.to
  const to = Math.max(first.from + AT_LEAST, Math.min(heats, first.from + AT_MOST))
  return SOAK_SPNS.flatMap((spn) => {
    const { time, value } = windowOf(raw.valid(spn), first.from - SECOND, to)
    const celsius = median(value)
    return celsius === null ? [] : [{ spn, celsius, time: time[0] as number }]
  })
}

/** Readings that agree, and the one that does not, if there is just one. */
export interface Soak {
  readonly alike: readonly SoakReading[]
  readonly outlier: SoakReading | undefined
}

/**
 * What shows that the engine stood for long: at least three temperatures alike, all of them or all but
 * one, a fluid among them. Undefined where they do not show it.
 */
export function soakOf(readings: readonly SoakReading[]): Soak | undefined {
  if (isCooling(readings)) return undefined
  if (spread(readings) <= ALIKE) return isProof(readings) ? { alike: readings, outlier: undefined } : undefined
  const middle = median(readings.map(({ celsius }) => celsius)) ?? 0
  const byDistance = [...readings].sort((a, b) => Math.abs(b.celsius - middle) - Math.abs(a.celsius - middle))
  const [outlier, ...alike] = byDistance
  return spread(alike) <= ALIKE && isProof(alike) ? { alike, outlier } : undefined
}

/** Coolant and oil both warmer than every other reading: an engine on its way down, not one that stood. */
function isCooling(readings: readonly SoakReading[]): boolean {
  const fluids = readings.filter(({ spn }) => FLUIDS.includes(spn)).map(({ celsius }) => celsius)
  const others = readings.filter(({ spn }) => !FLUIDS.includes(spn)).map(({ celsius }) => celsius)
  return fluids.length === FLUIDS.length && others.length > 0 && Math.min(...fluids) >= Math.max(...others) + STILL_WARM
}

function isProof(readings: readonly SoakReading[]): boolean {
  return readings.length >= 3 && readings.some(({ spn }) => FLUIDS.includes(spn))
}

function spread(readings: readonly SoakReading[]): number {
  const celsius = readings.map((reading) => reading.celsius)
  return celsius.length === 0 ? Number.POSITIVE_INFINITY : Math.max(...celsius) - Math.min(...celsius)
}

/** Whether temperatures show that the vehicle stood for hours before the recording. */
export function standsCold(context: CheckContext): boolean {
  return soakOf(soakReadings(context)) !== undefined
}
