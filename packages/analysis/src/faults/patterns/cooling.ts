/** Coolant temperature: too hot, never warm, or another sensor's figure. */
import { extremes, median, quantile, SECOND, slope, valueAt, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { degrees, percent, type Sight, seconds, sight } from '../sight.js'

const COOLANT = 110
const INTAKE = 105
const OIL_TEMPERATURE = 175
/** Ten minutes of running under way warm any engine. Source: common practice. */
const TEN_MINUTES = 600 * SECOND
const LOADED = 480 * SECOND
const LAST_PART = 240 * SECOND
/** Two sensors this far apart for most of the warm part of a run. °C. Source: our own choice. */
const FAR_APART = 20
const WARM = 55

/** The longest stretch of running. */
function longestRun(context: FaultContext): { from: number; to: number } | undefined {
  return [...context.running].sort((a, b) => b.to - b.from - (a.to - a.from))[0]
}

/** `coolant-never-warm`: it rises as it should, then stays below what a thermostat holds, under load. */
export function coolantNeverWarm(context: FaultContext): Sight | null {
  const run = longestRun(context)
  if (run === undefined || run.to - run.from < TEN_MINUTES) return null
  // An idling diesel may never warm up: only time under load counts.
  const loaded = context.during(['load']).filter(({ from, to }) => from >= run.from && to <= run.to)
  const under = loaded.reduce((sum, { from, to }) => sum + to - from, 0)
  const last = loaded.at(-1)
  if (last === undefined || under < LOADED) return null
  const samples = windowOf(context.valid(COOLANT), run.from, last.to)
  const most = extremes(samples)
  if (most === null) return null
  const limit = context.limits['thermostat.plateau-from'].value
  const start = samples.value[0] as number
  const refs = [context.ref(COOLANT), context.ref(92)]
  const late = slope(windowOf(samples, last.to - LAST_PART, last.to))
  if (most.max >= limit)
    return sight(false, `The coolant reaches ${degrees(most.max)}: the thermostat closes.`, run, refs)
  if (late === null || most.max - start < 10 || late * 60 >= 1) return null
  const text = `After ${seconds(under)} under load the coolant has risen from ${degrees(start)} to ${degrees(most.max)} at most and no longer rises; a closed thermostat holds ${degrees(limit)} or more.`
  return sight(true, text, { from: run.from, to: last.to }, refs)
}

/** `oil-agrees-cool`: the oil says the same. */
export function oilTemperatureAgrees(context: FaultContext): Sight | null {
  const run = longestRun(context)
  if (run === undefined) return null
  const from = (run.from + run.to) / 2
  const coolant = median(windowOf(context.valid(COOLANT), from, run.to).value)
  const oil = median(windowOf(context.valid(OIL_TEMPERATURE), from, run.to).value)
  if (coolant === null || oil === null) return null
  const refs = [context.ref(COOLANT), context.ref(OIL_TEMPERATURE)]
  const agrees = Math.abs(coolant - oil) < FAR_APART
  return sight(
    agrees,
    `In the second half of the run the coolant reads ${degrees(coolant)} and the oil ${degrees(oil)}.`,
    { from, to: run.to },
    refs,
  )
}

/** `coolant-follows-intake`: coolant and intake temperature behave like each other's sensor. */
export function coolantAndIntakeSwapped(context: FaultContext): Sight | null {
  const run = longestRun(context)
  if (run === undefined || run.to - run.from < TEN_MINUTES / 2) return null
  const from = (run.from + run.to) / 2
  const coolant = median(windowOf(context.valid(COOLANT), from, run.to).value)
  const intake = median(windowOf(context.valid(INTAKE), from, run.to).value)
  const oil = median(windowOf(context.valid(OIL_TEMPERATURE), from, run.to).value)
  if (coolant === null || intake === null) return null
  const refs = [context.ref(COOLANT), context.ref(INTAKE), context.ref(OIL_TEMPERATURE)]
  const span = { from, to: run.to }
  const crossed = intake > coolant + FAR_APART && intake >= WARM
  const withOil = oil === null || Math.abs(oil - intake) < Math.abs(oil - coolant)
  const said = `In the second half of the run the coolant reads ${degrees(coolant)} and the intake ${degrees(intake)}`
  if (crossed && withOil)
    return sight(
      true,
      `${said}${oil === null ? '' : `, the oil ${degrees(oil)}`}: each behaves like the other’s sensor.`,
      span,
      refs,
    )
  return crossed ? null : sight(false, `${said}: each as it should be.`, span, refs)
}

/** `intake-warms-like-coolant`: the intake temperature climbs without break, whatever the load. */
export function intakeWarmsLikeCoolant(context: FaultContext): Sight | null {
  const run = longestRun(context)
  if (run === undefined || run.to - run.from < TEN_MINUTES / 2) return null
  const intake = windowOf(context.valid(INTAKE), run.from, run.to)
  const coolant = windowOf(context.valid(COOLANT), run.from, run.to)
  const rise = fallsBackBy(intake)
  const other = fallsBackBy(coolant)
  if (rise === null || other === null) return null
  const text = `While it warms up the intake temperature falls back by ${degrees(rise)} at most, the coolant by ${degrees(other)}: a block of iron cannot cool and warm again so fast.`
  return sight(rise < 5 && other >= 5, text, run, [context.ref(INTAKE), context.ref(COOLANT)])
}

/** The largest fall from an earlier high in the first three fifths of a run. */
function fallsBackBy({ time, value }: { readonly time: Float64Array; readonly value: Float64Array }): number | null {
  const end = Math.floor(time.length * 0.6)
  if (end < 30) return null
  let highest = Number.NEGATIVE_INFINITY
  let fall = 0
  for (let i = 0; i < end; i++) {
    const now = value[i] as number
    highest = Math.max(highest, now)
    fall = Math.max(fall, highest - now)
  }
  return fall
}

/** `hot-under-load`: it gets hot while the engine pulls, and cools when it does not. */
export function hotUnderLoad(context: FaultContext): Sight | null {
  const coolant = context.valid(COOLANT)
  const top = extremes(coolant)
  if (top === null) return null
  const before = windowOf(context.valid(92), top.maxAt - 120 * SECOND, top.maxAt)
  const load = median(before.value)
  const after = valueAt(coolant, top.maxAt + 120 * SECOND)
  const told = coolant.time.at(-1) as number
  if (load === null || after === null) return null
  const eases = after < top.max - 2
  // It ended before it could cool.
  if (load > 40 && !eases && told < top.maxAt + 110 * SECOND) return null
  const text = `It was hottest, ${degrees(top.max)}, after two minutes at ${percent(load)} load${eases ? ', and cooled when the load went' : ''}.`
  return sight(load > 40 && eases, text, { from: top.maxAt - 120 * SECOND, to: top.maxAt + 120 * SECOND }, [
    context.ref(COOLANT),
    context.ref(92),
  ])
}

/** `oil-hot-too`: the oil is hot as well. */
export function oilHotToo(context: FaultContext): Sight | null {
  const coolant = extremes(context.valid(COOLANT))
  const oil = context.valid(OIL_TEMPERATURE)
  if (coolant === null || oil.time.length === 0) return null
  const there = quantile(windowOf(oil, coolant.maxAt - 60 * SECOND, coolant.maxAt + 60 * SECOND).value, 0.5)
  if (there === null) return null
  const hot = there > 95
  return sight(hot, `At that time the oil reads ${degrees(there)}.`, { from: coolant.maxAt, to: coolant.maxAt }, [
    context.ref(OIL_TEMPERATURE),
  ])
}

/** `fan-at-full`: the controller asks the fan for all it has. */
export function fanAtFull(context: FaultContext): Sight | null {
  const coolant = extremes(context.valid(COOLANT))
  const fan = context.valid(975)
  if (coolant === null || fan.time.length === 0) return null
  const asked = quantile(windowOf(fan, coolant.maxAt - 10 * SECOND, coolant.maxAt + 10 * SECOND).value, 0.5)
  if (asked === null) return null
  return sight(
    asked > 80,
    `At the hottest moment the fan is at ${percent(asked)}.`,
    { from: coolant.maxAt, to: coolant.maxAt },
    [context.ref(975)],
  )
}
