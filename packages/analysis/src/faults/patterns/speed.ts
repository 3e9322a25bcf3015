/** Engine speed that is lost by its sensor and not by the engine. */
import type { Samples } from '@firstcrank/decoder'
import type { Span } from '../../model.js'
import { deviation, median, SECOND, valueAt, windowOf } from '../../series.js'
import { type FaultContext, RUNNING } from '../context.js'
import { rpm, type Sight, sight, times } from '../sight.js'

const SPEED = 190
const OIL = 100
/** A crankshaft with its flywheel cannot lose this share of its speed and have it back within this time. Common practice. */
const LOST = 0.7
const BACK = 0.6 * SECOND
const SUDDEN = 0.15 * SECOND
/** Near enough to where it was, after half a second of stumbling. */
const BACK_SHARE = 0.75
/** One lost message may be anything. Source: our own choice. */
const ENOUGH = 2
const AROUND = 0.5 * SECOND
/** Slower than this the engine is not running. */
const TURNS = 500

const known = new WeakMap<FaultContext, readonly Span[] | null>()

/** Stretches of messages in which the speed was far below its surroundings and back at once; null without speed. */
export function speedDropouts(context: FaultContext): readonly Span[] | null {
  const cached = known.get(context)
  if (cached !== undefined) return cached
  const found = context.has(SPEED) ? search(context) : null
  known.set(context, found)
  return found
}

function search(context: FaultContext): Span[] {
  const samples = context.valid(SPEED)
  const found: { from: number; to: number }[] = []
  for (const { from, to } of context.during(RUNNING)) {
    const { time, value } = windowOf(samples, from, to)
    for (let i = 1; i < value.length; i++) {
      const before = value[i - 1] as number
      const at = time[i] as number
      if (before < TURNS || (value[i] as number) >= before * LOST || at - (time[i - 1] as number) > SUDDEN) continue
      const end = suddenReturn({ time, value }, i, before)
      if (end === undefined) continue
      found.push({ from: at, to: time[end - 1] as number })
      i = end
    }
  }
  return found
}

/** The message in which a lost speed is back: by a jump, for a gear change comes back by degrees. */
function suddenReturn({ time, value }: Samples, at: number, before: number): number | undefined {
  for (let i = at + 1; i < value.length && (time[i] as number) - (time[at] as number) <= BACK; i++) {
    const now = value[i] as number
    const last = value[i - 1] as number
    if (now < before * BACK_SHARE) continue
    return last < now * LOST && (time[i] as number) - (time[i - 1] as number) <= SUDDEN ? i : undefined
  }
  return undefined
}

/** `speed-drops`: the speed reads half or nothing for a moment and is back at once. */
export function speedDrops(context: FaultContext): Sight | null {
  const drops = speedDropouts(context)
  if (drops === null) return null
  const first = drops[0]
  const refs = [context.ref(SPEED)]
  if (first !== undefined && drops.length < ENOUGH) return null
  if (first === undefined)
    return sight(false, 'The engine speed never drops and returns faster than a flywheel can.', context.span, refs)
  const low = median(windowOf(context.valid(SPEED), first.from, first.to).value) ?? 0
  const before = valueAt(context.valid(SPEED), first.from - 1) ?? 0
  const text = `The engine speed falls from ${rpm(before)} to ${rpm(low)} and is back within half a second, ${times(drops.length)}: no flywheel does that.`
  return sight(true, text, first, refs)
}

/** `oil-steady-in-drops`: oil pressure shows that the engine went on turning. */
export function oilSteadyInDrops(context: FaultContext): Sight | null {
  const drops = speedDropouts(context)
  const first = drops?.[0]
  const oil = context.valid(OIL)
  if (drops === null || first === undefined || oil.time.length === 0) return null
  const scatter = drops.map(({ from, to }) => deviation(windowOf(oil, from - 2 * SECOND, to + 2 * SECOND).value) ?? 0)
  const level = median(windowOf(oil, first.from - 2 * SECOND, first.to + 2 * SECOND).value)
  const steady = (median(scatter) ?? 0) < 30
  if (level === null) return null
  return sight(
    steady && level > 50,
    `Meanwhile oil pressure stays at ${Math.round(level)} kPa: the engine never stopped.`,
    first,
    [context.ref(OIL), context.ref(SPEED)],
  )
}

/** `drops-with-vibration`: they come only above some speed. */
export function dropsWithVibration(context: FaultContext): Sight | null {
  const drops = speedDropouts(context)
  if (drops === null || drops.length < 3) return null
  const speeds = drops.flatMap(
    ({ from }) => median(windowOf(context.valid(SPEED), from - AROUND, from - 1).value) ?? [],
  )
  const least = Math.min(...speeds)
  const idle = median(context.inside(context.valid(SPEED), context.during(['idle-settle', 'idle', 'warm-idle'])).value)
  const first = drops[0] as Span
  if (idle === null) return null
  return sight(
    least > idle * 1.5,
    `They come only above ${rpm(least)}; at idle (${rpm(idle)}) there are none.`,
    first,
    [context.ref(SPEED)],
  )
}
