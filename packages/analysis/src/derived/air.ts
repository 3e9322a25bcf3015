/** Air: manifold pressure, boost, the air an engine should draw and the air it says it draws. */
import type { Samples } from '@firstcrank/decoder'
import type { EngineView } from '../engine-view.js'
import type { Profile } from '../profile.js'
import { median, valuesAt } from '../series.js'
import { speedDensity, standardPressure } from './atmosphere.js'
import type { DerivedDefinition } from './definition.js'

/** How well a diesel's cylinders fill where nobody says. Source: common practice, 0.85 to 0.95. */
export const USUAL_EFFICIENCY = 0.9

const SPEED = 190
const BOOST = 102
const ABSOLUTE = 3563
const AMBIENT = 108
const TEMPERATURE = 105
const AIR_MASS = 132
const EGR_FLOW = 2659
const EGR_POSITION = 27
/** An EGR valve this far shut lets nothing worth counting through. %. Source: common practice. */
export const EGR_SHUT = 3
/** kPa: a reading this close to ambient pressure with the engine at rest is an absolute one. Our own choice. */
const SAME_AS_AMBIENT = 15

/** kPa absolute around the vehicle: what a signal, the profile's own figure or its altitude says. */
export function ambientPressure(engine: EngineView, profile: Profile): number | null {
  const told = median(engine.valid(AMBIENT).value)
  const { stationPressure, altitude } = profile.site
  return told ?? stationPressure ?? (altitude === undefined ? null : standardPressure(altitude))
}

/**
 * Whether SPN 102 is sent as an absolute pressure, which the standard does not want: its lowest reading
 * lies near ambient pressure instead of near nothing.
 */
export function boostIsAbsolute(engine: EngineView, profile: Profile): boolean {
  const ambient = ambientPressure(engine, profile)
  const { value } = engine.valid(BOOST)
  if (ambient === null || value.length === 0) return false
  const least = value.reduce((low, kPa) => Math.min(low, kPa), Number.POSITIVE_INFINITY)
  return least > ambient - SAME_AS_AMBIENT && ambient > 2 * SAME_AS_AMBIENT
}

/** Ambient pressure at each time; the one figure there is where it is no signal. */
function ambientAt(engine: EngineView, profile: Profile, time: Float64Array): Float64Array {
  const usual = ambientPressure(engine, profile) ?? Number.NaN
  const told = valuesAt(engine.valid(AMBIENT), time, engine.hold(AMBIENT))
  return told.map((kPa) => (Number.isNaN(kPa) ? usual : kPa))
}

/** Intake manifold, kPa absolute: SPN 3563, else 102 on top of ambient pressure. */
export function absoluteBoost(engine: EngineView, profile: Profile): Samples | undefined {
  if (engine.has(ABSOLUTE)) return engine.valid(ABSOLUTE)
  if (!engine.has(BOOST)) return undefined
  const { time, value } = engine.valid(BOOST)
  if (boostIsAbsolute(engine, profile)) return { time, value }
  if (ambientPressure(engine, profile) === null) return undefined
  const ambient = ambientAt(engine, profile, time)
  return { time, value: value.map((kPa, i) => kPa + (ambient[i] as number)) }
}

/** Intake manifold, kPa above ambient: SPN 102, else 3563 less ambient pressure. */
export function gaugeBoost(engine: EngineView, profile: Profile): Samples | undefined {
  const isGauge = engine.has(BOOST) && !boostIsAbsolute(engine, profile)
  if (isGauge) return engine.valid(BOOST)
  const absolute = absoluteBoost(engine, profile)
  if (absolute === undefined || ambientPressure(engine, profile) === null) return undefined
  const ambient = ambientAt(engine, profile, absolute.time)
  return { time: absolute.time, value: absolute.value.map((kPa, i) => kPa - (ambient[i] as number)) }
}

/**
 * Air the engine should draw, kg/h, at each message of its speed. NaN where EGR is open and nobody
 * says how much it brings back.
 */
