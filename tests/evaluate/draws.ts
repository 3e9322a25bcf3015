/**
 * What an evaluation run is made with: a seed, and air temperature, height and severity drawn with it.
 * Rules are tuned on seeds below {@link TUNING_END}; the evaluation begins at {@link FIRST_SEED}, so that
 * none of its recordings was looked at before.
 */
import type { Profile } from '@firstcrank/analysis'
import { NO_PROFILE } from '@firstcrank/analysis'
import { SCENARIOS, type Scenario, type SimulationOptions } from '@firstcrank/simulator'

/** Rules are tuned on seeds below. */
export const TUNING_END = 1000
/** Seeds from {@link TUNING_END} up to here served earlier evaluations: what went wrong in them was looked at. */
export const FIRST_SEED = 6000
/** Healthy runs have seeds of their own, so far above the others. */
const HEALTHY_SEEDS = 500

/** One recording to be made and judged. */
export interface Draw {
  readonly scenario: string
  readonly options: SimulationOptions & { readonly seed: number }
  /** Every second draw is judged with the engine's profile, the others with defaults alone. */
  readonly profile: Profile
}

/** °C either side of the scenario's own. */
const AMBIENT_SPREAD = 5
/** m */
const HIGHEST = 2400
const SEVERITY: readonly [number, number] = [0.9, 1.2]
/** Of healthy runs, which may be made in any weather. °C */
const HEALTHY_AMBIENT: readonly [number, number] = [-22, 36]
/** Share of healthy recordings that stop before the script ends, and from when on, in seconds. */
const CUT_SHORT = 0.2
const SHORTEST = 25
/** Long scenarios are drawn less often: one in so many. */
const LONG_ONE_IN = 12
const LONG: ReadonlySet<string> = new Set(['healthy-drive', 'pedal-wiper-after'])
/** Its own weather is what it is about. */
const OWN_WEATHER: ReadonlySet<string> = new Set(['deep-cold-start'])

/** The invented engine as its owner would write it down. Figures: the simulator's own. */
function engineProfile(altitude: number): Profile {
  return {
    ...NO_PROFILE,
    title: 'Invented engine, 3.0 L',
    engine: { displacement: 3, cylinders: 4, idleSpeed: 750, ratedSpeed: 3200 },
    fitted: { pedal: true, egr: true, turbocharger: true, airMassSensor: true, intakeHeater: true, alternator: true },
    site: { altitude },
    electrical: { volts: 12 },
  }
}

/** Numbers from 0 to 1 that depend on a text alone (mulberry32 over an FNV-1a hash; both in the public domain). */
export function chance(text: string): () => number {
  let state = 0x811c9dc5
  for (const letter of text) state = Math.imul(state ^ letter.charCodeAt(0), 0x01000193)
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let mixed = Math.imul(state ^ (state >>> 15), state | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296
  }
}

const between = (random: () => number, low: number, high: number): number =>
  Math.round((low + random() * (high - low)) * 100) / 100

/** The runs of one scenario. */
export function drawsOf(scenario: Scenario, count: number, firstSeed: number): Draw[] {
  return Array.from({ length: count }, (_, index) => {
    const seed = firstSeed + index
    const random = chance(`${scenario.name}/${seed}`)
    const altitude = between(random, 0, HIGHEST)
    const ambient = between(random, scenario.ambient - AMBIENT_SPREAD, scenario.ambient + AMBIENT_SPREAD)
    const severity = between(random, ...SEVERITY)
    const profile = index % 2 === 0 ? NO_PROFILE : engineProfile(altitude)
    return { scenario: scenario.name, options: { seed, ambient, altitude, severity }, profile }
  })
}

/** Runs with nothing wrong, in all weathers and heights, some of them cut short. */
export function healthyDraws(count: number, firstSeed: number): Draw[] {
  const healthy = SCENARIOS.filter(({ cause }) => cause === 'none')
  const usual = healthy.filter(({ name }) => !LONG.has(name))
  const long = healthy.filter(({ name }) => LONG.has(name))
  return Array.from({ length: count }, (_, index) => {
    const seed = firstSeed + HEALTHY_SEEDS + index
    const random = chance(`healthy/${seed}`)
    const from = index % LONG_ONE_IN === LONG_ONE_IN - 1 ? long : usual
    const scenario = from[Math.floor(random() * from.length)]
    const altitude = between(random, 0, HIGHEST)
    const ambient = OWN_WEATHER.has(scenario.name) ? scenario.ambient : between(random, ...HEALTHY_AMBIENT)
    const short = random() < CUT_SHORT ? { duration: Math.round(between(random, SHORTEST, 120)) } : {}
    const profile = index % 2 === 0 ? NO_PROFILE : engineProfile(altitude)
    return { scenario: scenario.name, options: { seed, ambient, altitude, ...short }, profile }
  })
}
