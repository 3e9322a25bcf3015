/** Battery, charging and key feed, as the controller's own voltages show them. */
import { isHeard } from '../../bus/traffic.js'
import type { Span } from '../../model.js'
import { extremes, firstAfter, median, quantile, SECOND, stretches, valueAt, windowOf } from '../../series.js'
import { type FaultContext, RUNNING } from '../context.js'
import { type Sight, sight, times, volts } from '../sight.js'
import { HEATER_STEP, heaterSteps } from './heater.js'

/** A charge that has not begun so long after the start is late. Common practice. */
const RAMP = 20 * SECOND

/** Where a voltage without load was read. */
export interface RestVoltage {
  readonly value: number
  readonly span: Span
  readonly when: 'Before the heater and the starter' | 'Between heater and starter' | 'After the engine stopped'
}

/** Voltage without a large load; null where there is none, or where a heater that never ends may be on. */
export function restVoltage(context: FaultContext): RestVoltage | null {
  const steps = heaterSteps(context)
  const isHeld = steps !== null && (steps.on ?? 1) < HEATER_STEP / 2 && (steps.off ?? 1) < HEATER_STEP / 2
  if (isHeld && steps.during < 12.3 * context.voltage) return null
  const first = context.phases.findIndex(({ kind }) => kind === 'key-on')
  const start = context.phases[first]
  if (start !== undefined && context.phases.slice(0, first).every(({ kind }) => kind === 'unknown')) {
    const value = median(windowOf(context.volts, start.from, start.to).value)
    const alreadyDown =
      steps !== null && steps.on !== null && steps.on < HEATER_STEP / 2 && steps.during < 12.3 * context.voltage
    if (value !== null && !alreadyDown) return { value, span: start, when: 'Before the heater and the starter' }
  }
  if (steps !== null && steps.after !== null && (steps.off ?? 0) >= HEATER_STEP) {
    return { value: steps.after, span: steps, when: 'Between heater and starter' }
  }
  const stop = context.phases.find(({ kind }) => kind === 'after-run')
  const stopped = stop === undefined ? null : median(windowOf(context.volts, stop.from + SECOND, stop.to).value)
  return stop === undefined || stopped === null
    ? null
    : { value: stopped, span: stop, when: 'After the engine stopped' }
}

/** `rest-voltage-low`. */
export function restVoltageLow(context: FaultContext): Sight | null {
  const rest = restVoltage(context)
  if (rest === null) return null
  const fail = context.limits['rest-voltage.caution-from'].value
  const pass = context.limits['rest-voltage.pass-from'].value
  const refs = [context.voltsRef]
  const text = `${rest.when} the supply is ${volts(rest.value)}`
  // Half-way to charged is where a half-empty battery sits.
  if (rest.value <= (fail + pass) / 2)
    return sight(true, `${text}; a rested, charged battery has ${volts(pass)} or more.`, rest.span, refs)
  return rest.value >= pass - 0.1 * context.voltage
    ? sight(false, `${text}: the battery is charged.`, rest.span, refs)
    : null
}

/** What the supply is with the engine running, after the alternator has had time. */
export function chargingVoltage(context: FaultContext): { value: number; span: Span } | null {
  const spans = context.running
    .map(({ from, to }) => ({ from: from + RAMP, to }))
    .filter(({ from, to }) => to - from > 10 * SECOND)
  // A heater that cycles pulls the voltage down for a good part of the time.
  const value = quantile(context.inside(context.volts, spans).value, 0.8)
  const first = spans[0]
  return value === null || first === undefined
    ? null
    : { value, span: { from: first.from, to: spans.at(-1)?.to ?? first.to } }
}

/** `not-charging`: with the engine running the voltage stays where the battery leaves it. */
export function notCharging(context: FaultContext): Sight | null {
  const charging = chargingVoltage(context)
  if (charging === null) return null
  const limit = context.limits['charging-voltage.caution-from'].value
  const pass = context.limits['charging-voltage.pass-from'].value
  const text = `With the engine running the supply is ${volts(charging.value)}; an alternator holds ${volts(pass)} or more.`
  const refs = [context.voltsRef]
  if (charging.value < limit) return sight(true, text, charging.span, refs)
  return charging.value >= pass
    ? sight(
        false,
        `With the engine running the supply is ${volts(charging.value)}: the alternator charges.`,
        charging.span,
        refs,
      )
    : null
}

