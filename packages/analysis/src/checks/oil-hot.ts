/** Oil pressure with hot oil: at idle, and at speed. */
import type { Samples } from '@firstcrank/decoder'
import { lookUp } from '../derived/map.js'
import { median, quantile, SECOND, stretches, valuesAt, windowOf } from '../series.js'
import { type CheckContext, from, IDLING, type RUNNING, say } from './context.js'
import { type CheckDefinition, notJudged, type Outcome } from './definition.js'
import { GAUGE, OIL } from './oil.js'

/** °C from which oil counts as hot, and how long before. */
const HOT = 80
const HOT_FOR = 60 * SECOND
/** A silence of the temperature for so long: nobody knows whether it stayed hot. Common practice. */
const HOLE = 10 * SECOND
/** Seconds of hot oil that tell enough. */
const HOT_LEAST = 10
const SPEED_LEAST = 1500
/** Messages at which a sensor would have shown a third value. */
const SWITCH_LEAST = 20
/** kPa between the two values of a switch; a sensor that shows only two does not jump so far. */
const SWITCH_STEP = 50

/**
 * Whether a pressure switch stands behind the signal: over the whole recording, standing and running, it
 * shows two values only, far apart. One value tells nothing.
 */
function isPressureSwitch({ profile, engine }: CheckContext): boolean {
  if (profile.fitted.oilPressureSwitch !== undefined) return profile.fitted.oilPressureSwitch
  const { value } = engine.valid(OIL)
  const values = new Set<number>()
  for (const kPa of value) {
    values.add(kPa)
    if (values.size > 2) return false
  }
  if (values.size < 2 || value.length < SWITCH_LEAST) return false
  const [a, b] = [...values] as [number, number]
  return Math.abs(a - b) >= SWITCH_STEP
}

const LEVEL_BY_SWITCH = 'a pressure switch is behind this signal: it says whether there is pressure, not how much'

/** Times of oil pressure messages in stretches with hot oil: for a minute by its own or the coolant's temperature. */
function hotSamples(context: CheckContext, kinds: typeof RUNNING): Samples {
  const spn = context.engine.has(175) ? 175 : 110
  const temperature = context.engine.valid(spn)
  const maxGap = Math.max(HOLE, context.engine.hold(spn))
  const hot = stretches(temperature, (celsius) => celsius >= HOT, { atLeast: HOT_FOR, maxGap })
  const time: number[] = []
  const value: number[] = []
  for (const run of context.stretchesOf(kinds)) {
    for (const span of hot) {
      const from = Math.max(run.from, span.from + HOT_FOR)
      const samples = windowOf(context.engine.valid(OIL), from, Math.min(run.to, span.to))
      time.push(...samples.time)
      value.push(...samples.value)
    }
  }
  return { time: Float64Array.from(time), value: Float64Array.from(value) }
}

function judgeHotIdle(context: CheckContext): Outcome {
  if (isPressureSwitch(context)) return notJudged(LEVEL_BY_SWITCH)
  const { time, value } = hotSamples(context, IDLING)
  const kPa = median(value)
  if (kPa === null || context.secondsOf(OIL, value.length) < HOT_LEAST)
    return notJudged('the engine did not idle with oil or coolant at 80 °C for a minute')
  const own = curveAt(context, time)
  const verdict = from(
    kPa,
    context.limit('oil-pressure-hot-idle.pass-from'),
    context.limit('oil-pressure-hot-idle.caution-from'),
  )
  const curve = own === null ? '' : ` The profile's curve says ${say(own, 0)} kPa here.`
  const text = `${say(kPa, 0)} kPa at hot idle, median of ${value.length} messages.`
  const span = { from: time[0] as number, to: time[time.length - 1] as number }
  return {
    verdict,
    measured: { value: kPa, unit: 'kPa', uncertainty: context.halfStep(OIL) },
    finding: `${text}${curve}`,
    evidence: [context.evidence(span, text, OIL, 175, 110, 190)],
  }
}

/** What the profile's own curve gives, median over some times; null without one. */
function curveAt({ profile, engine }: CheckContext, time: Float64Array): number | null {
  const { pressureMap } = profile.oil
  if (pressureMap === undefined) return null
  const speed = valuesAt(engine.valid(190), time, engine.hold(190))
  const spn = engine.has(175) ? 175 : 110
  const oil = valuesAt(engine.valid(spn), time, engine.hold(spn))
  const table = { x: pressureMap.speeds, y: pressureMap.temperatures, values: pressureMap.pressure }
  return median(speed.map((rpm, i) => lookUp(table, rpm, oil[i] as number)))
}

