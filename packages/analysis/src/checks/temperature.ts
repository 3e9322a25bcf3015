/** Temperatures: alike after a long rest, rising as they should, held by the thermostat. */
import type { Span } from '../model.js'
import { extremes, MINUTE, mean, median, SECOND, secondsOf, slope, windowOf } from '../series.js'
import { type CheckContext, IDLING, RUNNING, say, signalName, upTo, worse } from './context.js'
import { type CheckDefinition, type Judged, notJudged, type Outcome } from './definition.js'
import { type SoakReading, soakOf, soakReadings } from './rest.js'

const COOLANT = 110
/** Hours of rest after which all temperatures have met. Source: common practice. */
const SOAKED_HOURS = 8
/** Below this the engine is warming up. °C. */
const COLD = 70
const IDLE_LEAST = 3 * MINUTE
const DRIVE_LEAST = 2 * MINUTE
/** The first minute after a start warms the metal before the water. */
const LAG = MINUTE
/** % mean load from which driving warms an engine quickly. */
const DRIVING = 30
/** °C a minute that is as good as none, over five minutes. */
const FLAT = 0.1
const FLAT_LEAST = 5 * MINUTE
/** Load that a thermostat has to have seen, and the stretch its plateau is read from. */
const LOADED_LEAST = 10 * MINUTE
const PLATEAU = 3 * MINUTE
const PLATEAU_SLOPE = 1

function judgeSoak(context: CheckContext): Outcome {
  const { restedHours, blockHeater } = context.profile.run
  if (blockHeater === true) return notJudged('by the profile a block heater or the sun had warmed one side')
  if (restedHours !== undefined && restedHours < SOAKED_HOURS) {
    return notJudged(`by the profile the engine had stood for ${restedHours} hours only`)
  }
  const readings = soakReadings(context)
  if (readings.length < 3) {
    return notJudged(
      'fewer than three temperatures were sent right after key-on, or the recording does not begin there',
    )
  }
  const soak = soakOf(readings)
  if (soak === undefined && restedHours === undefined) {
    return notJudged('the temperatures do not show that the engine had stood for eight hours')
  }
  const all = [...readings].sort((a, b) => a.celsius - b.celsius)
  const low = all[0] as SoakReading
  const high = all[all.length - 1] as SoakReading
  const value = high.celsius - low.celsius
  const times = readings.map(({ time }) => time)
  const span = { from: Math.min(...times), to: Math.max(...times) }
  const list = readings.map(({ spn, celsius }) => `SPN ${spn} ${say(celsius, 0)} °C`).join(', ')
  const outlier = soak?.outlier
  const who =
    outlier === undefined ? '' : ` The odd one out: ${signalName(outlier.spn)} at ${say(outlier.celsius, 0)} °C.`
  const verdict = upTo(value, context.limit('cold-soak-spread.pass-to'), context.limit('cold-soak-spread.caution-to'))
  return {
    verdict,
    measured: { value, unit: '°C', uncertainty: 2 * context.halfStep(COOLANT), difference: true },
    finding: `${readings.length} temperatures within ${say(value, 0)} °C after the rest.${verdict === 'pass' ? '' : who}`,
    evidence: [context.evidence(span, `${list}.`, ...readings.map(({ spn }) => spn))],
  }
}

/** A stretch of warming up and how fast it went, °C a minute. */
interface WarmUp extends Span {
  readonly rate: number
  readonly driving: boolean
}

function warmUps(context: CheckContext): WarmUp[] {
  const started = new Set(context.starts().map(({ fired }) => fired))
  return context.stretchesOf(RUNNING).flatMap((run): WarmUp[] => {
    const begin = run.from + (started.has(run.from) ? LAG : 0)
    const coolant = windowOf(context.engine.valid(COOLANT), begin, run.to)
    const warmAt = coolant.value.findIndex((celsius) => celsius >= COLD)
    const end = warmAt < 0 ? run.to : (coolant.time[warmAt] as number)
    const kinds = [...context.stretchesOf(IDLING), ...context.stretchesOf(['load'])]
    return kinds.flatMap((part): WarmUp[] => {
      const span = { from: Math.max(begin, part.from), to: Math.min(end, part.to) }
      if (span.to <= span.from) return []
      const isLoad = context.phases.some(({ kind, from }) => kind === 'load' && from === part.from)
      const driving = isLoad && (mean(context.within(92, span).value) ?? 0) >= DRIVING
      if (span.to - span.from < (driving ? DRIVE_LEAST : IDLE_LEAST)) return []
      const perSecond = slope(windowOf(coolant, span.from, span.to))
      return perSecond === null ? [] : [{ ...span, rate: perSecond * 60, driving }]
    })
  })
}

