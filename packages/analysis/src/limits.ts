/**
 * Every figure a check compares with: what it is, its unit, and who says so. All of them are defaults;
 * the engine maker's figure, written into a profile under the same name, takes their place.
 *
 * Voltages are for a 12-volt system; in a 24-volt one they count twice. Pressures are above ambient
 * unless the name says absolute.
 */
import type { Unit } from '@firstcrank/decoder/catalog'
import type { Limit, Per } from './model.js'

const PRACTICE = 'common practice'
const OWN = 'our own choice, derived from sensor resolution and spread'

/** Who says a limit, by short name. Titles are given without makers' names. */
const SAYS = {
  practice: PRACTICE,
  own: OWN,
  ownCold: 'our own choice: oil thickens and fuel is slow to burn in frost; between 0 and −18 °C in a straight line',
  ownPins: 'our own choice: a controller measures at its own pins, a few tenths below the battery posts',
  ownPassive: 'our own choice: good frames end the state within a second once the disturbance is gone',
  rest: 'Guide to the resting voltage of a 12 V battery',
  loadTest: 'Battery load test table by temperature (shop guide), lower temperatures common practice',
  charging: 'Alternator voltage testing tutorial, rounded; common practice',
  cranking: 'Published limitations on engine cranking time',
  prime: 'A filter maker’s advice on loss of oil-pump prime: normal about 10 s, stop by 30 s; common practice',
  oilIdle: 'Workshop article on diesel oil pressure: hot idle 69 to 138 kPa; common practice',
  oilSpeed: 'Workshop article on oil pressure: about 69 kPa per 1,000 rpm; common practice',
  thermostat: 'Workshop article on thermostat opening temperatures; common practice',
  idleFuel: 'US Department of Energy, idle fuel consumption: 2.0 L diesel 0.64 L/h; widened by our own choice',
  airMass: 'Error budget of speed density: filling ±5 %, sensor ±5 %, pressure and temperature ±2 %, doubled',
} as const

/** One limit as we set it. */
export interface LimitDefinition {
  readonly value: number
  readonly unit: Unit
  readonly source: string
  /** What it limits, in a few words. */
  readonly what: string
  readonly per?: Per
  readonly difference?: true
}

const row = (value: number, unit: Unit, says: keyof typeof SAYS, what: string): LimitDefinition => ({
  value,
  unit,
  source: SAYS[says],
  what,
})

const per = (each: Per, limit: LimitDefinition): LimitDefinition => ({ ...limit, per: each })

/** Of a difference of two temperatures. */
const apart = (limit: LimitDefinition): LimitDefinition => ({ ...limit, difference: true })

