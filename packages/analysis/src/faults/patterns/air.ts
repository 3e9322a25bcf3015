/**
 * Measured air against speed density: the ratio at rest, at idle, with flow and with boost. Without a
 * displacement only the shape of the ratio counts, not its level.
 */
import { expectedAirMass, gaugeBoost } from '../../derived/air.js'
import type { EngineView } from '../../engine-view.js'
import type { Span } from '../../model.js'
import type { Profile } from '../../profile.js'
import { median, SECOND, valueAt, windowOf } from '../../series.js'
import { type FaultContext, RUNNING } from '../context.js'
import { number, percent, type Sight, sight } from '../sight.js'
import { boostAtRest } from './boost.js'

/** s between the points, and what is steady across two of them. Source: our own choice. */
const STEP = 0.5 * SECOND
const STEADY_SPEED = 60
const STEADY_PRESSURE = 3
/** rpm from which on the engine draws air by itself. */
const TURNS = 500
/** kPa of boost from which on, and up to which, a point is one of boost, or of none. Source: our own choice. */
const BOOSTED = 20
const UNBOOSTED = 8
/** Points a bin needs: ten seconds. */
const ENOUGH = 20

interface Point {
  readonly time: number
  readonly expected: number
  readonly ratio: number
  readonly boost: number
}

/** The ratio of measured to expected air, point by point. */
export interface AirRatios extends Span {
  readonly points: readonly Point[]
  /** Whether the displacement is known: else the level of the ratio says nothing. */
  readonly absolute: boolean
}

const known = new WeakMap<FaultContext, AirRatios | null>()

/** Null where a signal it takes is missing. */
export function airRatios(context: FaultContext): AirRatios | null {
  const cached = known.get(context)
  if (cached !== undefined) return cached
  const ratios = context.engine === undefined ? null : compute(context, context.engine)
  known.set(context, ratios)
  return ratios
}

function compute(context: FaultContext, engine: EngineView): AirRatios | null {
  const { profile } = context
  const absolute = profile.engine.displacement !== undefined
  const expected = expectedAirMass(engine, absolute ? profile : withLitre(profile))
  const boost = gaugeBoost(engine, profile)
  const mass = context.valid(132)
  if (expected === undefined || boost === undefined || mass.time.length === 0) return null
  const speed = context.valid(190)
  const points: Point[] = []
  for (const { from, to } of context.during(RUNNING)) {
    let before: { rpm: number; kPa: number } | undefined
    for (let time = from + 2 * STEP; time <= to; time += STEP) {
      const rpm = valueAt(speed, time, SECOND)
      const kPa = valueAt(boost, time, 2 * SECOND)
      const last = before
      before = rpm === null || kPa === null ? undefined : { rpm, kPa }
      if (rpm === null || kPa === null || last === undefined || rpm < TURNS) continue
      if (Math.abs(rpm - last.rpm) > STEADY_SPEED || Math.abs(kPa - last.kPa) > STEADY_PRESSURE) continue
      // What comes back as exhaust gas cannot be taken off air that is known only by its shape.
      if (!absolute && (valueAt(context.valid(2659), time, 2 * SECOND) ?? 0) > 0) continue
      const measured = median(windowOf(mass, time - STEP / 2, time + STEP / 2).value)
      const drawn = valueAt(expected, time, SECOND)
      if (measured === null || drawn === null || drawn <= 0) continue
      points.push({ time, expected: drawn, ratio: measured / drawn, boost: kPa })
    }
  }
  if (points.length < ENOUGH) return null
  return { points, absolute, from: points[0]?.time ?? 0, to: points.at(-1)?.time ?? 0 }
}

/** The same profile with an engine of one litre: for the shape of a ratio any size does. */
function withLitre(profile: Profile): Profile {
  return { ...profile, engine: { ...profile.engine, displacement: 1 } }
}

const refs = (context: FaultContext) => [
  context.ref(132),
  context.ref(190),
  context.ref(102) ?? context.ref(3563),
  context.ref(105),
]

/** Ratio by flow: medians of the lower and the upper part, and the spread between flows. */
interface Shape {
  readonly low: number
  readonly high: number
  readonly all: number
}

function shapeOf({ points }: AirRatios): Shape | null {
  const sorted = [...points].sort((a, b) => a.expected - b.expected)
  const third = Math.floor(sorted.length / 3)
  if (third < ENOUGH) return null
  const low = median(sorted.slice(0, third).map(({ ratio }) => ratio))
  const high = median(sorted.slice(-third).map(({ ratio }) => ratio))
  const all = median(sorted.map(({ ratio }) => ratio))
  const least = sorted[0] as Point
  const most = sorted.at(-1) as Point
  // Without a range of flows there is no shape.
  if (low === null || high === null || all === null || most.expected < 2 * least.expected) return null
  return { low, high, all }
}

