/**
 * When the bus had to be awake: between key-on and key-off of each key cycle. A node that sleeps with
 * the key off is not missing.
 */
import type { Recording } from '@firstcrank/decoder'
import type { Phase, PhaseKind, Span } from '../model.js'
import { SECOND } from '../series.js'
import { type Sender, silencesOf } from './traffic.js'

/** The key is off, or has just been turned. */
const ENDING: ReadonlySet<PhaseKind> = new Set(['shutdown', 'after-run'])
/** The crankshaft turns: the key is on for certain. */
const TURNING: ReadonlySet<PhaseKind> = new Set(['cranking', 'run-up', 'idle-settle', 'idle', 'warm-idle', 'load'])
/** Without an engine to tell of the key, a bus silent for so long was asleep, in microseconds. Source: common practice. */
const ASLEEP = 30 * SECOND

/** An engine and what it was doing. */
export interface EnginePhases {
  readonly channel: string
  readonly sa: number
  readonly phases: readonly Phase[]
}

/** When the key was on. */
export interface KeyTimes {
  /** The stretches in which nodes had to be awake, in order of time. */
  readonly awake: readonly Span[]
  /** Those in which an engine turned. With it at rest, the key may be off for a moment unseen. */
  readonly turning: readonly Span[]
}

/**
 * When the nodes of a channel had to be awake. Engines on the channel decide; where there is none, those
 * of other channels; without any, the traffic.
 */
export function keyTimes(
  recording: Recording,
  channel: string,
  senders: readonly Sender[],
  engines: readonly EnginePhases[],
): KeyTimes {
  const here = engines.filter((engine) => engine.channel === channel)
  const spans = (here.length > 0 ? here : engines).flatMap(({ phases }) => cyclesOf(phases))
  const turning = engines.flatMap(({ phases }) => phases.filter(({ kind }) => TURNING.has(kind)))
  return { awake: spans.length > 0 ? merged(spans) : byTraffic(recording, senders), turning: merged(turning) }
}

/** From key-on to the beginning of each end. An unknown stretch counts only inside. */
function cyclesOf(phases: readonly Phase[]): Span[] {
  const spans: { from: number; to: number }[] = []
  let open: { from: number; to: number } | undefined
  for (const { kind, from, to } of phases) {
    if (kind === 'unknown') continue
    if (ENDING.has(kind)) open = undefined
    else if (open !== undefined) open.to = to
    else {
      open = { from, to }
      spans.push(open)
    }
  }
  return spans
}

function byTraffic({ clock }: Recording, senders: readonly Sender[]): Span[] {
  const { first, last } = clock
  const pulse = senders.flatMap(({ pulses }) => pulses).sort((a, b) => a.period - b.period)[0]
  if (first === undefined || last === undefined || pulse === undefined) return []
  const streams = senders.flatMap((sender) => sender.streams)
  const sleeps = silencesOf(streams, pulse).filter(({ from, to }) => to - from > ASLEEP)
  const edges = [first, ...sleeps.flatMap(({ from, to }) => [from, to]), last]
  return edges.flatMap((from, i) => (i % 2 === 0 ? [{ from, to: edges[i + 1] as number }] : []))
}

/** Spans put in order, those that touch made one. */
function merged(spans: readonly Span[]): Span[] {
  const all: { from: number; to: number }[] = []
  for (const { from, to } of [...spans].sort((a, b) => a.from - b.from)) {
    const last = all.at(-1)
    if (last !== undefined && from <= last.to) last.to = Math.max(last.to, to)
    else all.push({ from, to })
  }
  return all
}

/** The awake stretch that a span lies in; undefined where it lies in none. */
export function awakeDuring(awake: readonly Span[], { from, to }: Span): Span | undefined {
  return awake.find((span) => span.from <= from && to <= span.to)
}