/** By name: the check's name, a dot, what it separates. */
const TABLE = {
  'rest-voltage.pass-from': row(12.5, 'V', 'rest', 'Rested battery: pass from'),
  'rest-voltage.caution-from': row(12.2, 'V', 'rest', 'Rested battery: below is a fail'),

  'crank-voltage.at-21-degrees': row(9.6, 'V', 'loadTest', 'Least voltage in cranking at 21 °C and above'),
  'crank-voltage.at-10-degrees': row(9.4, 'V', 'loadTest', 'Least voltage in cranking at 10 °C'),
  'crank-voltage.at-0-degrees': row(9.1, 'V', 'loadTest', 'Least voltage in cranking at 0 °C'),
  'crank-voltage.at-minus-18-degrees': row(8.5, 'V', 'loadTest', 'Least voltage in cranking at −18 °C and below'),
  'crank-voltage.pass-within': row(0.15, 'V', 'ownPins', 'So far below is a pass still'),
  'crank-voltage.caution-within': row(0.6, 'V', 'practice', 'So far below is a caution, more a fail'),

  'charging-voltage.pass-from': row(13.5, 'V', 'charging', 'Charging: pass from'),
  'charging-voltage.pass-to': row(14.8, 'V', 'charging', 'Charging: pass up to'),
  'charging-voltage.caution-from': row(13, 'V', 'charging', 'Charging: below is a fail'),
  'charging-voltage.caution-to': row(15.2, 'V', 'charging', 'Charging: above is a fail'),

  'crank-speed.pass-from': row(150, 'rpm', 'practice', 'Cranking speed: pass from'),
  'crank-speed.pass-from-in-frost': row(100, 'rpm', 'ownCold', 'Cranking speed at −18 °C: pass from'),
  'crank-speed.caution-from': row(100, 'rpm', 'practice', 'Cranking speed: below is a fail'),

  'crank-time.pass-to': row(5, 's', 'practice', 'Cranking until it fires: pass up to'),
  'crank-time.pass-to-in-frost': row(10, 's', 'ownCold', 'Cranking until it fires at −18 °C: pass up to'),
  'crank-time.caution-to': row(15, 's', 'practice', 'Cranking until it fires: above is a fail'),
  'crank-time.never-above': row(30, 's', 'cranking', 'One attempt: never longer; rest the starter two minutes'),

  'oil-pressure-rise.level': row(70, 'kPa', 'practice', 'Oil pressure that counts as there'),
  'oil-pressure-rise.pass-to': row(5, 's', 'practice', 'From firing to oil pressure: pass up to'),
  'oil-pressure-rise.caution-to': row(10, 's', 'prime', 'From firing to oil pressure: later is stop'),

  'oil-pressure-kept.pass-from': row(70, 'kPa', 'oilIdle', 'Lowest oil pressure while running: pass from'),
  'oil-pressure-kept.caution-from': row(50, 'kPa', 'practice', 'Lowest oil pressure while running: below is a fail'),

  'oil-pressure-hot-idle.pass-from': row(100, 'kPa', 'oilIdle', 'Oil pressure at hot idle: pass from'),
  'oil-pressure-hot-idle.caution-from': row(70, 'kPa', 'oilIdle', 'Oil pressure at hot idle: below is a fail'),

  'oil-pressure-at-speed.pass-from': per(
    '1,000 rpm',
    row(69, 'kPa', 'oilSpeed', 'Oil pressure per 1,000 rpm: pass from'),
  ),
  'oil-pressure-at-speed.caution-from': per(
    '1,000 rpm',
    row(50, 'kPa', 'oilSpeed', 'Oil pressure per 1,000 rpm: below is a fail'),
  ),
  'oil-pressure-at-speed.relief': row(300, 'kPa', 'practice', 'From here on the relief valve may hold it: enough'),

  'idle-stability.pass-to': row(8, 'rpm', 'practice', 'Standard deviation of the idle: pass up to'),
  'idle-stability.caution-to': row(20, 'rpm', 'practice', 'Standard deviation of the idle: above is a fail'),

  'idle-offset.pass-to': row(25, 'rpm', 'practice', 'Idle off its target: pass up to'),
  'idle-offset.caution-to': row(50, 'rpm', 'practice', 'Idle off its target: above is a fail'),

  'cold-soak-spread.pass-to': apart(row(5, '°C', 'practice', 'Spread of temperatures after standing: pass up to')),
  'cold-soak-spread.caution-to': apart(
    row(10, '°C', 'practice', 'Spread of temperatures after standing: above is a fail'),
  ),

  'warm-up-rate.idle-from': per('min', apart(row(0.5, '°C', 'practice', 'Coolant, each minute at idle: pass from'))),
  'warm-up-rate.drive-from': per('min', apart(row(3, '°C', 'practice', 'Coolant, each minute of driving: pass from'))),
  'warm-up-rate.step-to': apart(row(5, '°C', 'practice', 'Coolant, step within two seconds: above is a fail')),

  'thermostat.knee-from': row(80, '°C', 'thermostat', 'Coolant where its rise ends: pass from'),
  'thermostat.knee-to': row(95, '°C', 'thermostat', 'Coolant where its rise ends: pass up to'),
  'thermostat.plateau-from': row(75, '°C', 'practice', 'Coolant after ten minutes of load: below is a fail'),
  'thermostat.never-above': row(105, '°C', 'practice', 'Coolant: above is a fail'),

  'key-on-boost.pass-to': row(4, 'kPa', 'own', 'Boost with the engine at rest, either side of 0: pass up to'),
  'key-on-boost.caution-to': row(6, 'kPa', 'own', 'Boost with the engine at rest: above is a fail'),

  'ambient-pressure.pass-to': row(3, 'kPa', 'own', 'Ambient pressure off what the altitude gives: pass up to'),
  'ambient-pressure.caution-to': row(6, 'kPa', 'own', 'Ambient pressure off: above is a fail'),
  'manifold-pressure.pass-to': row(3, 'kPa', 'own', 'Manifold pressure at rest off ambient pressure: pass up to'),
  'manifold-pressure.caution-to': row(6, 'kPa', 'own', 'Manifold pressure at rest off: above is a fail'),

  'air-mass-zero.pass-to': row(3, 'kg/h', 'own', 'Air mass with the engine at rest: pass up to'),
  'air-mass-zero.caution-to': row(8, 'kg/h', 'own', 'Air mass with the engine at rest: above is a fail'),

  'air-mass-idle.pass-from': row(0.85, 'ratio', 'airMass', 'Air mass at idle against the estimate: pass from'),
  'air-mass-idle.pass-to': row(1.15, 'ratio', 'airMass', 'Air mass at idle against the estimate: pass up to'),
  'air-mass-idle.caution-from': row(0.75, 'ratio', 'airMass', 'Air mass at idle: below is a fail'),
  'air-mass-idle.caution-to': row(1.25, 'ratio', 'airMass', 'Air mass at idle: above is a fail'),

  'boost-under-load.pass-from': row(0.8, 'ratio', 'practice', 'Boost against the map: pass from'),
  'boost-under-load.pass-to': row(1.15, 'ratio', 'practice', 'Boost against the map: pass up to'),
  'boost-under-load.caution-from': row(0.6, 'ratio', 'practice', 'Boost against the map: below is a fail'),
  'boost-under-load.caution-to': row(1.2, 'ratio', 'practice', 'Boost against the map: above is a fail'),

  'pedal-travel.rest-to': row(2, '%', 'practice', 'Pedal at rest: up to'),
  'pedal-travel.full-from': row(95, '%', 'practice', 'Pedal all the way down: from'),
  'pedal-agreement.pass-to': row(5, '%', 'practice', 'The two pedal sensors apart: up to'),

  'egr-position.pass-to': row(5, '%', 'practice', 'EGR valve off its command: pass up to'),
  'egr-position.caution-to': row(10, '%', 'practice', 'EGR valve off its command: above is a fail'),

  'rail-pressure.pass-to': row(5, '%', 'practice', 'Rail pressure off its command: pass up to'),
  'rail-pressure.caution-to': row(10, '%', 'practice', 'Rail pressure off its command: above is a fail'),

  'idle-fuel.expected-from': per(
    'L of engine',
    row(0.2, 'L/h', 'idleFuel', 'Fuel at warm idle for each litre of engine: usual from'),
  ),
  'idle-fuel.pass-to': per(
    'L of engine',
    row(0.45, 'L/h', 'idleFuel', 'Fuel at warm idle for each litre of engine: pass up to'),
  ),
  'idle-fuel.caution-to': per(
    'L of engine',
    row(0.6, 'L/h', 'idleFuel', 'Fuel at warm idle for each litre: above is a fail'),
  ),

  'heater-draw.sag-from': row(0.3, 'V', 'own', 'Voltage the intake heater pulls down: there from'),

  'missing-messages.pass-below': row(3, 'count', 'practice', 'Longest silence, in periods: pass below'),
  'missing-messages.caution-to': row(5, 'count', 'practice', 'Longest silence, in periods: above is a fail'),

  'controller-reset.none': row(0, 'count', 'practice', 'Restarts with the key on: more is a fail'),
  'error-frames.none': row(0, 'count', 'practice', 'Error frames: more is a caution'),
  'error-frames.passive-to': row(1, 's', 'ownPassive', 'Recorder’s controller error-passive: longer is a fail'),

  'bus-silence.none': row(0, 'count', 'practice', 'Silences of the whole bus with the key on: more is a fail'),
  'late-messages.pass-to': row(5, '%', 'own', 'Messages more than half a period late: above is a caution'),
  'long-messages.pass-to': row(1, '%', 'own', 'Long messages that stay incomplete: above is a caution'),

  'bus-load.pass-below': row(40, '%', 'practice', 'Bus load, busiest second: pass below'),
  'bus-load.caution-to': row(70, '%', 'practice', 'Bus load, busiest second: above is a fail'),
} as const satisfies Readonly<Record<string, LimitDefinition>>