/** Away from 1 by more than this is wrong at every flow. Source: error budget of speed density, ±8 %, and a little. */
const LEVEL_OFF = 0.1
/** Flows whose ratios differ by less read the same share everywhere. Source: our own choice. */
const SAME_SHARE = 0.05
/** Rising or falling with flow by more is a shape. Source: our own choice; filling alone can make 0.1. */
const SHAPED = 0.15

/** `air-ratio-constant`: off by the same share at every flow. */
export function airRatioConstant(context: FaultContext): Sight | null {
  const ratios = airRatios(context)
  const shape = ratios && shapeOf(ratios)
  if (ratios === null || shape === null || !ratios.absolute) return null
  const { low, high, all } = shape
  const flat = Math.abs(high - low) < SAME_SHARE
  const said = `Measured air is ${number(low, 2)} of what speed and density give at small flows and ${number(high, 2)} at large ones`
  if (flat && Math.abs(all - 1) > LEVEL_OFF) {
    return sight(
      true,
      `${said}: off by the same share at every flow, as a tube of another bore makes it.`,
      ratios,
      refs(context),
    )
  }
  return sight(
    false,
    flat ? `${said}: as it should be.` : `${said}: not the same share at every flow.`,
    ratios,
    refs(context),
  )
}

/** `air-ratio-falls`: less and less of the air is seen as the flow grows. */
export function airRatioFalls(context: FaultContext): Sight | null {
  const ratios = airRatios(context)
  const shape = ratios && shapeOf(ratios)
  if (ratios === null || shape === null) return null
  const falls = shape.high / shape.low < 1 - SHAPED
  const text = `Measured against expected air goes from ${number(shape.low, 2)} at small flows to ${number(shape.high, 2)} at large ones.`
  return sight(falls, text, ratios, refs(context))
}

/** `air-lost-with-boost`: more air is measured than the engine can draw, and only with boost. */
export function airLostWithBoost(context: FaultContext): Sight | null {
  const ratios = airRatios(context)
  if (ratios === null) return null
  const boosted = ratios.points.filter(({ boost }) => boost >= BOOSTED)
  const idle = ratios.points.filter(({ boost }) => boost <= UNBOOSTED)
  const withBoost = median(boosted.map(({ ratio }) => ratio))
  const without = median(idle.map(({ ratio }) => ratio))
  if (boosted.length < ENOUGH / 2 || idle.length < ENOUGH || withBoost === null || without === null) return null
  const more = withBoost / without
  const text = `Without boost the engine draws ${number(without, 2)} of the expected air, with boost the sensor sees ${number(withBoost, 2)}`
  const span = { from: boosted[0]?.time ?? ratios.from, to: boosted.at(-1)?.time ?? ratios.to }
  if (more > 1 + SHAPED)
    return sight(true, `${text}: air is measured and then lost behind the compressor.`, span, refs(context))
  return sight(false, `${text}: none is lost on the way.`, span, refs(context))
}

/** `air-ratio-off`: the residual of the air-mass sensor, whatever its shape. */
export function airRatioOff(context: FaultContext): Sight | null {
  const ratios = airRatios(context)
  const middle = ratios && median(ratios.points.map(({ ratio }) => ratio))
  if (ratios === null || middle === null || !ratios.absolute) return null
  const off = Math.abs(middle - 1) > LEVEL_OFF
  const lost = airLostWithBoost(context)
  if (lost?.seen) return lost
  const text = `Over the whole run the sensor shows ${percent(middle * 100)} of the air that speed, boost and temperature promise.`
  return sight(off, text, ratios, refs(context))
}

/** `air-zero`: what the sensor reads with the engine at rest. */
export function airZero(context: FaultContext): Sight | null {
  const standing = context.standing[0]
  if (standing === undefined) return null
  const at = windowOf(context.valid(132), standing.from, standing.to)
  const value = median(at.value)
  if (value === null) return null
  const limit = context.limits['air-mass-zero.caution-to'].value
  const good = context.limits['air-mass-zero.pass-to'].value
  const text = `With the engine at rest the air-mass sensor reads ${number(value, 1)} kg/h.`
  if (Math.abs(value) > limit) return sight(true, text, standing, [context.ref(132)])
  return Math.abs(value) <= good ? sight(false, text, standing, [context.ref(132)]) : null
}

/** What the expected air rests on. */
const INPUTS: ReadonlySet<number> = new Set([102, 3563, 105, 1636, 108])

/** `air-inputs-doubtful`: a sensor the expected air rests on is itself reported, or wrong at rest. */
export function airInputsDoubtful(context: FaultContext): Sight | null {
  const fault = context.faults.find(
    ({ spn, class: faultClass }) => INPUTS.has(spn) && faultClass !== 'low' && faultClass !== 'high',
  )
  if (fault !== undefined)
    return sight(true, `The expected air rests on ${fault.name}, which is itself reported.`, fault, [
      context.ref(fault.spn),
    ])
  const rest = boostAtRest(context)
  return rest?.seen ? rest : null
}
