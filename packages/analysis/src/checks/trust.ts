/**
 * Which values of a signal are those of the thing it measures. While the controller itself reports a
 * broken circuit or a missing message, what is sent is the circuit's value or a substitute: no check of
 * the engine is made with it.
 */
import type { Episode, Samples, Signal } from '@firstcrank/decoder'
import type { EngineView } from '../engine-view.js'
import type { SignalRef, Span } from '../model.js'
import { SECOND, touchesAny } from '../series.js'

/** Circuit high, low, open, shorted; no update; device bad; network value invalid. */
const DISTRUSTED_FMIS: ReadonlySet<number> = new Set([3, 4, 5, 6, 9, 12, 19])
/** A fault is listed a moment after its value has gone wrong, and forgotten a moment after. Our own choice. */
const BEFORE = 3 * SECOND
const AFTER = 2 * SECOND

/** Faults of a signal's circuit that its controller reported as active. */
export function circuitFaults(engine: EngineView, spn: number): Episode[] {
  const ref = engine.signalRef(spn)
  if (ref === undefined) return []
  return engine.recording.episodes.filter(
    (episode) =>
      episode.spn === spn &&
      episode.state === 'active' &&
      DISTRUSTED_FMIS.has(episode.fmi) &&
      episode.sa === ref.sa &&
      engine.recording.channels[episode.channel] === ref.channel,
  )
}

/** An engine whose valid samples leave out those that its own controller distrusts. */
export class TrustedView implements EngineView {
  readonly recording: EngineView['recording']
  readonly channel: string
  readonly sa: number
  readonly basis: EngineView['basis']
  readonly alone: boolean
  readonly #engine: EngineView
  readonly #valid = new Map<number, Samples>()

  constructor(engine: EngineView) {
    this.#engine = engine
    this.recording = engine.recording
    this.channel = engine.channel
    this.sa = engine.sa
    this.basis = engine.basis
    this.alone = engine.alone
  }

  signal(spn: number): Signal | undefined {
    return this.#engine.signal(spn)
  }

  signalRef(spn: number): SignalRef | undefined {
    return this.#engine.signalRef(spn)
  }

  has(spn: number): boolean {
    return this.valid(spn).time.length > 0
  }

  samples(spn: number): Samples {
    return this.#engine.samples(spn)
  }

  valid(spn: number): Samples {
    const known = this.#valid.get(spn)
    if (known !== undefined) return known
    const faults = circuitFaults(this.#engine, spn)
    const all = this.#engine.valid(spn)
    const valid = faults.length === 0 ? all : outside(all, faults.map(distrustedSpan))
    this.#valid.set(spn, valid)
    return valid
  }

  period(spn: number): number | null {
    return this.#engine.period(spn)
  }

  hold(spn: number): number {
    return this.#engine.hold(spn)
  }
}

function distrustedSpan({ firstSeen, lastSeen, clearedAt }: Episode): Span {
  const to = clearedAt === null ? Number.POSITIVE_INFINITY : Math.max(lastSeen, clearedAt) + AFTER
  return { from: firstSeen - BEFORE, to }
}

function outside({ time, value }: Samples, spans: readonly Span[]): Samples {
  const isDistrusted = touchesAny(spans)
  const kept = Uint8Array.from(time, (at) => (isDistrusted(at, at) ? 0 : 1))
  const isKept = (_: number, i: number): boolean => kept[i] === 1
  return { time: time.filter(isKept), value: value.filter(isKept) }
}
