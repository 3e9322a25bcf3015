/** Oil pressure: how soon it comes, whether it stays, and how high it is hot. */
import type { Samples } from '@firstcrank/decoder'
import { lookUp } from '../derived/map.js'
import { firstAfter, firstAt, median, quantile, SECOND, stretches, valuesAt, windowOf } from '../series.js'
import { type CheckContext, from, IDLING, RUNNING, STANDING, type Start, say, upTo, worse } from './context.js'
import { type CheckDefinition, notJudged, type Outcome } from './definition.js'

const OIL = 100
/** °C from which oil counts as hot, and how long before. */
const HOT = 80
const HOT_FOR = 60 * SECOND
/** A silence of the temperature for so long: nobody knows whether it stayed hot. Common practice. */
const HOLE = 10 * SECOND
/** Messages at which a sensor would have shown a third value. */
const SWITCH_LEAST = 20
/** kPa between the two values of a switch; a sensor that shows only two does not jump so far. */
const SWITCH_STEP = 50
/** A start has its pressure or has not after so long. */
const SETTLED = 10 * SECOND
const SPEED_LEAST = 1500
/** Before the starter turns, what pressure is read in so long is that of rest, unless it ran shortly before. Common practice. */
const AT_REST = 5 * SECOND
const DRAINS = 30 * SECOND
/** A silence of more of its periods is a hole. Common practice. */
const GAP_PERIODS = 3
const NO_MESSAGES = 'its messages are missing in the seconds that matter after the start'

/**
 * Whether a pressure switch stands behind the signal: over the whole recording, standing and running, it
 * shows two values only, far apart. One value tells nothing.
 */
