/**
 * What the phases are told from: at each instant of the engine's speed messages, what every other
 * signal said then. Where speed is not sent, the instants are those of the next best message.
 */
import type { EngineView } from './engine-view.js'
import type { Phase, PhaseKind, Span } from './model.js'
import { firstAt, SECOND, valuesAt, windowOf } from './series.js'

/** SPNs the phases rest on. */
export const SPN = {
  speed: 190,
  starterMode: 1675,
  operatingState: 3543,
  lamp: 1081,
  battery: 168,
  key: 158,
  pedal: 91,
  load: 92,
  vehicleSpeed: 84,
  coolant: 110,
  idleSpeed: 188,
  desiredSpeed: 515,
} as const

/** Signals that may stand in for speed as the clock of the timeline, best first. */
const CLOCKS: readonly number[] = [
  SPN.speed,
  SPN.starterMode,
  SPN.load,
  SPN.operatingState,
  SPN.lamp,
  SPN.battery,
  100,
  110,
]

/** Silence of the clock that breaks a timeline: so many periods, and never less than so long. Common practice. */
const BREAK_PERIODS = 8
const BREAK_LEAST = 1.5 * SECOND

/** Columns over the instants of one unbroken stretch; NaN where a signal said nothing. */
export interface Timeline extends Span {
  readonly time: Float64Array
  readonly speed: Float64Array
  readonly starterMode: Float64Array
  readonly operatingState: Float64Array
  readonly lamp: Float64Array
  readonly key: Float64Array
  readonly pedal: Float64Array
  readonly load: Float64Array
  readonly vehicleSpeed: Float64Array
  /** A new key cycle begins with it. */
  readonly newCycle: boolean
}

/** The stretches without a silence of the engine, in order of time. */
export function timelinesOf(engine: EngineView): Timeline[] {
  const clock = CLOCKS.find((spn) => engine.has(spn))
  if (clock === undefined) return []
  const { time } = engine.samples(clock)
  const silence = Math.max(BREAK_LEAST, BREAK_PERIODS * (engine.period(clock) ?? 0))
  const timelines: Timeline[] = []
  let first = 0
  for (let i = 1; i <= time.length; i++) {
    if (i < time.length && (time[i] as number) - (time[i - 1] as number) <= silence) continue
    timelines.push(columnsOf(engine, time.slice(first, i), timelines.at(-1)))
    first = i
  }
  return timelines
}

function columnsOf(engine: EngineView, time: Float64Array, before: Timeline | undefined): Timeline {
  const from = time[0] as number
  const to = time[time.length - 1] as number
  const held = (spn: number): Float64Array => {
    // A value from before the silence is in force no longer.
    const samples = windowOf(engine.samples(spn), from, to)
    return valuesAt(samples, time, Math.max(engine.hold(spn), 0.1 * SECOND))
  }
  return {
    from,
    to,
    time,
    speed: held(SPN.speed),
    starterMode: held(SPN.starterMode),
    operatingState: held(SPN.operatingState),
    lamp: held(SPN.lamp),
    key: held(SPN.key),
    pedal: held(SPN.pedal),
    load: held(SPN.load),
    vehicleSpeed: held(SPN.vehicleSpeed),
    newCycle: before === undefined || isNewCycle(engine, before.to, from),
  }
}

/** Silence of everybody that cannot be a recorder's hiccup: nobody knows what was switched meanwhile. */
const LONG_HOLE = 120 * SECOND
/** A claim this soon after a silence is a controller that has just been switched on. */
const CLAIM_AFTER = 2 * SECOND

/**
 * Whether the key was off in a silence. The controller claims its address when it is switched on; and
 * while it alone was silent, the key was off for so long that it had gone to sleep.
 */
function isNewCycle(engine: EngineView, from: number, to: number): boolean {
  const { recording, channel, sa } = engine
  const claimed = recording.events.some(
    (event) =>
      event.kind === 'node' &&
      (event.code === 'claimed' || event.code === 'reclaimed') &&
      event.address === sa &&
      recording.channels[event.channel] === channel &&
      event.time > from &&
      event.time <= to + CLAIM_AFTER,
  )
  const hole = recording.clock.holes.kept.find((gap) => gap.from < to && gap.to > from)
  if (hole === undefined) return claimed || to - from > 5 * SECOND
  return claimed || to - from > LONG_HOLE
}

/** A run of instants in which the engine did one thing: from `first` up to, not including, `end`. */
export interface Segment {
  readonly first: number
  readonly end: number
  readonly kind: PhaseKind
  readonly basis: Phase['basis']
  readonly why: string
  /** Of cranking: whether the engine started from it. */
  readonly started?: boolean
}

/** Index of the first instant not before a time; the length where there is none. */
export function indexAt({ time }: Timeline, at: number): number {
  return firstAt(time, at)
}

/** Runs of instants for which a condition holds; interruptions shorter than `bridge` microseconds do not end one. */
export function runsOf(
  { time }: Timeline,
  first: number,
  end: number,
  holds: (index: number) => boolean,
  bridge: number,
): { first: number; end: number }[] {
  const runs: { first: number; end: number }[] = []
  for (let i = first; i < end; i++) {
    if (!holds(i)) continue
    const last = runs.at(-1)
    if (last !== undefined && (i === last.end || (time[i] as number) - (time[last.end] as number) < bridge))
      last.end = i + 1
    else runs.push({ first: i, end: i + 1 })
  }
  return runs
}
