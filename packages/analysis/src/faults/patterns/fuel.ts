/** Fuel: delivery and rail pressure while the pump must work, hard starting, water. */
import type { Samples } from '@firstcrank/decoder'
import type { PhaseKind, Span } from '../../model.js'
import { median, quantile, SECOND, stretches, valueAt, windowOf } from '../../series.js'
import { type FaultContext, RUNNING } from '../context.js'
import { kilopascals, megapascals, number, percent, type Sight, seconds, sight, times } from '../sight.js'

const DELIVERY = 94
const RAIL = 157
const RAIL_WANTED = 5313
const WATER = 97
/** The lift pump works while cranking and running. */
const PUMPING: readonly PhaseKind[] = ['cranking', ...RUNNING]
/** Share of the best delivery below which the supply starves. Source: our own choice. */
const STARVED = 0.65
/** A swing of delivery pressure, share of its middle, and how many of them in ten seconds are hunting. Source: our own choice. */
const SWING = 0.12
const GULPS = 0.7
/** Injectors do not open below, MPa. Source: common practice. */
const OPENS = 18
/** Rail pressure may build for so long, in microseconds. Source: common practice. */
const BUILDS = 2 * SECOND

/** Stretches in which the pump works, without the first moments of each. */
function pumpingSpans(context: FaultContext, settle: number): Span[] {
  return context.during(PUMPING).flatMap(({ kind, from, to }) => {
    const start = kind === 'cranking' || kind === 'run-up' ? from + settle : from
    return start < to ? [{ from: start, to }] : []
  })
}

function whilePumping(context: FaultContext, spn: number, settle: number): Samples {
  return context.inside(context.valid(spn), pumpingSpans(context, settle))
}

/** `delivery-starved`: the lift pump gives far less than it once did. */
export function deliveryStarved(context: FaultContext): Sight | null {
  const all = context.valid(DELIVERY)
  const pumped = whilePumping(context, DELIVERY, SECOND)
  const best = quantile(all.value, 0.99)
  const low = quantile(pumped.value, 0.1)
  if (best === null || low === null || pumped.time.length < 6 || best === 0) return null
  const span = { from: pumped.time[0] as number, to: pumped.time.at(-1) as number }
  const refs = [context.ref(DELIVERY)]
  const share = low / best
  const text = `While the engine cranks or runs the fuel delivery pressure falls to ${kilopascals(low)}; the best in this recording is ${kilopascals(best)}.`
  if (share < STARVED) return sight(true, text, span, refs)
  return share > 0.8
    ? sight(false, `The fuel delivery pressure stays between ${kilopascals(low)} and ${kilopascals(best)}.`, span, refs)
    : null
}

/** `delivery-hunts`: it comes in gulps, as air in the line makes it. */
export function deliveryHunts(context: FaultContext): Sight | null {
  const spans = starvedSpans(context)
  const pumped = context.inside(context.valid(DELIVERY), spans)
  const middle = median(pumped.value)
  if (pumped.time.length < 20 || middle === null || middle <= 0) return null
  const length = spans.reduce((sum, { from, to }) => sum + to - from, 0)
  const turns = spans.reduce(
    (sum, { from, to }) => sum + reversals(windowOf(context.valid(DELIVERY), from, to).value, middle * SWING),
    0,
  )
  const pace = (turns * 10 * SECOND) / length
  const span = { from: pumped.time[0] as number, to: pumped.time.at(-1) as number }
  const refs = [context.ref(DELIVERY)]
  const text = `While the pump works the delivery pressure swings up and down by more than ${percent(SWING * 100)} about ${number(pace, 1)} times in 10 s`
  if (pace >= GULPS) return sight(true, `${text}: it comes in gulps, as with air in the line.`, span, refs)
  return pace <= GULPS / 3 ? sight(false, `${text}: it is steady.`, span, refs) : null
}

/** Where the pump works and delivery is not yet well: what came before the air was out says more than what came after. */
function starvedSpans(context: FaultContext): Span[] {
  const spans = pumpingSpans(context, 3 * SECOND)
  const all = context.valid(DELIVERY)
  const best = quantile(all.value, 0.99) ?? 0
  const poor = stretches(context.inside(all, spans), (value) => value < best * STARVED)
  const last = poor.at(-1)
  if (last === undefined) return spans
  return spans.flatMap(({ from, to }) => (from < last.to ? [{ from, to: Math.min(to, last.to + SECOND) }] : []))
}