export function isPressureSwitch({ profile, engine }: Pick<CheckContext, 'profile' | 'engine'>): boolean {
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

function judgeRise(context: CheckContext): Outcome {
  const starts = context.starts()
  if (starts.length === 0) return notJudged('no start of the engine was recorded')
  const outcomes = starts.flatMap((start) => riseOf(context, start) ?? [])
  if (outcomes.length === 0) return notJudged('no oil pressure was sent after the start, or the engine ran too briefly')
  return outcomes.reduce((a, b) => (worse(a.verdict, b.verdict) === a.verdict ? a : b))
}

function riseOf(context: CheckContext, { cranking, fired, to, cycle }: Start): Outcome | undefined {
  const level = context.limit('oil-pressure-rise.level')
  const pass = context.limit('oil-pressure-rise.pass-to')
  const stop = context.limit('oil-pressure-rise.caution-to')
  const { time, value } = context.engine.valid(OIL)
  const end = firstAfter(time, to)
  const first = firstAt(time, cranking.from)
  const rest = restPressure(context, cranking.from)
  if (rest !== null && rest >= level) {
    return notJudged(`it read ${say(rest, 0)} kPa before anything turned, so that no rise can be seen`)
  }
  let there = first
  while (there < end && (value[there] as number) < level) there++
  const period = context.periodSeconds(OIL)
  const gap = GAP_PERIODS * (context.engine.period(OIL) ?? 0)
  const toFill = context.profile.oil.filterEmpty === true || context.profile.run.firstStart === true
  const fill = toFill
    ? ' An empty filter has to be filled first: once is normal. Check the oil level again.'
    : context.profile.oil.remoteFilter === true
      ? ' Hoses to a remote filter can drain back and have to be filled again.'
      : ''
  const which = context.starts().length > 1 ? ` (key cycle ${cycle})` : ''
  if (there < end) {
    const seconds = Math.max(0, ((time[there] as number) - fired) / SECOND)
    const verdict = upTo(seconds, pass, stop)
    // Behind a hole it may have come anywhere in it.
    const known = Math.max(fired, there > first ? (time[there - 1] as number) : fired)
    const isHole = (time[there] as number) - known > gap
    if (isHole && upTo((known - fired) / SECOND, pass, stop) !== verdict) return notJudged(NO_MESSAGES)
    const text = `${say(level, 0)} kPa ${say(seconds)} s after it fired${which}.`
    return {
      verdict,
      measured: { value: seconds, unit: 's', uncertainty: period },
      finding: verdict === 'pass' ? text : `${text}${fill}`,
      evidence: [context.evidence({ from: fired, to: time[there] as number }, text, OIL, 190)],
      ...(verdict === 'fail' ? { cautions: ['no-oil-pressure'] } : {}),
    }
  }
  if (end === first) return undefined
  const ran = (Math.min(to, (time[end - 1] as number) + gap) - fired) / SECOND
  if (ran < pass) return to - fired < pass * SECOND ? undefined : notJudged(NO_MESSAGES)
  const verdict = ran >= stop ? 'fail' : 'caution'
  const highest = windowOf({ time, value }, fired, to).value.reduce((a, b) => Math.max(a, b), 0)
  const text = `No oil pressure in ${say(ran)} s of running${which}: ${say(highest, 0)} kPa at most.`
  return {
    verdict,
    measured: { value: ran, unit: 's', uncertainty: period },
    finding: text,
    evidence: [context.evidence({ from: fired, to }, text, OIL, 190)],
    cautions: ['no-oil-pressure'],
  }
}

/** Pressure that stood with the engine: the lowest of the moments before it turned; null where it ran shortly before. */
function restPressure(context: CheckContext, cranked: number): number | null {
  const stood = context.stretchesOf(STANDING).find(({ to }) => to === cranked)
  if (stood === undefined) return null
  const from = Math.max(stood.from, cranked - AT_REST)
  const isFresh = context
    .phasesOf([...RUNNING, 'cranking'])
    .some((phase) => phase.to > from - DRAINS && phase.to < cranked)
  const { value } = context.within(OIL, { from, to: cranked - 1 })
  return isFresh || value.length < 3 ? null : value.reduce((a, b) => Math.min(a, b))
}

function judgeKept(context: CheckContext): Outcome {
  const least = context.limit('oil-pressure-kept.caution-from')
  const low = context.limit('oil-pressure-kept.pass-from')
  const period = context.engine.period(OIL) ?? SECOND
  let lowest: { kPa: number; at: number } | undefined
  let worst: { from: number; to: number } | undefined
  let seconds = 0
  for (const run of context.stretchesOf(RUNNING)) {
    const samples = windowOf(context.engine.valid(OIL), run.from + SETTLED, run.to - SECOND)
    if (samples.time.length < 3) continue
    seconds += coveredSeconds(samples, GAP_PERIODS * period)
    // One low message may be noise; two in a row are not.
    const lasting = stretches(samples, (kPa) => kPa < least, { atLeast: period / 2, maxGap: GAP_PERIODS * period })
    worst ??= lasting[0]
    const smooth = pairwiseHigher(samples)
    smooth.value.forEach((kPa, i) => {
      if (lowest === undefined || kPa < lowest.kPa) lowest = { kPa, at: smooth.time[i] as number }
    })
  }
  if (lowest === undefined) return notJudged('the engine did not run for ten seconds and a few messages more')
  const { kPa, at } = lowest
  const verdict = worst !== undefined ? 'fail' : kPa < low ? 'caution' : 'pass'
  const span = worst ?? { from: at, to: at }
  const text = `Never less than ${say(kPa, 0)} kPa in ${say(seconds, 0)} s of running.`
  const gone = `Oil pressure down to ${say(kPa, 0)} kPa while the engine ran.`
  const finding = verdict === 'pass' ? text : gone
  return {
    verdict,
    measured: { value: kPa, unit: 'kPa', uncertainty: context.halfStep(OIL) },
    finding,
    evidence: [context.evidence(span, finding, OIL, 190)],
    ...(verdict === 'fail' ? { cautions: ['no-oil-pressure'] } : {}),
  }
}

/** Seconds that messages tell of, those of holes left out. */
function coveredSeconds({ time }: Samples, gap: number): number {
  let sum = 0
  for (let i = 1; i < time.length; i++) sum += Math.min((time[i] as number) - (time[i - 1] as number), gap)
  return sum / SECOND
}

/** Of each message and the next, the higher: a single low one does not count. */
function pairwiseHigher({ time, value }: Samples): Samples {
  const count = Math.max(0, value.length - 1)
  return {
    time: time.slice(0, count),
    value: Float64Array.from({ length: count }, (_, i) => Math.max(value[i] as number, value[i + 1] as number)),
  }
}

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
  const least = 10 / Math.max(0.1, context.periodSeconds(OIL))
  const kPa = median(value)
  if (kPa === null || value.length < least)
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
  const least = 10 / Math.max(0.1, context.periodSeconds(OIL))
  if (span === undefined || ratios.length + relieved < least) {
    return notJudged('the engine did not run above 1,500 rpm with oil or coolant at 80 °C for ten seconds')
  }
  const lowest = quantile(ratios, 0.1)
  if (lowest === null || ratios.length < least / 2) {
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

const GAUGE = 'A mechanical gauge at the gallery port.'
const FIRST =
  'Stop. Oil level, then a mechanical gauge at the gallery port, then the routing of filter hoses. The sensor comes last.'

export const OIL_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'oil-pressure-rise',
    title: 'Oil pressure comes',
    proves: 'Oil reached the gallery soon after the engine fired.',
    needs: [[OIL]],
    enabling: 'A start was recorded. A pressure switch is judged for presence only, which is what this asks.',
    computes: 'Seconds from firing to the first message at 70 kPa or more.',
    limits: ['oil-pressure-rise.level', 'oil-pressure-rise.pass-to', 'oil-pressure-rise.caution-to'],
    otherwise: GAUGE,
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Normal once after an oil or filter change. Check the level; start again and see it come sooner. If it does not: filter hoses, drain-back, gauge.',
      fail: FIRST,
    },
    cautions: ['no-oil-pressure'],
    judge: judgeRise,
  },
  {
    id: 'oil-pressure-kept',
    title: 'Oil pressure stays',
    proves: 'Pressure never went away while the engine ran.',
    needs: [[OIL]],
    enabling: 'Running longer than ten seconds.',
    computes: 'Lowest pressure from ten seconds after the start on; single messages do not count.',
    limits: ['oil-pressure-kept.pass-from', 'oil-pressure-kept.caution-from'],
    otherwise: GAUGE,
    advice: {
      pass: 'Nothing to do.',
      caution: 'Check the level, then compare with a mechanical gauge with the oil hot.',
      fail: FIRST,
    },
    cautions: [],
    judge: judgeKept,
  },
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