/** A step of the coolant that no heat makes: more than the limit between messages two seconds apart or less. */
function stepIn(context: CheckContext, run: Span, limit: number): Span | undefined {
  const { time, value } = context.rawWithin(COOLANT, run)
  for (let i = 1; i < value.length; i++) {
    const from = time[i - 1] as number
    const to = time[i] as number
    if (to - from <= 2 * SECOND && Math.abs((value[i] as number) - (value[i - 1] as number)) > limit)
      return { from, to }
  }
  return undefined
}

function judgeWarmUp(context: CheckContext): Outcome {
  const limit = context.limit('warm-up-rate.step-to')
  const step = context.stretchesOf(RUNNING).flatMap((run) => stepIn(context, run, limit) ?? [])[0]
  if (step !== undefined) {
    const text = `Coolant temperature jumped by more than ${say(limit, 0)} °C within two seconds: the signal is wrong, not the water.`
    return {
      verdict: 'fail',
      measured: null,
      finding: text,
      evidence: [context.evidence(step, text, COOLANT)],
      advice: 'Look at the plug and wires of the coolant temperature sensor, key off; wiggle them while logging.',
    }
  }
  const parts = warmUps(context)
  if (parts.length === 0) {
    return notJudged('the engine did not run below 70 °C for three minutes at idle or two minutes of driving')
  }
  const judged = parts.map((part): Judged => {
    const wanted = context.limit(part.driving ? 'warm-up-rate.drive-from' : 'warm-up-rate.idle-from')
    const flat = part.driving && part.rate < FLAT && part.to - part.from >= FLAT_LEAST
    const where = part.driving ? 'driving' : 'at idle'
    const text = `${say(part.rate)} °C a minute ${where}, over ${say(secondsOf(part) / 60, 0)} min; wanted ${say(wanted)} or more.`
    const end = { from: part.to - MINUTE, to: part.to }
    const coolant = median(context.within(COOLANT, end).value)
    const against = part.rate >= wanted || coolant === null ? '' : contradiction(context, end, coolant)
    return {
      verdict: part.rate >= wanted ? 'pass' : flat ? 'fail' : 'caution',
      measured: {
        value: part.rate,
        unit: '°C',
        uncertainty: (60 * 2 * context.halfStep(COOLANT)) / secondsOf(part),
        per: 'min',
        difference: true,
      },
      finding: text + against,
      evidence: [context.evidence(part, text, COOLANT, 92)],
      ...(against === '' ? {} : { advice: READING_FIRST }),
    }
  })
  return judged.reduce((a, b) => (worse(a.verdict, b.verdict) === a.verdict ? a : b))
}

function judgeThermostat(context: CheckContext): Outcome {
  const never = context.limit('thermostat.never-above')
  const coolant = context.engine.valid(COOLANT)
  const runs = context.stretchesOf(RUNNING)
  for (const run of runs) {
    const { max, maxAt } = extremes(windowOf(coolant, run.from, run.to)) ?? { max: 0, maxAt: 0 }
    if (max <= never) continue
    const text = `Coolant reached ${say(max, 0)} °C.`
    return {
      verdict: 'fail',
      measured: { value: max, unit: '°C', uncertainty: context.halfStep(COOLANT) },
      finding: text,
      evidence: [context.evidence({ from: maxAt - MINUTE, to: maxAt }, text, COOLANT)],
      advice: 'Stop and let it cool. Level, fan, radiator face and belt come before thermostat and sensor.',
      cautions: ['hot-parts'],
    }
  }
  // A later run with less load may not have warmed up: it says nothing.
  const long = runs.map((run) => loadIn(context, run)).findLast(({ loaded }) => loaded >= LOADED_LEAST)
  if (long === undefined) {
    return notJudged('no run was under load for ten minutes; an idling diesel may never open its thermostat')
  }
  const { loaded, last } = long
  const window = windowOf(coolant, Math.max(last.from, last.to - PLATEAU), last.to)
  const value = median(window.value)
  const rate = (slope(window) ?? 0) * 60
  const low = context.limit('thermostat.plateau-from')
  if (value === null) return notJudged('no coolant temperature was sent at the end of the load')
  if (value < low && rate > PLATEAU_SLOPE) return notJudged('the coolant was still warming up when the load ended')
  const knee = [context.limit('thermostat.knee-from'), context.limit('thermostat.knee-to')] as const
  const verdict = value < low ? 'fail' : value < knee[0] || value > knee[1] ? 'caution' : 'pass'
  const text = `Coolant settled at ${say(value, 0)} °C after ${say(loaded / MINUTE, 0)} min of load.`
  const span = { from: window.time[0] as number, to: last.to }
  const against = value < low ? contradiction(context, span, value) : ''
  return {
    verdict,
    measured: { value, unit: '°C', uncertainty: context.halfStep(COOLANT) },
    finding: text + against,
    evidence: [context.evidence(span, text, COOLANT, 175, 105, 92)],
    ...(against === '' ? {} : { advice: READING_FIRST }),
  }
}

