/**
 * What a value does while its circuit is reported broken: it says "error", it is pinned at an end of
 * its range, it stands still where it used to move, or it goes on as if nothing were wrong.
 */
import type { Samples, Signal } from '@firstcrank/decoder'
import type { Span } from '../../model.js'
import { resolutionOf, SECOND, touchesAny, validOf, valueAt, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { type ActiveFault, endOf } from '../finding.js'
import { number, type Sight, seconds, sight } from '../sight.js'

/** A controller looks for some seconds before it reports, and goes on reporting for some after it got well. Common practice. */
const BEFORE = 3 * SECOND
const HEALING = 5 * SECOND
/** So many equal messages in a row, and so long, are standing still. Source: our own choice. */
const STILL_MESSAGES = 5
const STILL = 2 * SECOND
/** A signal that would have changed at least so often in that time cannot be still by chance. Source: our own choice. */
const MISSED_CHANGES = 4
/** Changes that make a value lively. Source: our own choice. */
const LIVELY_CHANGES = 5
/** Where thermistor inputs end up without a sensor: from memory. */
const COLDEST = -38
const HOTTEST = 140
/** A cold day: nothing reads so little on most. Common practice. */
const DEEP_COLD = -30

/** Two tracks of a pedal that agree, %. Source: the checks' limit for pedals, and a little. */
const TRACKS_AGREE = 6
/** An engine that runs by itself, rpm. Common practice. */
const TURNS = 500

/** What was found, the strongest first: `error` proves most. */
export type CircuitState = 'error' | 'pinned' | 'frozen' | 'lively'

/** The state of a fault's own signal while it is active; undefined where its signal is not sent or nothing can be said. */
export function circuitState(
  context: FaultContext,
  fault: ActiveFault,
): { state: CircuitState; sight: Sight } | undefined {
  const signal = context.signalOf(fault)
  if (signal === undefined) return undefined
  for (const look of [errors, pinned, frozen, lively]) {
    const found = look(context, fault, signal)
    if (found !== undefined) return found
  }
  return undefined
}

type Found = { state: CircuitState; sight: Sight } | undefined
type Look = (context: FaultContext, fault: ActiveFault, signal: Signal) => Found

const unitOf = (signal: Signal): string => (signal.definition.kind === 'numeric' ? ` ${signal.definition.unit}` : '')
const digitsOf = (signal: Signal): number => (resolutionOf(signal) < 0.5 ? 1 : 0)
const valueIn = (signal: Signal, value: number): string => `${number(value, digitsOf(signal))}${unitOf(signal)}`

/** From a little before an episode to its end, without what comes after the value got well. */
function windowsOf({ episodes }: ActiveFault): Span[] {
  return episodes.map((episode) => ({ from: episode.firstSeen - BEFORE, to: endOf(episode) }))
}

const errors: Look = (context, fault, signal) => {
  const intervals = signal.statusIntervals().filter(({ status }) => status === 'error')
  for (const window of windowsOf(fault)) {
    const hit = intervals.find(({ from, to, count }) => from <= window.to && to >= window.from && count > 0)
    if (hit === undefined) continue
    const span = { from: hit.from, to: hit.to }
    const text = `${fault.name} says "error" in place of a value for ${seconds(hit.to - hit.from)}.`
    return { state: 'error', sight: sight(true, text, span, [context.refOf(signal)]) }
  }
  return undefined
}

const pinned: Look = (context, fault, signal) => {
  const samples = context.all(signal)
  for (const window of windowsOf(fault)) {
    const run = longestStill(windowOf(samples, window.from, window.to))
    if (run === undefined || !isEnd(signal, run.value) || isReal(context, fault, run)) continue
    const before = valueAt(samples, Math.min(window.from, run.from) - 1, 2 * HEALING)
    const changed = before !== null && Math.abs(before - run.value) > 2 * resolutionOf(signal)
    if (!changed && !isImpossible(context, fault, run.value, run)) continue
    const from = changed && before !== null ? ` after ${valueIn(signal, before)} just before` : ''
    const text = `${fault.name} is pinned at ${valueIn(signal, run.value)} for ${seconds(run.to - run.from)}${from}.`
    return { state: 'pinned', sight: sight(true, text, run, [context.refOf(signal)]) }
  }
  return undefined
}

const frozen: Look = (context, fault, signal) => {
  const samples = context.all(signal)
  const windows = windowsOf(fault)
  const rate = changeRate(samples, windows)
  for (const window of windows) {
    const run = longestStill(windowOf(samples, window.from + BEFORE, window.to))
    if (run === undefined || rate === null || (rate * (run.to - run.from)) / SECOND < MISSED_CHANGES) continue
    const text = `${fault.name} stands still at ${valueIn(signal, run.value)} for ${seconds(run.to - run.from)}; outside the fault it changes about ${number(rate * 10, 0)} times in 10 s. It is a substitute.`
    return { state: 'frozen', sight: sight(true, text, run, [context.refOf(signal)]) }
  }
  return undefined
}

const lively: Look = (context, fault, signal) => {
  const samples = context.all(signal)
  for (const { firstSeen, ...rest } of fault.episodes) {
    const to = Math.max(firstSeen, endOf({ firstSeen, ...rest }) - HEALING)
    const part = validOf(windowOf(samples, firstSeen, to))
    const changes = changesOf(part)
    if (to - firstSeen < STILL || changes < LIVELY_CHANGES) continue
    const text = `${fault.name} goes on with lively values while the fault is active: ${changes} changes in ${seconds(to - firstSeen)}.`
    return { state: 'lively', sight: sight(true, text, { from: firstSeen, to }, [context.refOf(signal)]) }
  }
  return undefined
}

interface Still extends Span {
  readonly value: number
}

/** The longest row of equal values, long enough to mean something. */
function longestStill(samples: Samples): Still | undefined {
  const { time, value } = validOf(samples)
  let best: Still | undefined
  for (let first = 0; first < value.length; ) {
    let end = first + 1
    while (end < value.length && value[end] === value[first]) end++
    const from = time[first] as number
    const to = time[end - 1] as number
    const longEnough = end - first >= STILL_MESSAGES || (end - first >= 3 && to - from >= STILL)
    if (longEnough && (best === undefined || to - from > best.to - best.from))
      best = { from, to, value: value[first] as number }
    first = end
  }
  return best
}

function changesOf({ value }: Samples): number {
  let changes = 0
  for (let i = 1; i < value.length; i++) if (value[i] !== value[i - 1]) changes++
  return changes
}

/** How often a value changes outside some windows, per second; null where there is too little to say. */
function changeRate(samples: Samples, windows: readonly Span[]): number | null {
  const { time, value } = validOf(samples)
  const isInside = touchesAny(windows)
  let changes = 0
  let length = 0
  for (let i = 1; i < time.length; i++) {
    const from = time[i - 1] as number
    const to = time[i] as number
    if (isInside(from, to) || to - from > HEALING) continue
    length += to - from
    if (value[i] !== value[i - 1]) changes++
  }
  return length < 2 * HEALING ? null : (changes * SECOND) / length
}

/** Whether a value is at the end of what a signal can say, or of what its sensor can. */
function isEnd(signal: Signal, value: number): boolean {
  const { definition } = signal
  if (definition.kind !== 'numeric') return false
  const { bits, resolution, offset, unit } = definition
  const lowest = offset
  const highest = offset + resolution * (bits >= 8 ? 251 * 2 ** (bits - 8) - 1 : 2 ** bits - 3)
  if (value <= lowest + resolution || value >= highest - resolution) return true
  if (unit === '°C') return value <= COLDEST || value >= HOTTEST
  return value === 0 || (unit === '%' && value >= 99)
}

/** Whether an end of the range is where the value really is: a pedal on the floor, an engine that stands. */
function isReal(context: FaultContext, { component, spn }: ActiveFault, { from, to, value }: Still): boolean {
  if (component?.kind === 'pedal') {
    const others = (component.siblings ?? []).flatMap(({ spns }) => spns)
    const readings = others.flatMap((other) => valueAt(context.valid(other), (from + to) / 2, SECOND) ?? [])
    return readings.length > 0 && readings.every((reading) => Math.abs(reading - value) <= TRACKS_AGREE)
  }
  if (value !== 0 || !ZERO_MEANS_STANDING.has(spn)) return false
  const speed = valueAt(context.valid(190), to, SECOND)
  return speed !== null && speed < TURNS
}

/** Whether a value that was there from the beginning cannot be true. */
function isImpossible(context: FaultContext, { component, spn }: ActiveFault, value: number, span: Span): boolean {
  if (component?.kind === 'thermistor') {
    if (value >= HOTTEST) return true
    const others = (component.siblings ?? []).flatMap(({ spns }) => spns)
    const readings = others.flatMap((other) => valueAt(context.valid(other), span.to) ?? [])
    return value <= COLDEST && readings.length > 0 && readings.every((reading) => reading > DEEP_COLD)
  }
  const speed = valueAt(context.valid(190), span.to, SECOND)
  return ZERO_MEANS_STANDING.has(spn) && value === 0 && speed !== null && speed > TURNS
}

/** Pressures and flows no running engine is without. */
const ZERO_MEANS_STANDING: ReadonlySet<number> = new Set([100, 94, 157, 132, 109, 190])
