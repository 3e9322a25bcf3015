/** The intake heater as the battery feels it: does the voltage step with the wait-to-start lamp? */
import type { Span } from '../../model.js'
import { median, SECOND, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { type Sight, sight, volts } from '../sight.js'

/** Readings this close behind a change of load are not yet settled. Common practice. */
const SETTLES = 0.1 * SECOND
/** A step of voltage by a heater of more than 100 A on a healthy battery, V: at least. Source: our own choice. */
export const HEATER_STEP = 0.3

/** A battery without load holds this, V; one that feeds a heater does not. Source: guide to resting voltage, less what 100 A take. */
const UNLOADED = 12.4

/** How far the voltage falls when the lamp comes on, and rises when it goes out; null parts where no sample tells. */
export interface HeaterSteps extends Span {
  readonly on: number | null
  readonly off: number | null
  readonly during: number
  /** V after the lamp went out, before the starter. */
  readonly after: number | null
}

/** Shorter preheating says nothing at one message a second. */
const LONG_ENOUGH = 2.5 * SECOND

/** The first preheating that is long enough; null where there is none. */
export function heaterSteps(context: FaultContext): HeaterSteps | null {
  const index = context.phases.findIndex(({ kind, from, to }) => kind === 'preheat' && to - from >= LONG_ENOUGH)
  const preheat = context.phases[index]
  if (preheat === undefined) return null
  const samples = context.volts
  const during = windowOf(samples, preheat.from + SECOND, preheat.to)
  const middle = median(during.value)
  if (middle === null) return null
  const previous = context.phases[index - 1]
  const next = context.phases[index + 1]
  const before = previous?.kind === 'key-on' ? median(windowOf(samples, previous.from, preheat.from - 1).value) : null
  const rest = next?.kind === 'key-on' ? windowOf(samples, next.from + SETTLES, next.to) : undefined
  const after = rest === undefined ? null : median(rest.value)
  const early = median(windowOf(samples, preheat.from + SECOND, preheat.from + 4 * SECOND).value) ?? middle
  const late = median(windowOf(samples, preheat.to - 3 * SECOND, preheat.to).value) ?? middle
  return {
    from: previous?.kind === 'key-on' ? previous.from : preheat.from,
    to: next?.kind === 'key-on' ? next.to : preheat.to,
    on: before === null ? null : before - early,
    off: after === null ? null : after - late,
    during: middle,
    after,
  }
}

/** `heater-draws-nothing`: the lamp burns and the voltage does not sag. */
export function heaterDrawsNothing(context: FaultContext): Sight | null {
  const steps = heaterSteps(context)
  if (steps === null) return null
  const refs = [context.voltsRef, context.ref(1081)]
  const least = context.limits['heater-draw.sag-from'].value
  const said = `While the wait-to-start lamp burns the supply is ${volts(steps.during)}`
  // No sample beside the lamp's edges: a battery that feeds more than 100 A cannot hold this.
  if (steps.on === null && steps.off === null) {
    return steps.during >= UNLOADED * context.voltage
      ? sight(true, `${said}: no battery holds that while it feeds a heater.`, steps, refs)
      : null
  }
  const largest = Math.max(steps.on ?? 0, steps.off ?? 0)
  if (largest < least)
    return steps.during > 12 * context.voltage
      ? sight(true, `${said}: it does not sag, so no heater current flows.`, steps, refs)
      : sight(false, `${said}: it does not step, for it is down all along.`, steps, refs)
  return sight(false, `${said}, ${volts(largest)} lower than without the lamp: the heater draws current.`, steps, refs)
}

/** `heater-stays-on`: the voltage does not recover when the lamp goes out. */
export function heaterStaysOn(context: FaultContext): Sight | null {
  const steps = heaterSteps(context)
  if (steps === null || steps.off === null || steps.after === null) return null
  const refs = [context.voltsRef, context.ref(1081), context.ref(1675)]
  const low = steps.during < 12.3 * context.voltage
  const text = `The lamp goes out and the supply stays at ${volts(steps.after)} (${volts(steps.during)} while it burnt)`
  if (
    low &&
    steps.off < HEATER_STEP &&
    (steps.on === null || steps.on < HEATER_STEP || steps.on > HEATER_STEP + steps.off)
  ) {
    return sight(true, `${text}: the heater goes on drawing current.`, steps, refs)
  }
  return sight(
    false,
    `When the lamp goes out the supply recovers by ${volts(steps.off)}: the heater switches off.`,
    steps,
    refs,
  )
}

/** `heater-on-before-lamp`: the voltage was already down when the lamp came on. */
export function heaterOnBeforeLamp(context: FaultContext): Sight | null {
  const steps = heaterSteps(context)
  if (steps === null || steps.on === null) return null
  const refs = [context.voltsRef, context.ref(1081)]
  const already = steps.on < HEATER_STEP / 2 && steps.during < 12.2 * context.voltage
  const text = already
    ? `When the lamp comes on the supply is already down at ${volts(steps.during)} and takes no further step.`
    : `When the lamp comes on the supply falls by ${volts(Math.max(0, steps.on))}.`
  return sight(already, text, steps, refs)
}

/** `loaded-after-stop`: with the engine stopped after minutes of charging the supply is down at once: something draws. */
export function loadedAfterStop(context: FaultContext): Sight | null {
  const stop = context.phases.find(({ kind }) => kind === 'after-run')
  const run = context.running.findLast(({ to }) => stop !== undefined && to <= stop.to)
  if (stop === undefined || run === undefined || run.to - run.from < 60 * SECOND) return null
  const charged = median(windowOf(context.volts, run.to - 30 * SECOND, run.to).value)
  const after = median(windowOf(context.volts, stop.from + SECOND, stop.to).value)
  if (charged === null || after === null || charged < 12.8 * context.voltage) return null
  const text = `As soon as the engine stops the supply is ${volts(after)}, after ${volts(charged)} while it ran`
  const refs = [context.voltsRef]
  if (after < 12.2 * context.voltage) return sight(true, `${text}: a large load is still on.`, stop, refs)
  return sight(false, `${text}: no large load is on.`, stop, refs)
}
