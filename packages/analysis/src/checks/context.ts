/** What every check is computed from, and the few questions they all ask. */
import type { Samples } from '@firstcrank/decoder'
import { findSignals } from '@firstcrank/decoder/catalog'
import type { EngineView } from '../engine-view.js'
import { findIdleTarget, type IdleTarget } from '../idle-target.js'
import { type LimitId, type Limits, limitsFor } from '../limits.js'
import type { Evidence, Phase, PhaseKind, SignalRef, Span, Verdict } from '../model.js'
import type { Profile } from '../profile.js'
import { median, resolutionOf, SECOND, valueAt, windowOf } from '../series.js'
import { TrustedView } from './trust.js'

/** Phases in which the engine runs by itself. */
export const RUNNING: readonly PhaseKind[] = ['run-up', 'idle-settle', 'idle', 'warm-idle', 'load']
/** Phases at idle. */
export const IDLING: readonly PhaseKind[] = ['idle-settle', 'idle', 'warm-idle']
/** Phases in which the crankshaft stands with the key on. */
export const STANDING: readonly PhaseKind[] = ['key-on', 'preheat']

/** A start: an attempt that worked, and the running that followed. */
export interface Start {
  readonly cranking: Phase
  /** When it fired. */
  readonly fired: number
  /** The end of the running that followed. */
  readonly to: number
  readonly cycle: number
}

/** Everything a check may ask. */
export class CheckContext {
  /** The engine, without values that its own controller distrusts. */
  readonly engine: EngineView
  /** The engine with every value, for checks of a sensor itself. */
  readonly raw: EngineView
  readonly phases: readonly Phase[]
  readonly profile: Profile
  readonly volts: 12 | 24
  readonly limits: Limits
  readonly idleTarget: IdleTarget | undefined

  constructor(engine: EngineView, phases: readonly Phase[], profile: Profile) {
    this.engine = new TrustedView(engine)
    this.raw = engine
    this.phases = phases
    this.profile = profile
    this.volts = profile.electrical.volts ?? systemVolts(engine)
    this.limits = limitsFor(profile, this.volts)
    this.idleTarget = findIdleTarget(engine, profile)
  }

  /** The figure of a limit. */
  limit(id: LimitId): number {
    return this.limits[id].value
  }

  /** Where signals are, those that are there. */
  refs(...spns: readonly number[]): SignalRef[] {
    return spns.flatMap((spn) => this.engine.signalRef(spn) ?? [])
  }

  /** Evidence over a stretch. */
  evidence(span: Span, text: string, ...spns: readonly number[]): Evidence {
    return { from: span.from, to: span.to, text, signals: this.refs(...spns) }
  }

  /** Half of the smallest step the signal can show. */
  halfStep(spn: number): number {
    const signal = this.engine.signal(spn)
    return signal === undefined ? 0 : resolutionOf(signal) / 2
  }

  /** The usual time between messages, in seconds. */
  periodSeconds(spn: number): number {
    return (this.engine.period(spn) ?? 0) / SECOND
  }

  /** How many seconds some of a signal's messages stand for. */
  secondsOf(spn: number, messages: number): number {
    return messages * this.periodSeconds(spn)
  }

  /** The first of several signals that holds values. */
  firstOf(...spns: readonly number[]): number | undefined {
    return spns.find((spn) => this.engine.has(spn))
  }

  /** Phases of some kinds. */
  phasesOf(kinds: readonly PhaseKind[]): Phase[] {
    return this.phases.filter(({ kind }) => kinds.includes(kind))
  }

  /** Neighbouring phases of some kinds, made one: stretches in which nothing else was done. */
  stretchesOf(kinds: readonly PhaseKind[]): (Span & { readonly cycle: number })[] {
    const found: { from: number; to: number; cycle: number }[] = []
    let last: Phase | undefined
    for (const phase of this.phases) {
      const open = found.at(-1)
      const fits = kinds.includes(phase.kind)
      const joins = fits && last !== undefined && kinds.includes(last.kind) && last.to === phase.from
      if (joins && open !== undefined) open.to = phase.to
      else if (fits) found.push({ from: phase.from, to: phase.to, cycle: phase.cycle })
      last = phase
    }
    return found
  }

  /** Every start that was seen, in order of time. */
  starts(): Start[] {
    const running = this.stretchesOf(RUNNING)
    return this.phases.flatMap((cranking): Start[] => {
      if (cranking.attempt?.started !== true) return []
      const run = running.find(({ from }) => from === cranking.to)
      return run === undefined ? [] : [{ cranking, fired: run.from, to: run.to, cycle: cranking.cycle }]
    })
  }

  /** Whether a time is the end of what the engine said: what came next, nobody can say. */
  isEnd(time: number): boolean {
    return time >= (this.phases.at(-1)?.to ?? 0)
  }

  /** Samples in a stretch, those too that the controller distrusts. */
  rawWithin(spn: number, { from, to }: Span): Samples {
    return windowOf(this.raw.valid(spn), from, to)
  }

  /** Valid samples in a stretch. */
  within(spn: number, { from, to }: Span): Samples {
    return windowOf(this.engine.valid(spn), from, to)
  }

  /** The value in force at a time, if it is not older than three of its messages. */
  at(spn: number, time: number): number | null {
    return valueAt(this.engine.valid(spn), time, this.engine.hold(spn))
  }

  /** °C around the vehicle about a time: ambient, else intake air, else the coldest fluid of a cold engine. */
  surroundings(time: number): { readonly celsius: number; readonly spn: number } | undefined {
    for (const spn of [171, 172, 105, 110]) {
      const near = median(this.within(spn, { from: time - 10 * SECOND, to: time + 10 * SECOND }).value)
      if (near !== null && near > -40) return { celsius: near, spn }
    }
    return undefined
  }
}

/** 24 where the battery's usual voltage is one of a 24-volt system. Limit: half-way between 15 and 20 V. */
function systemVolts(engine: EngineView): 12 | 24 {
  const usual = median(engine.valid(engine.has(168) ? 168 : 158).value)
  return usual !== null && usual > 17.5 ? 24 : 12
}

/** The name of a signal as the catalogue has it, with its number. */
export function signalName(spn: number): string {
  const name = findSignals(spn)[0]?.signal.name
  return name === undefined ? `SPN ${spn}` : `${name} (SPN ${spn})`
}

/** `pass` at or below the first bound, `caution` up to the second, else `fail`. */
export function upTo(value: number, pass: number, caution: number): Exclude<Verdict, 'not-judged'> {
  if (value <= pass) return 'pass'
  return value <= caution ? 'caution' : 'fail'
}

/** `pass` at or above the first bound, `caution` down to the second, else `fail`. */
export function from(value: number, pass: number, caution: number): Exclude<Verdict, 'not-judged'> {
  if (value >= pass) return 'pass'
  return value >= caution ? 'caution' : 'fail'
}

/** The worse of two verdicts. */
export function worse<V extends Verdict>(a: V, b: V): V {
  const order: readonly Verdict[] = ['pass', 'not-judged', 'caution', 'fail']
  return order.indexOf(a) >= order.indexOf(b) ? a : b
}

/** A number in a sentence, with a true minus sign. */
export function say(value: number, digits = 1): string {
  return value
    .toFixed(digits)
    .replace(/^-(?=.*[1-9])/, '−')
    .replace(/^-/, '')
}
