/** Cranking: how far the supply falls, how fast the starter turns, and whether all is well afterwards. */
import type { Phase, Span } from '../../model.js'
import { extremes, median, SECOND, validOf, valueAt, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { number, rpm, type Sight, sight, volts } from '../sight.js'

/** Readings this close behind a change of load are not yet settled. Common practice. */
const SETTLES = 0.3 * SECOND

/** The first moment belongs to the starter's inrush, which pulls any battery far down for a tenth of a second. Common practice. */
const INRUSH = 0.4 * SECOND

/** One cranking as measured. */
export interface Cranking extends Span {
  readonly phase: Phase
  /** Least voltage seen; null without a sample. */
  readonly lowest: number | null
  readonly lowestAt: number
  /** Usual speed, rpm; null where it was not measured. */
  readonly speed: number | null
}

/** Every cranking, in order of time. */
export function crankings(context: FaultContext): Cranking[] {
  return context.during(['cranking']).map((phase) => {
    const { from, to } = phase
    const least = extremes(windowOf(context.volts, from + INRUSH, to + SETTLES))
    const turning = validOf(windowOf(context.valid(190), from + SECOND / 2, to)).value.filter(
      (speed) => speed > 30 && speed < 450,
    )
    return { from, to, phase, lowest: least?.min ?? null, lowestAt: least?.minAt ?? from, speed: median(turning) }
  })
}

/** Where the crank limits are given: °C, and the name of each. */
const CRANK_LIMITS = [
  [-18, 'crank-voltage.at-minus-18-degrees'],
  [0, 'crank-voltage.at-0-degrees'],
  [10, 'crank-voltage.at-10-degrees'],
  [21, 'crank-voltage.at-21-degrees'],
] as const

/** °C: no colder start is known to us. */
const COLDEST = -45

/** Least voltage allowed in cranking at the temperature of this run; at mild ones where no temperature is sent. */
export function crankLimit(context: FaultContext): { value: number; temperature: number | null } {
  const start = context.phases[0]?.from ?? 0
  const readings = [171, 172, 110, 105].flatMap((spn) => valueAt(context.valid(spn), start + 5 * SECOND) ?? [])
  const temperature = median(readings)
  const at = (index: number): readonly [number, number] => {
    const [degrees, id] = CRANK_LIMITS[index] as (typeof CRANK_LIMITS)[number]
    return [degrees, context.limits[id].value]
  }
  const here = temperature ?? 21
  // Below the table a battery goes on giving less, by the same slope.
  if (here <= at(0)[0]) {
    const slope = (at(1)[1] - at(0)[1]) / (at(1)[0] - at(0)[0])
    return { value: at(0)[1] + slope * (Math.max(here, COLDEST) - at(0)[0]), temperature }
  }
  for (let i = 1; i < CRANK_LIMITS.length; i++) {
    const [low, lowVolts] = at(i - 1)
    const [high, highVolts] = at(i)
    if (here <= high) return { value: lowVolts + ((highVolts - lowVolts) * (here - low)) / (high - low), temperature }
  }
  return { value: at(CRANK_LIMITS.length - 1)[1], temperature }
}

/** `crank-voltage-low`: well below what a battery gives in cranking at this temperature. */
export function crankVoltageLow(context: FaultContext): Sight | null {
  const worst = crankings(context)
    .filter(({ lowest }) => lowest !== null)
    .sort((a, b) => (a.lowest as number) - (b.lowest as number))[0]
  if (worst === undefined || worst.lowest === null) return null
  const { value: limit, temperature } = crankLimit(context)
  const margin = context.limits['crank-voltage.caution-within'].value
  const at = temperature === null ? '' : ` at ${number(temperature, 0)} °C`
  const text = `While cranking the supply fell to ${volts(worst.lowest)} as sampled; ${volts(limit)} or more is usual${at}.`
  const here = { from: worst.from, to: worst.to }
  const refs = [context.voltsRef, context.ref(190)]
  if (worst.lowest < limit - margin) return sight(true, text, here, refs)
  return worst.lowest >= limit ? sight(false, text, here, refs) : null
}

/** `crank-speed-low`: the starter turns the engine too slowly. */
export function crankSpeedLow(context: FaultContext): Sight | null {
  const slow = crankings(context)
    .filter(({ speed }) => speed !== null)
    .sort((a, b) => (a.speed as number) - (b.speed as number))[0]
  if (slow === undefined || slow.speed === null) return null
  const { temperature } = crankLimit(context)
  const limit = context.limits['crank-speed.pass-from'].value
  // Thick oil turns slowly in a healthy engine.
  if (temperature !== null && temperature < -10) return null
  return sight(
    slow.speed < limit,
    `The starter turns the engine at ${rpm(slow.speed)}; ${rpm(limit)} or more is usual.`,
    slow,
    [context.ref(190)],
  )
}

/** `weak-in-crank`: low voltage or slow turning: a supply that gives out under its largest load. */
export function weakInCrank(context: FaultContext): Sight | null {
  const found = [crankVoltageLow(context), crankSpeedLow(context)]
  return found.find((one) => one?.seen) ?? found.find((one) => one !== null) ?? null
}

/** `recovers-after-crank`: normal as soon as the starter rests. */
export function recoversAfterCrank(context: FaultContext): Sight | null {
  const running = context.running[0]
  if (running === undefined) return null
  const to = Math.min(running.to, running.from + 30 * SECOND)
  const after = median(windowOf(context.volts, running.from + SECOND, to).value)
  if (after === null) return null
  const good = after > 13 * context.voltage
  return sight(good, `Once the engine runs the supply is ${volts(after)}.`, { from: running.from, to }, [
    context.voltsRef,
  ])
}
