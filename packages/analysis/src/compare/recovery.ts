/**
 * Direct evidence: a hard fault of a circuit whose raw signal was bad all through the earlier run and
 * is good all through the later one. Only that proves a repair; a list without the fault does not.
 *
 * Every rule here errs on the side of not proved.
 */
import { type Signal, STATUSES } from '@firstcrank/decoder'
import type { FaultContext } from '../faults/context.js'
import type { ActiveFault } from '../faults/finding.js'
import type { FaultClass } from '../faults/knowledge/index.js'
import { circuitState } from '../faults/patterns/circuit.js'
import { siblingsDiffer } from '../faults/patterns/value.js'
import { number, seconds } from '../faults/sight.js'
import type { Span } from '../model.js'
import { resolutionOf, SECOND, valueAt } from '../series.js'
import { evidenceIn, type FaultSide, type RunEvidence, type Use } from './comparison.js'
import type { EngineUse, Look } from './exposure.js'

/** Failure modes that say a wire or a sensor is electrically broken. */
const CIRCUIT: readonly FaultClass[] = ['volts-high', 'volts-low', 'open', 'overcurrent']
/** A hard fault is bad in all messages but a few at power-up. Source: our own choice. */
const START_UP: number = 2 * SECOND
/** So long it has to be bad, and then good, in each use of the engine it was bad in. Source: our own choice. */
const LEAST: number = 20 * SECOND
const LEAST_USE = 10
/** A good signal moves: so many changes. Source: our own choice. */
const LEAST_CHANGES = 5
/** So many times as long as the earlier run took to report it must pass without a report. Source: our own choice. */
const REPORT_FACTOR = 3

/** What became of the raw signal. */
export interface Recovery {
  /** `recovered`: hard fault before, good throughout after. `still-bad`: it shows the same again. `none`: no such evidence. */
  readonly state: 'recovered' | 'still-bad' | 'none'
  /** Why there is no direct evidence, or what it is, in a sentence. */
  readonly text: string
  readonly evidence: readonly RunEvidence[]
}

/** What recovery is judged on. */
export interface RecoveryCase {
  readonly fault: ActiveFault
  readonly side: FaultSide
  readonly before: { readonly context: FaultContext; readonly use: EngineUse }
  readonly after: { readonly context: FaultContext; readonly use: EngineUse }
  /** The last clear command of the later run; null where none was seen. */
  readonly clearedAt: number | null
}

const none = (text: string): Recovery => ({ state: 'none', text, evidence: [] })

/** Compares the raw signal of a fault in both runs. */
export function rawRecovery({ fault, side, before, after, clearedAt }: RecoveryCase): Recovery {
  if (!CIRCUIT.includes(fault.class)) {
    return none('There is no direct evidence: the fault speaks of no broken circuit whose raw signal could recover.')
  }
  const signal = before.context.signalOf(fault)
  const other = after.context.signalOf(fault)
  const state = circuitState(before.context, fault)
  if (signal === undefined || other === undefined || state === undefined) {
    return none('There is no direct evidence: the raw signal of the part is not in both runs, or showed nothing.')
  }
  if (state.state !== 'error' && state.state !== 'pinned') {
    return none('There is no direct evidence: in the earlier run its raw signal showed no broken circuit.')
  }
  const rule = badRule(before.context, fault, state.state, state.sight)
  const was = look(signal, rule, before.use.looks)
  const is = look(other, rule, after.use.looks)
  const evidence = [
    evidenceIn('before', state.sight.text, state.sight.from, state.sight.to, [before.context.refOf(signal)]),
    evidenceIn(
      'after',
      is.bad === 0
        ? `${fault.name} is good in all ${is.good} messages that count, from ${number(is.least, 1)} to ${number(is.greatest, 1)}, with ${is.changes} changes.`
        : `${fault.name} is bad in ${is.bad} of ${is.bad + is.good} messages that count.`,
      is.span.from,
      is.span.to,
      [after.context.refOf(other)],
    ),
  ]
  // A value that was also there in health, such as no boost at idle, says nothing of the circuit.
  const tells = rule.pinned === null || (was.good === 0 && is.good === 0)
  if (is.bad > 0 && tells) {
    return { state: 'still-bad', text: 'Its raw signal still shows the broken circuit in the later run.', evidence }
  }
  if (is.bad > 0) {
    return none('There is no direct evidence: the value it was pinned at is one it can also have in health.')
  }
  const open = whyOpen(was, is)
  if (open !== null) return { state: 'none', text: open, evidence }
  if (!side.persistent) {
    return { state: 'none', text: 'The fault came and went: good values now do not show that it stays away.', evidence }
  }
  const disagrees = siblingsDiffer(after.context, fault)
  if (disagrees?.seen === true) return { state: 'none', text: `Its raw signal lives, but: ${disagrees.text}`, evidence }
  const report = Math.max(0, side.first - was.span.from)
  const clear = clearedAt === null ? is.span.from : Math.max(clearedAt, is.span.from)
  if (is.span.to - clear < Math.max(LEAST, REPORT_FACTOR * report)) {
    return {
      state: 'none',
      text: `Its raw signal lives, but the later run is too short${clearedAt === null ? '' : ' after the clear command'}: ${seconds(is.span.to - clear)}, where the earlier one needed ${seconds(report)} to report it.`,
      evidence,
    }
  }
  return {
    state: 'recovered',
    text: `Its raw signal was bad in all ${was.bad} messages before and is good and alive in all ${is.good} after, in the same use of the engine.`,
    evidence,
  }
}