/** `charging-held-down`: it charges, yet below what is usual, steadily. */
export function chargingHeldDown(context: FaultContext): Sight | null {
  const first = context.running[0]
  if (first === undefined || first.to - first.from < 30 * SECOND) return null
  const to = Math.min(first.to, first.from + 60 * SECOND)
  const early = median(windowOf(context.volts, first.from + 5 * SECOND, to).value)
  if (early === null) return null
  const usual = 13.9 * context.voltage
  const text = `In the first minute of running the supply is ${volts(early)}`
  const refs = [context.voltsRef]
  const span = { from: first.from, to }
  if (early < usual)
    return sight(
      true,
      `${text}; about ${volts(14.2 * context.voltage)} is usual unless a large load is on.`,
      span,
      refs,
    )
  return sight(false, `${text}: no large load holds it down.`, span, refs)
}

/** `too-much-charge`. */
export function overCharging(context: FaultContext): Sight | null {
  const spans = context.during(RUNNING)
  const most = extremes(context.inside(context.volts, spans))
  if (most === null) return null
  const limit = context.limits['charging-voltage.caution-to'].value
  return sight(
    most.max > limit,
    `With the engine running the supply reaches ${volts(most.max)}; more than ${volts(limit)} is too much.`,
    { from: most.maxAt, to: most.maxAt },
    [context.voltsRef],
  )
}

/** Below this the key feed is off, above that the battery is there, V. Common practice. */
const FEED_OFF = 5
const BATTERY_THERE = 10

/** Stretches in which the ignition feed is gone while the battery is there and the key is still on. */
export function keyFeedSpans(context: FaultContext): Span[] {
  const feed = context.valid(158)
  const battery = context.valid(168)
  if (feed.time.length === 0 || battery.time.length === 0) return []
  return stretches(feed, (value) => value < FEED_OFF * context.voltage).filter((span) => {
    const held = valueAt(battery, span.from, SECOND)
    return held !== null && held > BATTERY_THERE * context.voltage && isKeyOn(context, span)
  })
}

/** `key-feed-lost`: the ignition feed is gone while the battery is there and the key is still on. */
export function keyFeedLost(context: FaultContext): Sight | null {
  const feed = context.valid(158)
  if (feed.time.length === 0 || !context.has(168)) return null
  const lost = keyFeedSpans(context)
  const first = lost[0]
  const refs = [context.ref(158), context.ref(168)]
  if (first === undefined) {
    return sight(
      false,
      'In every message the ignition feed follows the battery while the key is on.',
      context.span,
      refs,
    )
  }
  const held = valueAt(context.valid(168), first.from, SECOND) ?? 0
  const text = `The ignition feed reads ${volts(valueAt(feed, first.from) ?? 0)} while the battery has ${volts(held)} and the key is on, ${times(lost.length)} in this recording.`
  return sight(true, text, first, refs)
}

/** The key is on while the engine still turns, or while another node that sleeps with the key goes on for a second. */
function isKeyOn(context: FaultContext, { from, to }: Span): boolean {
  const phase = context.phaseAt(from)
  if (phase !== undefined && RUNNING.includes(phase.kind)) return true
  const awakeUntil = Math.max(to, from + 1.5 * SECOND)
  const others = context.senders.filter(({ sa }) => sa !== context.engine?.sa).flatMap(({ streams }) => streams)
  return isHeard(others, { from: from + SECOND, to: awakeUntil })
}

/** Shorter than any hand on a key, in microseconds. Common practice. */
const FLICKER = SECOND

/** `stops-and-goes-on`: the controller says that it is stopping, or stops injecting at idle, and goes on at once. */
export function stopsAndGoesOn(context: FaultContext): Sight | null {
  const state = context.valid(3543)
  if (state.time.length === 0) return null
  const flickers = stretches(state, (value) => value === STOPPING).filter(({ from, to }) => {
    const next = state.value[firstAfter(state.time, to)]
    return (
      to - from < FLICKER &&
      next !== undefined &&
      next !== STOPPING &&
      next !== AFTER_RUN &&
      context.phaseAt(to) !== undefined
    )
  })
  const first = flickers[0]
  const refs = [context.ref(3543), context.ref(190)]
  if (first === undefined)
    return sight(false, 'The controller never says that it is stopping while it runs on.', context.span, refs)
  return sight(
    true,
    `The controller says "stopping" for a moment and runs on, ${times(flickers.length)}: its key feed flickers.`,
    first,
    refs,
  )
}

/** States of SPN 3543, as the catalogue has them. */
const STOPPING = 6
const AFTER_RUN = 7

/** Supply voltage in force at a moment. */
export function voltsAt(context: FaultContext, time: number): number | null {
  return valueAt(context.volts, time, 3 * SECOND)
}