/** Name of a limit. */
export type LimitId = keyof typeof TABLE

/** All limits, by name. */
export const LIMITS: Readonly<Record<LimitId, LimitDefinition>> = TABLE

/** Every name, in the order of the table. */
export const LIMIT_IDS: readonly LimitId[] = Object.keys(LIMITS) as LimitId[]

/** All limits as they are in force. */
export type Limits = Readonly<Record<LimitId, Limit>>

/** A figure that takes the place of ours; its source is the profile's own where none is given with it. */
export type OwnLimit = number | { readonly value: number; readonly source: string }

/** Whose figures take the places of ours: the part of a profile that {@link limitsFor} needs. */
export interface LimitOwner {
  readonly title: string
  readonly source?: string | undefined
  readonly limits: Readonly<Partial<Record<LimitId, OwnLimit>>>
}

/**
 * The limits in force: our defaults, with the profile's own figures in their places.
 *
 * @param volts 12 or 24: in a 24-volt system the default voltages count twice; a profile's figures are
 *   taken as they are
 */
export function limitsFor(profile: LimitOwner, volts: 12 | 24 = 12): Limits {
  const entries = LIMIT_IDS.map((id): readonly [LimitId, Limit] => {
    const { value, source, what: _, ...kind } = LIMITS[id]
    const own = profile.limits[id]
    if (own !== undefined) {
      const given = typeof own === 'number' ? { value: own, source: profile.source ?? profile.title } : own
      return [id, { id, ...kind, value: given.value, source: given.source, owner: { profile: profile.title } }]
    }
    if (kind.unit !== 'V' || volts === 12) return [id, { id, ...kind, value, source, owner: 'default' }]
    return [id, { id, ...kind, value: 2 * value, source: `${source}; doubled for a 24 V system`, owner: 'default' }]
  })
  return Object.fromEntries(entries) as Limits
}
