/** Everything an analysis of faults looks at, gathered once. */
import type { Recording, Samples, Signal } from '@firstcrank/decoder'
import { keyTimes } from '../bus/awake.js'
import { type ChannelSilences, findSilences } from '../bus/silences.js'
import { findSenders, type Sender } from '../bus/traffic.js'
import { type EngineView, refOf } from '../engine-view.js'
import { type Limits, limitsFor } from '../limits.js'
import type { CheckResult, Phase, PhaseKind, SignalRef, Span } from '../model.js'
import type { Profile } from '../profile.js'
import { median, NO_SAMPLES, overlap, periodOf, validOf, windowOf } from '../series.js'
import { type ActiveFault, activeFaults } from './finding.js'

/** The engine turns by its own power. */
export const RUNNING: readonly PhaseKind[] = ['run-up', 'idle-settle', 'warm-idle', 'idle', 'load']
/** The key is on and the engine stands. */
export const STANDING: readonly PhaseKind[] = ['key-on', 'preheat']

/** Voltage above which a system is one of 24 V: between the highest of a 12 V and the lowest of a 24 V one. Common practice. */
const TWENTY_FOUR = 18

/** One node's signals and silences, one engine's phases, the checks, and all active faults. */
export class FaultContext {
  readonly recording: Recording
  readonly engine: EngineView | undefined
  readonly phases: readonly Phase[]
  readonly checks: readonly CheckResult[]
  readonly profile: Profile
  /** Faults of this engine and of all nodes that are no engine. */
  readonly faults: readonly ActiveFault[]
  readonly senders: readonly Sender[]
  /** 1 for a 12 V system, 2 for a 24 V one. */
  readonly voltage: 1 | 2
  readonly limits: Limits
  #silences: ChannelSilences | undefined
  readonly #series = new Map<string, Samples>()

  constructor(
    recording: Recording,
    engine: EngineView | undefined,
    phases: readonly Phase[],
    checks: readonly CheckResult[],
    profile: Profile,
    isMine: (fault: ActiveFault) => boolean = () => true,
  ) {
    this.recording = recording
    this.engine = engine
    this.phases = phases
    this.checks = checks
    this.profile = profile
    this.faults = activeFaults(recording).filter(isMine)
    const channel = recording.channels.indexOf(this.channel)
    this.senders = findSenders(recording).filter((sender) => sender.channel === channel)
    const usual = median(this.volts.value)
    const system = profile.electrical.volts ?? (usual !== null && usual > TWENTY_FOUR ? 24 : 12)
    this.voltage = system === 24 ? 2 : 1
    this.limits = limitsFor(profile, system)
  }

  /** Name of the engine's interface; the first where there is no engine. */
  get channel(): string {
    return this.engine?.channel ?? this.recording.channels[0] ?? ''
  }

  /** Battery voltage as the engine controller sees it, or its key feed where it does not send the former. */
  get volts(): Samples {
    const battery = this.valid(168)
    return battery.time.length > 0 ? battery : this.valid(158)
  }

  get voltsRef(): SignalRef | undefined {
    return this.valid(168).time.length > 0 ? this.ref(168) : this.ref(158)
  }

  /** What was silent, and who restarted. */
  get silences(): ChannelSilences {
    this.#silences ??= findSilences(
      this.recording,
      this.senders,
      keyTimes(
        this.recording,
        this.channel,
        this.senders,
        this.engine ? [{ channel: this.channel, sa: this.engine.sa, phases: this.phases }] : [],
      ),
    )
    return this.#silences
  }

  /** The engine's samples of a signal, those without a value left out. */
  valid(spn: number): Samples {
    return this.engine?.valid(spn) ?? NO_SAMPLES
  }

  /** As above, NaN where there was no value. */
  samples(spn: number): Samples {
    return this.engine?.samples(spn) ?? NO_SAMPLES
  }

  /** Whether the engine sends a signal with values. */
  has(spn: number): boolean {
    return this.valid(spn).time.length > 0
  }

  signal(spn: number): Signal | undefined {
    return this.engine?.signal(spn)
  }

  ref(spn: number): SignalRef | undefined {
    return this.engine?.signalRef(spn)
  }

  /** The signal a fault is about: the engine's own for its faults, the node's own for those of another node. */
  signalOf({ channel, sa, spn }: Pick<ActiveFault, 'channel' | 'sa' | 'spn'>): Signal | undefined {
    if (this.engine !== undefined && sa === this.engine.sa && channel === this.engine.channel)
      return this.engine.signal(spn)
    return this.recording.signal({ channel, sa, spn })
  }

  refOf(signal: Signal): SignalRef {
    return refOf(this.recording, signal)
  }

  /** All samples of a signal, kept for the next time. */
  all(signal: Signal): Samples {
    const key = `${signal.stream.channel}/${signal.stream.sa}/${signal.stream.da}/${signal.group.pgn}/${signal.spn}/${signal.instance ?? ''}`
    const known = this.#series.get(key) ?? signal.samples()
    this.#series.set(key, known)
    return known
  }

  /** Phases of some kinds, in order of time. */
  during(kinds: readonly PhaseKind[]): Phase[] {
    return this.phases.filter(({ kind }) => kinds.includes(kind))
  }

  phaseAt(time: number): Phase | undefined {
    return this.phases.findLast(({ from, to }) => from <= time && time <= to)
  }

  /** Samples inside any of some spans, in columns of their own; the spans are in order of time. */
  inside(samples: Samples, spans: readonly Span[]): Samples {
    return joined(spans.map(({ from, to }) => windowOf(samples, from, to)))
  }

  /** Stretches in which the engine ran, phases that follow one another made one. */
  get running(): Span[] {
    return this.#merged(RUNNING)
  }

  /** Stretches in which the key was on and the engine stood. */
  get standing(): Span[] {
    return this.#merged(STANDING)
  }

  #merged(kinds: readonly PhaseKind[]): Span[] {
    const spans: { from: number; to: number }[] = []
    let before: Phase | undefined
    for (const phase of this.phases) {
      const { kind, from, to } = phase
      const last = spans.at(-1)
      if (kinds.includes(kind)) {
        if (last !== undefined && before !== undefined && kinds.includes(before.kind)) last.to = to
        else spans.push({ from, to })
      }
      before = phase
    }
    return spans
  }

  /** The usual time between the messages of a signal, in microseconds; 0 where it cannot be said. */
  period(spn: number): number {
    return periodOf(this.samples(spn).time) ?? 0
  }

  /** Whole recording. */
  get span(): Span {
    const { first = 0, last = 0 } = this.recording.clock
    return { from: first, to: last }
  }
}

function joined(parts: readonly Samples[]): Samples {
  if (parts.length === 1) return validOf(parts[0] as Samples)
  const length = parts.reduce((sum, { time }) => sum + time.length, 0)
  const out = { time: new Float64Array(length), value: new Float64Array(length) }
  let at = 0
  for (const { time, value } of parts) {
    out.time.set(time, at)
    out.value.set(value, at)
    at += time.length
  }
  return validOf(out)
}

/** Whether two spans touch. */
export function touches(a: Span, b: Span): boolean {
  return overlap(a, b) !== undefined
}
