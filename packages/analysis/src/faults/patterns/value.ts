/** Whether a value crosses the limit its fault speaks of, agrees with its siblings, or jumps as nothing real can. */
import type { Samples } from '@firstcrank/decoder'
import { extremes, firstAt, median, resolutionOf, SECOND, valuesAt, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { type ActiveFault, endOf } from '../finding.js'
import { number, type Sight, seconds, sight } from '../sight.js'

/** Before a fault is reported, its value has been wrong for a while. Common practice. */
const BEFORE = 5 * SECOND
/** So far from a limit is near it: share of the limit. Source: our own choice. */
const NEAR = 0.08
/** Of cold siblings: these agree, these differ, °C. Source: common practice. */
const AGREE = 5
const DIFFER = 10
/** Two tracks of one pedal differ, %. Source: common practice. */
const TRACKS_DIFFER = 6

/** Pressures need a moment from firing. Source: filter maker's advice on oil pressure, as in the checks. */
const SETTLES = 5 * SECOND

/** Values that say something of a limit only while the engine runs. */
const ONLY_RUNNING: ReadonlySet<number> = new Set([100, 157, 94, 109, 102, 167, 190])

/** `limit-crossed`: whether the value itself went where the fault says it is. */
export function limitCrossed(context: FaultContext, fault: ActiveFault): Sight | null {
  const signal = context.signalOf(fault)
  const isHigh = fault.class === 'high'
  const limit = isHigh ? fault.component?.high : fault.component?.low
  if (signal === undefined || (fault.class !== 'high' && fault.class !== 'low')) return null
  if (signal.definition.kind !== 'numeric') return null
  const { unit } = signal.definition
  const digits = resolutionOf(signal) < 0.5 ? 1 : 0
  const ref = [context.refOf(signal)]
  const all = context.all(signal)
  const parts = fault.episodes.map((episode) =>
    inForce(context, fault, windowOf(all, episode.firstSeen - BEFORE, endOf(episode))),
  )
  const worst = parts
    .map((part) => extremes(part))
    .filter((found) => found !== null)
    .sort((a, b) => (isHigh ? b.max - a.max : a.min - b.min))[0]
  if (worst === undefined) return null
  const value = isHigh ? worst.max : worst.min
  const at = isHigh ? worst.maxAt : worst.minAt
  const here = { from: at, to: at }
  const said = `${number(value, digits)} ${unit}`
  if (limit !== undefined && limit.unit === unit) {
    const bound = unit === 'V' ? limit.value * context.voltage : limit.value
    const text = `${fault.name} ${isHigh ? 'reached' : 'fell to'} ${said}; controllers commonly warn ${isHigh ? 'above' : 'below'} about ${number(bound, digits)} ${unit}.`
    if (isHigh ? value >= bound : value <= bound) return sight(true, text, here, ref)
    const margin = Math.abs(bound) * NEAR
    if (isHigh ? value >= bound - margin : value <= bound + margin) return null
    return sight(
      false,
      `${fault.name} never came near a usual limit while the fault was active: ${isHigh ? 'at most' : 'at least'} ${said}.`,
      here,
      ref,
    )
  }
  return null
}

/** Only what was measured while it means something. */
function inForce(context: FaultContext, { spn }: ActiveFault, samples: Samples): Samples {
  if (!ONLY_RUNNING.has(spn) || context.phases.length === 0) return samples
  return context.inside(
    samples,
    context.running.flatMap(({ from, to }) => (from + SETTLES < to ? [{ from: from + SETTLES, to }] : [])),
  )
}

/** `siblings-differ`: whether it reads what its siblings read where they must agree. */
export function siblingsDiffer(context: FaultContext, fault: ActiveFault): Sight | null {
  for (const { spns, when } of fault.component?.siblings ?? []) {
    const found =
      when === 'cold' ? coldSiblings(context, fault, spns) : when === 'always' ? otherTrack(context, fault, spns) : null
    if (found !== null) return found
  }
  return null
}

/** Before the first start, where at least two siblings agree with one another: the engine has stood for long. */
function coldSiblings(context: FaultContext, fault: ActiveFault, spns: readonly number[]): Sight | null {
  const before = context.standing[0]
  if (
    before === undefined ||
    context.phases.find(({ kind }) => kind === 'cranking' || kind === 'run-up')?.from === undefined
  )
    return null
  const span = { from: before.from, to: before.to }
  const own = median(windowOf(context.valid(fault.spn), span.from, span.to).value)
  const readings = spns.flatMap((spn) => {
    const value = median(windowOf(context.valid(spn), span.from, span.to).value)
    return value === null ? [] : [{ spn, value }]
  })
  const middle = median(readings.map(({ value }) => value))
  if (own === null || middle === null || readings.length < 2) return null
  const agreeing = readings.filter(({ value }) => Math.abs(value - middle) <= AGREE)
  if (agreeing.length < 2) return null
  const refs = [context.ref(fault.spn), ...agreeing.map(({ spn }) => context.ref(spn))]
  const apart = Math.abs(own - middle)
  const said = `Before the start it read ${number(own, 0)} °C while ${agreeing.length} others read about ${number(middle, 0)} °C`
  if (apart > DIFFER) return sight(true, `${said}: it is the one that is wrong.`, span, refs)
  return apart <= AGREE ? sight(false, `${said}: it agreed with them then.`, span, refs) : null
}

/** Two tracks of one pedal, in the same message or nearly. */
function otherTrack(context: FaultContext, fault: ActiveFault, spns: readonly number[]): Sight | null {
  const other = spns.find((spn) => context.has(spn))
  const own = context.valid(fault.spn)
  if (other === undefined || own.time.length === 0 || !PERCENT.has(fault.spn)) return null
  const theirs = context.valid(other)
  const period = context.period(other)
  let worst: { apart: number; at: number; own: number; other: number } | undefined
  for (const episode of fault.episodes) {
    const part = windowOf(own, episode.firstSeen - BEFORE, endOf(episode))
    const values = valuesAt(theirs, part.time, 3 * period)
    for (let i = 0; i < values.length; i++) {
      const apart = Math.abs((part.value[i] as number) - (values[i] as number))
      if (apart > (worst?.apart ?? -1))
        worst = { apart, at: part.time[i] as number, own: part.value[i] as number, other: values[i] as number }
    }
  }
  // Never sent in the same moments: nobody can tell.
  if (worst === undefined) return null
  const refs = [context.ref(fault.spn), context.ref(other)]
  const here = { from: worst.at, to: worst.at }
  if (worst.apart > TRACKS_DIFFER) {
    return sight(
      true,
      `The two tracks differ: ${number(worst.own, 0)} % here, ${number(worst.other, 0)} % on the other, in the same instant.`,
      here,
      refs,
    )
  }
  return sight(
    false,
    `The two tracks never differ by more than ${number(worst.apart, 1)} % around the fault, as far as the messages show.`,
    here,
    refs,
  )
}

const PERCENT: ReadonlySet<number> = new Set([91, 29])

/** How far a value of each kind may move and be real: in its unit, within so many microseconds. Source: common practice. */
const FASTEST: Readonly<
  Record<string, { readonly by: number; readonly within: number; readonly and: 'stays' | 'returns' }>
> = {
  thermistor: { by: 8, within: 2 * SECOND, and: 'stays' },
  pedal: { by: 12, within: 0.15 * SECOND, and: 'returns' },
}
/** A spike is back within so long. */
const BACK = 0.4 * SECOND

/** `impossible-step`: a jump faster than the part can move, near the fault. */
export function impossibleStep(context: FaultContext, fault: ActiveFault): Sight | null {
  const signal = context.signalOf(fault)
  const rule = FASTEST[fault.component?.kind ?? '']
  if (signal === undefined || rule === undefined) return null
  const samples = context.all(signal)
  const refs = [context.refOf(signal)]
  const unit = signal.definition.kind === 'numeric' ? signal.definition.unit : ''
  let count = 0
  let first: Sight | undefined
  for (const episode of fault.episodes) {
    const part = windowOf(samples, episode.firstSeen - BEFORE, Math.min(endOf(episode), episode.firstSeen + BEFORE))
    const step = stepIn(part, rule)
    if (step === undefined) continue
    count++
    first ??= sight(
      true,
      `${fault.name} jumps from ${number(step.before, 0)} to ${number(step.after, 0)} ${unit} within ${seconds(step.to - step.from)}${rule.and === 'returns' ? ' and back' : ''}: no foot and no part moves so fast.`,
      step,
      refs,
    )
  }
  if (first !== undefined)
    return {
      ...first,
      text: count > 1 ? `${first.text} It does so before ${count} of ${fault.episodes.length} episodes.` : first.text,
    }
  return sight(false, `No jump of ${fault.name} that is faster than the part can move.`, fault, refs)
}

interface Jump {
  readonly from: number
  readonly to: number
  readonly before: number
  readonly after: number
}

function stepIn({ time, value }: Samples, rule: (typeof FASTEST)[string]): Jump | undefined {
  for (let i = 1; i < value.length; i++) {
    const before = value[i - 1] as number
    const after = value[i] as number
    const from = time[i - 1] as number
    const to = time[i] as number
    if (!(Math.abs(after - before) > rule.by) || to - from > rule.within) continue
    if (rule.and === 'stays' || returns({ time, value }, i, before)) return { from, to, before, after }
  }
  return undefined
}

/** Whether most of a jump is undone soon after it, by a jump as sudden. */
function returns({ time, value }: Samples, at: number, before: number): boolean {
  const jump = (value[at] as number) - before
  const end = firstAt(time, (time[at] as number) + BACK)
  for (let i = at + 1; i < Math.min(value.length, end + 1); i++) {
    const back = (value[i] as number) - (value[i - 1] as number)
    if (back * jump < 0 && Math.abs(back) > 0.6 * Math.abs(jump)) return true
  }
  return false
}
