/** Boost with the engine at rest, and under load against what it reached elsewhere. */
import { gaugeBoost } from '../../derived/air.js'
import { median, NO_SAMPLES, SECOND, valueAt, windowOf } from '../../series.js'
import { type FaultContext, RUNNING } from '../context.js'
import { kilopascals, percent, rpm, type Sight, sight } from '../sight.js'

/** Load and speed at which boost must be there: as in the checks. Source: common practice. */
const LOADED = 80
const LEAST_SPEED = 1500
/** A turbocharged diesel at full load makes more than this nearly everywhere, kPa. Source: common practice. */
const WEAK = 50

/** `boost-at-rest`: boost without a turning engine. */
export function boostAtRest(context: FaultContext): Sight | null {
  const standing = context.standing[0]
  if (standing === undefined) return null
  const boost = context.engine && gaugeBoost(context.engine, context.profile)
  const found = boost === undefined ? null : median(windowOf(boost, standing.from, standing.to).value)
  if (found === null) return null
  const limit = context.limits['key-on-boost.caution-to'].value
  const good = context.limits['key-on-boost.pass-to'].value
  const refs = [context.ref(102), context.ref(3563), context.ref(108)]
  const text = `With the engine at rest the intake shows ${kilopascals(found)} of boost; it can only be 0.`
  if (Math.abs(found) > limit) return sight(true, text, standing, refs)
  return Math.abs(found) <= good
    ? sight(false, `With the engine at rest the boost sensor reads ${kilopascals(found)}, as it must.`, standing, refs)
    : null
}

/** `boost-weak-under-load`: little boost although the engine pulls. */
export function boostWeakUnderLoad(context: FaultContext): Sight | null {
  const boost = (context.engine && gaugeBoost(context.engine, context.profile)) ?? NO_SAMPLES
  const load = context.valid(92)
  const speed = context.valid(190)
  if (boost.time.length === 0 || load.time.length === 0) return null
  let best: { time: number; boost: number; load: number; speed: number } | undefined
  let hard = 0
  for (const { from, to } of context.during(RUNNING)) {
    const part = windowOf(boost, from, to)
    for (let i = 0; i < part.time.length; i++) {
      const time = part.time[i] as number
      const pull = median(windowOf(load, time - 2 * SECOND, time).value)
      const turns = valueAt(speed, time, SECOND)
      if (pull === null || turns === null || pull < LOADED || turns < LEAST_SPEED) continue
      hard++
      const value = part.value[i] as number
      if (best === undefined || value > best.boost) best = { time, boost: value, load: pull, speed: turns }
    }
  }
  if (best === undefined || hard < 3) return null
  const here = { from: best.time, to: best.time }
  const refs = [context.ref(102), context.ref(92), context.ref(190)]
  const text = `The most boost at ${percent(best.load)} load and ${rpm(best.speed)} is ${kilopascals(best.boost)}`
  return sight(
    best.boost < WEAK,
    `${text}${best.boost < WEAK ? ', little for a turbocharged engine that pulls' : ''}.`,
    here,
    refs,
  )
}