export function expectedAirMass(engine: EngineView, profile: Profile): Samples | undefined {
  const { displacement, volumetricEfficiency: efficiency = USUAL_EFFICIENCY } = profile.engine
  const manifold = absoluteBoost(engine, profile)
  if (displacement === undefined || manifold === undefined || !engine.has(TEMPERATURE)) return undefined
  const { time, value: speed } = engine.valid(SPEED)
  const hold = engine.has(ABSOLUTE) ? engine.hold(ABSOLUTE) : engine.hold(BOOST)
  const pressure = valuesAt(manifold, time, hold)
  const temperature = valuesAt(engine.valid(TEMPERATURE), time, engine.hold(TEMPERATURE))
  const returned = returnedMass(engine, profile, time)
  const value = speed.map((rpm, i) => {
    const gas = {
      speed: rpm,
      displacement,
      efficiency,
      pressure: pressure[i] as number,
      temperature: temperature[i] as number,
    }
    return speedDensity(gas) - (returned[i] as number)
  })
  return { time, value }
}

/** Exhaust gas fed back, kg/h: as told; nothing where the valve is shut or there is none; else unknown. */
function returnedMass(engine: EngineView, profile: Profile, time: Float64Array): Float64Array {
  if (profile.fitted.egr === false) return new Float64Array(time.length)
  const told = valuesAt(engine.valid(EGR_FLOW), time, engine.hold(EGR_FLOW))
  if (!engine.has(EGR_POSITION)) return engine.has(EGR_FLOW) ? told : new Float64Array(time.length)
  const position = valuesAt(engine.valid(EGR_POSITION), time, engine.hold(EGR_POSITION))
  return told.map((flow, i) => {
    if (!Number.isNaN(flow)) return flow
    return (position[i] as number) < EGR_SHUT ? 0 : Number.NaN
  })
}

/** Rows of the table of derived signals. */
export const AIR_SIGNALS: readonly DerivedDefinition[] = [
  {
    id: 'boost-gauge',
    title: 'Boost above ambient',
    unit: 'kPa',
    formula: 'SPN 102; where it is absolute or missing, SPN 3563 (or 102) − p₀',
    spns: [BOOST, ABSOLUTE, AMBIENT],
    compute: ({ engine, profile }) => gaugeBoost(engine, profile),
  },
  {
    id: 'boost-absolute',
    title: 'Intake manifold pressure, absolute',
    unit: 'kPa',
    formula: 'SPN 3563; where it is missing, SPN 102 + p₀',
    spns: [ABSOLUTE, BOOST, AMBIENT],
    compute: ({ engine, profile }) => absoluteBoost(engine, profile),
  },
  {
    id: 'expected-air-mass',
    title: 'Air the engine should draw',
    unit: 'kg/h',
    formula: '3600 · VE · V · (n/120) · p/(R·T) − EGR',
    spns: [SPEED, ABSOLUTE, BOOST, AMBIENT, TEMPERATURE, EGR_FLOW, EGR_POSITION],
    compute: ({ engine, profile }) => expectedAirMass(engine, profile),
  },
  {
    id: 'air-mass-ratio',
    title: 'Air mass told against air mass expected',
    unit: 'ratio',
    formula: 'SPN 132 / expected-air-mass',
    spns: [AIR_MASS, SPEED, ABSOLUTE, BOOST, AMBIENT, TEMPERATURE, EGR_FLOW, EGR_POSITION],
    compute: ({ engine, profile }) => {
      const expected = expectedAirMass(engine, profile)
      if (expected === undefined || !engine.has(AIR_MASS)) return undefined
      const { time, value } = engine.valid(AIR_MASS)
      const wanted = valuesAt(expected, time, engine.hold(SPEED))
      return {
        time,
        value: value.map((flow, i) => ((wanted[i] as number) > 5 ? flow / (wanted[i] as number) : Number.NaN)),
      }
    },
  },
]