function judgeAtSpeed(context: CheckContext): Outcome {
  if (isPressureSwitch(context)) return notJudged(LEVEL_BY_SWITCH)
  const { time, value } = hotSamples(context, ['load', 'idle', 'warm-idle'])
  const relief = context.limit('oil-pressure-at-speed.relief')
  const speed = valuesAt(context.engine.valid(190), time, context.engine.hold(190))
  const ratios: number[] = []
  let relieved = 0
  let span: { from: number; to: number } | undefined
  value.forEach((kPa, i) => {
    const rpm = speed[i] as number
    if (!(rpm > SPEED_LEAST)) return
    span = { from: span?.from ?? (time[i] as number), to: time[i] as number }
    if (kPa >= relief) relieved++
    else ratios.push((kPa * 1000) / rpm)
  })
  if (span === undefined || context.secondsOf(OIL, ratios.length + relieved) < HOT_LEAST) {
    return notJudged('the engine did not run above 1,500 rpm with oil or coolant at 80 °C for ten seconds')
  }
  const lowest = quantile(ratios, 0.1)
  if (lowest === null || context.secondsOf(OIL, ratios.length) < HOT_LEAST / 2) {
    const text = `${say(relief, 0)} kPa or more at every speed above 1,500 rpm: the relief valve holds it.`
    return {
      verdict: 'pass',
      measured: { value: relief, unit: 'kPa', uncertainty: context.halfStep(OIL) },
      finding: text,
      evidence: [context.evidence(span, text, OIL, 190)],
    }
  }
  const text = `${say(lowest, 0)} kPa for each 1,000 rpm, the lowest tenth of ${ratios.length} messages.`
  return {
    verdict: from(
      lowest,
      context.limit('oil-pressure-at-speed.pass-from'),
      context.limit('oil-pressure-at-speed.caution-from'),
    ),
    measured: {
      value: lowest,
      unit: 'kPa',
      uncertainty: context.halfStep(OIL) / (SPEED_LEAST / 1000),
      per: '1,000 rpm',
    },
    finding: text,
    evidence: [context.evidence(span, text, OIL, 190, 175)],
  }
}

export const HOT_OIL_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'oil-pressure-hot-idle',
    title: 'Oil pressure at hot idle',
    proves: 'Pump, bearings and oil grade hold pressure when the oil is thinnest.',
    needs: [[OIL], [110, 175]],
    enabling: 'Oil, or else coolant, at 80 °C for a minute; idle. Not a pressure switch.',
    computes: 'Median pressure.',
    limits: ['oil-pressure-hot-idle.pass-from', 'oil-pressure-hot-idle.caution-from'],
    otherwise: GAUGE,
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Compare with the maker’s figure and a mechanical gauge. Oil grade and fuel in the oil come before bearings.',
      fail: 'Stop. Oil level and grade, fuel in the oil, then a mechanical gauge before anything else.',
    },
    cautions: ['hot-parts', 'rotating-parts'],
    judge: judgeHotIdle,
  },
  {
    id: 'oil-pressure-at-speed',
    title: 'Oil pressure at speed',
    proves: 'Pressure rises with speed as the pump delivers more.',
    needs: [[OIL], [190], [110, 175]],
    enabling:
      'Oil, or else coolant, at 80 °C for a minute; above 1,500 rpm; below the relief valve. Not a pressure switch.',
    computes: 'Pressure for each 1,000 rpm, the lowest tenth of messages.',
    limits: ['oil-pressure-at-speed.pass-from', 'oil-pressure-at-speed.caution-from', 'oil-pressure-at-speed.relief'],
    otherwise: GAUGE,
    advice: {
      pass: 'Nothing to do.',
      caution: 'Compare with the maker’s figure and a mechanical gauge at the same speed.',
      fail: 'Do not load the engine. Mechanical gauge at the same speed; oil level, pick-up, filter and hoses.',
    },
    cautions: ['hot-parts', 'rotating-parts'],
    judge: judgeAtSpeed,
  },
]