/** How often a row of values turns by more than a swing. */
function reversals(values: Float64Array, swing: number): number {
  let turns = 0
  let extreme = values[0] ?? 0
  let rising: boolean | undefined
  for (const value of values) {
    const moved = value - extreme
    if (rising === undefined) {
      if (Math.abs(moved) >= swing) {
        rising = moved > 0
        extreme = value
      }
    } else if (rising ? value > extreme : value < extreme) {
      extreme = value
    } else if (Math.abs(moved) >= swing) {
      rising = !rising
      extreme = value
      turns++
    }
  }
  return turns
}

/** `rail-low`: the rail does not reach what it needs. */
export function railLow(context: FaultContext): Sight | null {
  const refs = [context.ref(RAIL), context.ref(RAIL_WANTED)]
  const wanted = context.valid(RAIL_WANTED)
  const pumped = whilePumping(context, RAIL, BUILDS)
  if (pumped.time.length < 4) return null
  const low =
    wanted.time.length > 0
      ? joinedSpans(pumpingSpans(context, BUILDS)).flatMap((span) => below(context, span))
      : stretches(pumped, (value) => value < OPENS, { maxGap: 2 * SECOND })
  const first = low[0]
  if (first === undefined) {
    const least = quantile(pumped.value, 0.02)
    return least === null
      ? null
      : sight(false, `The rail pressure stays at ${megapascals(least)} or more.`, context.span, refs)
  }
  const least = quantile(windowOf(pumped, first.from, first.to).value, 0.5) ?? 0
  return sight(
    true,
    `While the engine cranks or runs the rail is at ${megapascals(least)}, below what injectors need or the controller asks for.`,
    first,
    refs,
  )
}

/** Spans that follow one another, made one. */
function joinedSpans(spans: readonly Span[]): Span[] {
  const joined: { from: number; to: number }[] = []
  for (const { from, to } of spans) {
    const last = joined.at(-1)
    if (last?.to === from) last.to = to
    else joined.push({ from, to })
  }
  return joined
}

function below(
  context: FaultContext,
  { from, to }: { readonly from: number; readonly to: number },
): { from: number; to: number }[] {
  const rail = windowOf(context.valid(RAIL), from, to)
  const wanted = context.valid(RAIL_WANTED)
  const share: Samples = {
    time: rail.time,
    value: rail.value.map((value, i) => value / (valueAt(wanted, rail.time[i] as number, 2 * SECOND) ?? Number.NaN)),
  }
  return stretches(share, (value) => value < 0.8, { atLeast: SECOND })
}

/** `hard-start`: failed attempts, long cranking, or a stall soon after. */
export function hardStart(context: FaultContext): Sight | null {
  const attempts = context.during(['cranking'])
  const first = attempts[0]
  if (first === undefined) return null
  const failed = attempts.filter(({ attempt }) => attempt?.started === false)
  const stalls = context.during(['stall'])
  const longest = Math.max(...attempts.map(({ from, to }) => to - from))
  const parts = [
    ...(failed.length > 0 ? [`${failed.length} of ${attempts.length} attempts to start failed`] : []),
    ...(stalls.length > 0 ? [`the engine stalled ${times(stalls.length)}`] : []),
    ...(longest > 15 * SECOND ? [`the longest cranking took ${seconds(longest)}`] : []),
  ]
  const refs = [context.ref(190), context.ref(1675)]
  const span = { from: first.from, to: attempts.at(-1)?.to ?? first.to }
  if (parts.length > 0)
    return sight(true, `${parts.join(', ').replace(/^./, (letter) => letter.toUpperCase())}.`, span, refs)
  return sight(false, `It starts at the first attempt, after ${seconds(first.to - first.from)}.`, span, refs)
}

/** `water-reported`: the probe's own state says water. */
export function waterReported(context: FaultContext): Sight | null {
  const state = context.valid(WATER)
  if (state.time.length === 0) return null
  const wet = stretches(state, (value) => value === 1)
  const first = wet[0]
  const refs = [context.ref(WATER)]
  if (first === undefined) return sight(false, 'The water probe’s own message never says water.', context.span, refs)
  return sight(
    true,
    'The water probe’s own message says water.',
    { from: first.from, to: wet.at(-1)?.to ?? first.to },
    refs,
  )
}
