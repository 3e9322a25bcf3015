/** Oil pressure after a start: how soon it comes, and whether it stays. */
import type { Samples } from '@firstcrank/decoder'
import { firstAfter, firstAt, SECOND, stretches, windowOf } from '../series.js'
import { type CheckContext, RUNNING, STANDING, type Start, say, upTo, worse } from './context.js'
import { type CheckDefinition, notJudged, type Outcome } from './definition.js'

export const OIL = 100
/** A start has its pressure or has not after so long. */
const SETTLED = 10 * SECOND
/** Before the starter turns, what pressure is read in so long is that of rest, unless it ran shortly before. Common practice. */
const AT_REST = 5 * SECOND
const DRAINS = 30 * SECOND
const NO_MESSAGES = 'its messages are missing in the seconds that matter after the start'

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
  const gap = context.engine.hold(OIL)
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
  const maxGap = context.engine.hold(OIL)
  let lowest: { kPa: number; at: number } | undefined
  let worst: { from: number; to: number } | undefined
  let seconds = 0
  for (const run of context.stretchesOf(RUNNING)) {
    const samples = windowOf(context.engine.valid(OIL), run.from + SETTLED, run.to - SECOND)
    if (samples.time.length < 3) continue
    seconds += coveredSeconds(samples, maxGap)
    // One low message may be noise; two in a row are not.
    const lasting = stretches(samples, (kPa) => kPa < least, { atLeast: period / 2, maxGap })
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

/** The instrument that settles it. */
export const GAUGE = 'A mechanical gauge at the gallery port.'
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
]