/** What makes one message bad. */
interface BadRule {
  /** Value it was pinned at, give or take; null where the status says it. */
  readonly pinned: number | null
  readonly give: number
  /** Only while the engine runs: at rest the same value may be true. */
  readonly runningOnly: boolean
}

function badRule(context: FaultContext, fault: ActiveFault, state: 'error' | 'pinned', sight: Span): BadRule {
  if (state === 'error') return { pinned: null, give: 0, runningOnly: false }
  const signal = context.signalOf(fault) as Signal
  const pinned = valueAt(context.all(signal), sight.to) ?? Number.NaN
  return { pinned, give: 2 * resolutionOf(signal), runningOnly: fault.component?.kind !== 'thermistor' }
}

interface RawLook {
  readonly bad: number
  readonly good: number
  readonly changes: number
  readonly least: number
  readonly greatest: number
  readonly span: Span
  /** s looked at, by use of the engine. */
  readonly seconds: ReadonlyMap<Use, number>
}

/** Counts good and bad messages; those of the first moments, and those without any value, do not count. */
function look(signal: Signal, { pinned, give, runningOnly }: BadRule, looks: readonly Look[]): RawLook {
  const { time, value } = signal.samples()
  const statuses = signal.statuses()
  const begun = (time[0] ?? 0) + START_UP
  const found = { bad: 0, good: 0, changes: 0, least: Number.POSITIVE_INFINITY, greatest: Number.NEGATIVE_INFINITY }
  const span = { from: Number.POSITIVE_INFINITY, to: Number.NEGATIVE_INFINITY }
  const uses = new Map<Use, number>()
  let before = Number.NaN
  let at = 0
  for (let i = 0; i < time.length; i++) {
    const now = time[i] as number
    while (at < looks.length && (looks[at] as Look).time <= now) at++
    const use = (looks[at - 1] as Look | undefined)?.use
    const inUse = use !== undefined && now - (looks[at - 1] as Look).time < SECOND
    const current = value[i] as number
    const isError = statuses[i] === ERROR
    if (now < begun || !inUse || (runningOnly && use !== 'running')) continue
    if (Number.isNaN(current) && !isError) continue
    span.from = Math.min(span.from, now)
    span.to = Math.max(span.to, now)
    const step = Math.min(SECOND, now - (time[i - 1] ?? now)) / SECOND
    uses.set(use, (uses.get(use) ?? 0) + step)
    const isBad = isError || (pinned !== null && Math.abs(current - pinned) <= give)
    if (isBad) found.bad++
    else found.good++
    if (isError) continue
    if (!Number.isNaN(before) && current !== before) found.changes++
    before = current
    found.least = Math.min(found.least, current)
    found.greatest = Math.max(found.greatest, current)
  }
  if (found.bad + found.good === 0) return { ...found, span: { from: 0, to: 0 }, seconds: uses }
  return { ...found, span, seconds: uses }
}

/** Why good values after bad ones are no proof; null where they are. */
function whyOpen(was: RawLook, is: RawLook): string | null {
  if (was.good > 0) {
    return `Its raw signal was good in ${was.good} of ${was.bad + was.good} messages of the earlier run too: good values now prove nothing.`
  }
  if (was.span.to - was.span.from < LEAST)
    return 'The earlier run is too short to tell a hard fault from a passing one.'
  if (is.good === 0) return 'The later run holds no value of it where it was bad before.'
  if (is.changes < LEAST_CHANGES) return 'Its raw signal is no longer bad, but it stands still: it may be a substitute.'
  for (const [use, before] of was.seconds) {
    if (before >= LEAST_USE && (is.seconds.get(use) ?? 0) < LEAST_USE) {
      return `Its raw signal lives, but the later run lacks ${use} of the engine, in which it was bad before.`
    }
  }
  return null
}

/** Code of the status `error`. */
const ERROR: number = STATUSES.indexOf('error')
