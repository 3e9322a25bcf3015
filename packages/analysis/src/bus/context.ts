/** What all findings about the bus are made from, put together once. */
import type { LogSummary, Recording } from '@firstcrank/decoder'
import { refOf } from '../engine-view.js'
import type { Limits } from '../limits.js'
import type { CheckResult, Evidence, Limit, Measure, SignalRef, Span, Verdict } from '../model.js'
import { NodeTitles } from '../nodes.js'
import { extremes, SECOND, validOf } from '../series.js'
import { type EnginePhases, type KeyTimes, keyTimes } from './awake.js'
import { type ChannelSilences, findSilences } from './silences.js'
import { findSenders, type Sender } from './traffic.js'

/** One interface. */
export interface BusChannel extends KeyTimes {
  readonly index: number
  readonly name: string
  readonly senders: readonly Sender[]
  /** Whether an engine tells when the key was on; else the traffic decides. */
  readonly keyKnown: boolean
  readonly silences: ChannelSilences
}

export interface BusContext {
  readonly recording: Recording
  readonly summary: LogSummary
  readonly limits: Limits
  readonly titles: NodeTitles
  readonly channels: readonly BusChannel[]
  /** Addresses a profile asks for. */
  readonly expected: readonly { readonly sa: number; readonly name: string }[]
}

/** A check about the bus: its own text, and how it comes to a result. */
export interface BusCheck {
  readonly id: string
  readonly title: string
  readonly proves: string
  readonly judge: (bus: BusContext) => BusResult
}

/** What of a {@link CheckResult} a check about the bus works out. */
export interface BusResult {
  readonly verdict: Verdict
  readonly finding: string
  readonly advice: string
  readonly measured?: Measure
  readonly limits?: readonly Limit[]
  readonly evidence?: readonly Evidence[]
  readonly cautions?: readonly string[]
}

/** A result of the shape all checks have. */
export function resultOf({ id, title, proves, judge }: BusCheck, bus: BusContext): CheckResult {
  const { verdict, finding, advice, measured = null, limits = [], evidence = [], cautions = [] } = judge(bus)
  return { id, title, proves, verdict, measured, limits, evidence, finding, advice, cautions }
}

/** @param recording opened with a summary */
export function busContext(
  recording: Recording,
  summary: LogSummary,
  engines: readonly EnginePhases[],
  limits: Limits,
  expected: BusContext['expected'],
): BusContext {
  const senders = findSenders(recording)
  const channels = recording.channels.map((name, index): BusChannel => {
    const here = senders.filter(({ channel }) => channel === index)
    const key = keyTimes(recording, name, here, engines)
    const keyKnown = engines.length > 0
    return { index, name, senders: here, keyKnown, ...key, silences: findSilences(recording, here, key) }
  })
  return { recording, summary, limits, titles: new NodeTitles(recording), channels, expected }
}

/** A count, as a measure. */
export function countOf(value: number): Measure {
  return { value, unit: 'count', uncertainty: null }
}

/** Seconds of a span, for a sentence. */
export function lasting({ from, to }: Span): string {
  const seconds = (to - from) / SECOND
  return `${seconds.toFixed(seconds < 10 ? 2 : 1)} s`
}

/** `1 silence`, `2 silences`. */
export function counted(count: number, one: string, more = `${one}s`): string {
  return `${count} ${count === 1 ? one : more}`
}

/** Battery and keyswitch voltage. */
const SUPPLY_SPNS: readonly number[] = [168, 158]
/** How far around a moment a dip belongs to it: the usual period of the voltage's message, from memory. */
const AROUND = SECOND

/** The least supply voltage anybody told around a moment, and where to see it. */
export function supplyAround(
  recording: Recording,
  { from, to }: Span,
): { volts: number; signal: SignalRef } | undefined {
  for (const spn of SUPPLY_SPNS) {
    const lowest = recording
      .signals({ spn })
      .flatMap((signal) => {
        const found = extremes(validOf(signal.samples(from - AROUND, to + AROUND)))
        return found === null ? [] : [{ volts: found.min, signal: refOf(recording, signal) }]
      })
      .sort((a, b) => a.volts - b.volts)[0]
    if (lowest !== undefined) return lowest
  }
  return undefined
}

/** A span as evidence, with the supply beside it. */
export function evidenceOf(recording: Recording, text: string, span: Span): Evidence {
  const supply = supplyAround(recording, span)
  if (supply === undefined) return { text: `${text}.`, from: span.from, to: span.to, signals: [] }
  const words = supply.signal.spn === 168 ? 'battery' : 'keyswitch'
  const told = `${text}; ${words} ${supply.volts.toFixed(1)} V at the lowest around it.`
  return { text: told, from: span.from, to: span.to, signals: [supply.signal] }
}
