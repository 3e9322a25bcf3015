/** Warm idle: how steady, how near its target, how much fuel. */
import type { Span } from '../model.js'
import { deviation, extremes, MINUTE, mean, median, SECOND, secondsOf, slope } from '../series.js'
import { type CheckContext, from, say, upTo } from './context.js'
import { type CheckDefinition, notJudged, type Outcome } from './definition.js'

/** Messages a second from which the unsteadiness of an idle can be told. */
const FAST_ENOUGH = 10
/** % the fan may change within a minute that counts as steady. */
const FAN_STEADY = 20
/** °C from which an idle that is not warm is looked at too. Our own choice. */
const LUKEWARM = 40
/** Speeds farther than this from the middle are a lost signal, not an unsteady idle: share of the middle. */
const LOST = 0.4

/** Whole minutes, or other equal parts, of stretches. */
function partsOf(stretches: readonly Span[], width: number): Span[] {
  return stretches.flatMap(({ from, to }) => {
    const count = Math.floor((to - from) / width)
    return Array.from({ length: count }, (_, i) => ({ from: from + i * width, to: from + (i + 1) * width }))
  })
}

/** Whole minutes of warm idle. */
function warmMinutes(context: CheckContext): Span[] {
  return partsOf(context.stretchesOf(['warm-idle']), MINUTE)
}

/** Half minutes of an idle that has settled but is not warm yet. */
function lukewarmParts(context: CheckContext): Span[] {
  return partsOf(context.stretchesOf(['idle']), MINUTE / 2).filter(
    ({ from }) => (context.at(110, from) ?? Number.NEGATIVE_INFINITY) >= LUKEWARM,
  )
}

const NO_WARM_IDLE = 'the engine did not idle warm for a minute (coolant at 75 °C or more and steady)'

function judgeStability(context: CheckContext): Outcome {
  const period = context.periodSeconds(190)
  if (period === 0 || 1 / period < FAST_ENOUGH * 0.9) {
    return notJudged('speed is sent less than ten times a second: an unsteady idle would be smoothed away')
  }
  const warm = warmMinutes(context)
  const isWarm = warm.length > 0
  const parts = isWarm ? warm : lukewarmParts(context)
  if (parts.length === 0) return notJudged(NO_WARM_IDLE)
  const steady = parts.filter((part) => isSteadyFan(context, part))
  if (steady.length === 0) return notJudged('the fan changed its speed in every minute of warm idle')
  const judged = steady.flatMap((part) => {
    const speeds = context.within(190, part)
    const middle = median(speeds.value) ?? 0
    const drift = slope(speeds) ?? 0
    const start = speeds.time[0] ?? 0
    const kept = speeds.value
      .map((rpm, i) => rpm - (drift * ((speeds.time[i] as number) - start)) / SECOND)
      .filter((_, i) => Math.abs((speeds.value[i] as number) - middle) <= LOST * middle)
    const unsteady = deviation(kept)
    return unsteady === null ? [] : [{ part, unsteady, lost: speeds.value.length - kept.length }]
  })
  const value = median(judged.map(({ unsteady }) => unsteady))
  const first = judged[0]
  if (value === null || first === undefined) return notJudged(NO_WARM_IDLE)
  const shown = judged.find(({ unsteady }) => unsteady >= value) ?? first
  const lost = judged.reduce((sum, part) => sum + part.lost, 0)
  const gone =
    lost === 0 ? '' : ` ${lost} messages far from idle speed were left out: the signal was lost, or the engine died.`
  const minutes = say(judged.reduce((sum, { part }) => sum + secondsOf(part), 0) / 60)
  const text = `Standard deviation ${say(value)} rpm, median over ${minutes} min of ${isWarm ? 'warm' : 'lukewarm'} idle.`
  const bare = upTo(value, context.limit('idle-stability.pass-to'), context.limit('idle-stability.caution-to'))
  return {
    // An engine that is not warm may run rougher: no more than a reason to look again.
    verdict: bare === 'fail' && !isWarm ? 'caution' : bare,
    measured: { value, unit: 'rpm', uncertainty: context.halfStep(190) },
    finding: text + gone,
    evidence: [context.evidence(shown.part, text, 190)],
  }
}

function isSteadyFan(context: CheckContext, minute: Span): boolean {
  const fan = extremes(context.within(975, minute))
  return fan === null || fan.max - fan.min <= FAN_STEADY
}

