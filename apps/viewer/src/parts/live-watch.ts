/**
 * What a running engine is watched for: how far the start has come, what is expected next and for how
 * long, and whether oil pressure is missing. Pure; times are microseconds of the bus.
 */
import { LIMITS } from '@firstcrank/analysis'

/** What is known at one moment; null where the bus does not say. */
export interface Sight {
  readonly time: number
  /** rpm, and kPa. */
  readonly speed: number | null
  readonly oil: number | null
}

/** How far the start has come. */
export type Stage =
  | { readonly kind: 'unknown' | 'standing' | 'running' }
  /** It stands after it ran without oil pressure, and since then has not run with any. */
  | { readonly kind: 'stopped-no-oil' }
  /** Seconds of cranking so far, and left of what the starter may; whether it ran without oil pressure before. */
  | { readonly kind: 'cranking'; readonly seconds: number; readonly left: number; readonly missed: boolean }
  /** Seconds left until oil pressure has to be there. */
  | { readonly kind: 'oil-wait'; readonly left: number }
  | { readonly kind: 'no-oil'; readonly seconds: number }
  | { readonly kind: 'oil-unknown' }

/** What is remembered from one moment to the next. */
export interface Watch {
  readonly crankingSince: number | null
  readonly runningSince: number | null
  /** When it was last seen to run without oil pressure; null once it has run with it. */
  readonly missedAt: number | null
}

/** Below this an engine stands, from this on it runs by itself; rpm. Source: common practice. */
const TURNS_FROM = 30
const RUNS_FROM = 400

/** Seconds that one attempt may crank at most. */
export const CRANK_SECONDS: number = LIMITS['crank-time.never-above'].value
/** Seconds from firing in which oil pressure has to come. */
export const OIL_SECONDS: number = LIMITS['oil-pressure-rise.caution-to'].value
const OIL_LEVEL: number = LIMITS['oil-pressure-rise.level'].value

/** Nothing seen yet. */
export const NEW_WATCH: Watch = { crankingSince: null, runningSince: null, missedAt: null }

/** Takes a moment in. Times that go back begin a new watch: a replay was moved. */
export function watchOn(watch: Watch, sight: Sight): Watch {
  const { time, speed } = sight
  if (speed === null) return watch
  const next = { ...turning(watch, time, speed), missedAt: watch.missedAt }
  if (next.missedAt !== null && next.missedAt > time) next.missedAt = null
  const { kind } = stageOf(next, sight)
  if (kind === 'no-oil') next.missedAt = time
  if (kind === 'running') next.missedAt = null
  return next
}

function turning(watch: Watch, time: number, speed: number): Pick<Watch, 'crankingSince' | 'runningSince'> {
  const since = (start: number | null): number => (start === null || start > time ? time : start)
  if (speed >= RUNS_FROM) return { crankingSince: null, runningSince: since(watch.runningSince) }
  if (speed >= TURNS_FROM && watch.runningSince === null) {
    return { crankingSince: since(watch.crankingSince), runningSince: null }
  }
  return speed < TURNS_FROM ? { crankingSince: null, runningSince: null } : watch
}

/** How far it has come. */
export function stageOf(watch: Watch, { time, speed, oil }: Sight): Stage {
  if (speed === null) return { kind: 'unknown' }
  if (watch.crankingSince !== null) {
    const seconds = (time - watch.crankingSince) / 1e6
    return { kind: 'cranking', seconds, left: Math.max(0, CRANK_SECONDS - seconds), missed: watch.missedAt !== null }
  }
  if (watch.runningSince === null) return { kind: watch.missedAt === null ? 'standing' : 'stopped-no-oil' }
  if (oil === null) return { kind: 'oil-unknown' }
  if (oil >= OIL_LEVEL) return { kind: 'running' }
  const seconds = (time - watch.runningSince) / 1e6
  return seconds > OIL_SECONDS ? { kind: 'no-oil', seconds } : { kind: 'oil-wait', left: OIL_SECONDS - seconds }
}

/** Silence after which data are stale at the least, in milliseconds, and in a signal's own periods. */
const STALE_AFTER = 800
const STALE_PERIODS = 3
/** Microseconds taken for a period that is not known. */
const UNKNOWN_PERIOD = 1_000_000

/**
 * Whether a value is too old to be shown as if it were now. `age` in milliseconds, `period` in microseconds;
 * null where it is not known yet: then a second is taken, so that a slow value that has just begun is not old.
 */
export function isStale(age: number, period: number | null): boolean {
  return age > Math.max(STALE_AFTER, ((period ?? UNKNOWN_PERIOD) / 1_000) * STALE_PERIODS)
}

/** Of several values together: they are stale when the one that comes most often is. */
export function areStale(age: number, periods: readonly (number | null)[]): boolean {
  return isStale(age, Math.min(...periods.map((period) => period ?? UNKNOWN_PERIOD)))
}

/** The stage's figure to be read from afar: seconds that are left, or gone; null where there is none. */
export function countOf(stage: Stage): number | null {
  if (stage.kind === 'cranking' || stage.kind === 'oil-wait') return Math.ceil(stage.left)
  return stage.kind === 'no-oil' ? Math.floor(stage.seconds) : null
}