/** How long a run was under load, in microseconds, and the last stretch of it. */
function loadIn(context: CheckContext, run: Span): { readonly loaded: number; readonly last: Span } {
  const loads = context.phasesOf(['load']).filter(({ from, to }) => from >= run.from && to <= run.to)
  return { loaded: loads.reduce((sum, { from, to }) => sum + (to - from), 0), last: loads.at(-1) ?? run }
}

/**
 * Another temperature that cannot be so much higher if the coolant's were true: oil by 30 °C, intake air
 * by 15 °C. Our own choice.
 */
function contradiction(context: CheckContext, span: Span, coolant: number): string {
  const rivals = [
    { spn: 175, above: 30 },
    { spn: 105, above: 15 },
    { spn: 172, above: 15 },
  ]
  for (const { spn, above } of rivals) {
    const other = median(context.within(spn, span).value)
    if (other === null || other < coolant + above) continue
    return ` But ${signalName(spn)} tells ${say(other, 0)} °C: rather the reading is wrong than the engine cold.`
  }
  return ''
}

const READING_FIRST =
  'Look at the coolant sensor first: plug, wires, and whether its plug was swapped with another sensor’s. Compare with an infrared thermometer. Thermostat after that.'

export const TEMPERATURE_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'cold-soak-spread',
    title: 'Temperatures agree after a rest',
    proves: 'Every temperature sensor tells the same when everything is equally cold.',
    needs: [
      [110, 175],
      [105, 172, 174],
    ],
    enabling:
      'Stood for eight hours or more: the profile says so, or at least three temperatures show it. No block heater, no sun.',
    computes: 'Highest less lowest of the first coolant, intake, fuel and oil temperatures.',
    limits: ['cold-soak-spread.pass-to', 'cold-soak-spread.caution-to'],
    otherwise: 'An infrared thermometer on each sensor’s body after a night’s rest.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Compare again after a longer rest, before anything heats.',
      fail: 'Look at the plug and wires of the odd one out, key off. Unplugged, most such sensors read −40 °C.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeSoak,
  },
  {
    id: 'warm-up-rate',
    title: 'Coolant warms up',
    proves: 'The cooling system is filled and the coolant sensor follows the engine.',
    needs: [[COOLANT], [190]],
    ofSensor: true,
    enabling: 'Coolant below 70 °C; three minutes at idle or two of driving, the first minute after a start left out.',
    computes: 'Slope of coolant temperature.',
    limits: ['warm-up-rate.idle-from', 'warm-up-rate.drive-from', 'warm-up-rate.step-to'],
    otherwise: 'An infrared thermometer on the thermostat housing.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Feel the lower hose: warm early means a thermostat that is open or missing. Great cold does the same at idle.',
      fail: 'Check the coolant level, then the lower hose: warm early means a thermostat stuck open. A sensor in air reads flat too.',
    },
    cautions: ['hot-parts'],
    judge: judgeWarmUp,
  },
  {
    id: 'thermostat',
    title: 'Thermostat holds the temperature',
    proves: 'The thermostat opens where it should and the radiator keeps up.',
    needs: [[COOLANT], [190]],
    enabling: 'Ten minutes of load in one run. Overheating is judged at any time.',
    computes: 'Median coolant temperature of the last three minutes of load, once it no longer rises; highest of all.',
    limits: ['thermostat.knee-from', 'thermostat.knee-to', 'thermostat.plateau-from', 'thermostat.never-above'],
    otherwise: 'The temperature of the hose behind the thermostat during warm-up.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Compare with the thermostat’s stamped opening temperature.',
      fail: 'Thermostat stuck open or missing. Confirm with the hose behind it: warm from the start.',
    },
    cautions: ['hot-parts'],
    judge: judgeThermostat,
  },
]