function judgeOffset(context: CheckContext): Outcome {
  const own = context.profile.engine.idleSpeed
  const target = context.idleTarget
  if (own === undefined && target?.basis !== 'reported') {
    return notJudged('what the idle speed should be is neither in a profile nor on the bus')
  }
  const minutes = warmMinutes(context)
  if (minutes.length === 0) return notJudged(NO_WARM_IDLE)
  const offsets = minutes.flatMap((minute) => {
    const speed = median(context.within(190, minute).value)
    const wanted = own ?? target?.at(minute.from + MINUTE / 2)
    return speed === null || wanted === undefined ? [] : [{ minute, speed, wanted, off: speed - wanted }]
  })
  const worst = offsets.sort((a, b) => Math.abs(b.off) - Math.abs(a.off))[0]
  if (worst === undefined) return notJudged(NO_WARM_IDLE)
  const value = Math.abs(worst.off)
  const who = own === undefined ? 'the controller reports' : 'the profile wants'
  const text = `${say(worst.speed, 0)} rpm at warm idle; ${who} ${say(worst.wanted, 0)} rpm.`
  return {
    verdict: upTo(value, context.limit('idle-offset.pass-to'), context.limit('idle-offset.caution-to')),
    measured: { value: worst.off, unit: 'rpm', uncertainty: context.halfStep(190) },
    finding: text,
    evidence: [context.evidence(worst.minute, text, 190, 188, 515)],
  }
}

function judgeFuel(context: CheckContext): Outcome {
  const { displacement } = context.profile.engine
  if (displacement === undefined) return notJudged('the size of the engine is not in a profile')
  const minutes = warmMinutes(context)
  const rates = minutes.flatMap((minute) => mean(context.within(183, minute).value) ?? [])
  const rate = median(rates)
  const first = minutes[0]
  const last = minutes[minutes.length - 1]
  if (rate === null || first === undefined || last === undefined) return notJudged(NO_WARM_IDLE)
  const value = rate / displacement
  const low = context.limit('idle-fuel.expected-from')
  const high = upTo(value, context.limit('idle-fuel.pass-to'), context.limit('idle-fuel.caution-to'))
  const verdict = high === 'pass' ? from(value, low, 0) : high
  const text = `${say(rate, 2)} L/h at warm idle, ${say(value, 2)} for each litre of engine.`
  return {
    verdict,
    measured: { value, unit: 'L/h', uncertainty: context.halfStep(183) / displacement, per: 'L of engine' },
    finding: text,
    evidence: [context.evidence({ from: first.from, to: last.to }, text, 183, 190)],
    ...(value < low
      ? { advice: 'Less than an engine of this size usually burns: check its size in the profile.' }
      : {}),
  }
}

export const IDLE_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'idle-stability',
    title: 'Steady idle',
    proves: 'All cylinders work alike and nothing disturbs the idle.',
    needs: [[190], [110]],
    enabling:
      'A minute of warm idle, speed sent ten times a second or more, fan steady. Without one, half minutes of settled idle from 40 °C up, which never fail.',
    computes: 'Standard deviation of speed in each minute, its drift taken off; the median of them.',
    limits: ['idle-stability.pass-to', 'idle-stability.caution-to'],
    otherwise: 'A tachometer, and an ear.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Watch fuel delivery pressure and rail pressure at idle; look for air in the fuel. A cycling heater or fan does the same.',
      fail: 'Look for air in the fuel first, then compare cylinders by the controller’s own test, then compression.',
    },
    cautions: ['fuel-pressure'],
    judge: judgeStability,
  },
  {
    id: 'idle-offset',
    title: 'Idle at its target',
    proves: 'The controller holds the idle speed it is meant to hold.',
    needs: [[190], [110]],
    enabling: 'A minute of warm idle, and a target in a profile or on the bus. A cold fast idle is not judged.',
    computes: 'Median speed of each minute less the target; the farthest of them.',
    limits: ['idle-offset.pass-to', 'idle-offset.caution-to'],
    otherwise: 'A tachometer and the maker’s figure.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Check for a fast idle or PTO request, and for a pedal that does not come back to rest.',
      fail: 'Check pedal rest, fast idle and PTO requests, then whether the calibration is the one for this engine.',
    },
    cautions: [],
    judge: judgeOffset,
  },
  {
    id: 'idle-fuel',
    title: 'Fuel at idle',
    proves: 'The engine idles without an unknown load or a leak the injection has to make up for.',
    needs: [[183], [190], [110]],
    enabling: 'A minute of warm idle, engine size in a profile, accessories off.',
    computes: 'Fuel rate at warm idle for each litre of displacement.',
    limits: ['idle-fuel.expected-from', 'idle-fuel.pass-to', 'idle-fuel.caution-to'],
    otherwise: 'Fuel used over a timed idle.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Switch accessories off and look again: fan, air conditioning, compressor, heater.',
      fail: 'Look for what loads the engine: fan clutch, pump, alternator. The rate is the controller’s own estimate.',
    },
    cautions: [],
    judge: judgeFuel,
  },
]
