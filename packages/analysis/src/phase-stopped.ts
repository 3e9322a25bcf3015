/** An engine that does not run: key on, preheating, attempts to start, the fall to a stop, after-run. */
import type { EngineView } from './engine-view.js'
import { indexAt, runsOf, type Segment, SPN, type Timeline } from './phase-timeline.js'
import { firstTime, median, SECOND, stretches, windowOf } from './series.js'

/** rpm below which the crankshaft stands. Our own choice, below what any starter turns. */
export const STANDS = 30
/** rpm from which it is turned by something. */
const TURNS = 60
/** A standstill this long ends an attempt. */
const ATTEMPT_BRIDGE = 0.5 * SECOND
const ATTEMPT_LEAST = 0.3 * SECOND
/** V that a starter pulls down at least, and how close to the cranking a slow voltage message may show it. */
const STARTER_SAG = 1
const SAG_NEAR = 1.5 * SECOND
/** V and time of a load that looks like an intake heater. */
const HEATER_SAG = 0.5
const HEATER_LEAST = 3 * SECOND
/** How late the message of a key that was switched off may be. */
const KEY_LATE = 1.5 * SECOND
/** V at the key switch below which it is off. */
export const KEY_OFF = 5

/** Whether the controller says, anywhere in the recording, that the starter is at work. */
function reportsStarter(engine: EngineView): boolean {
  return engine.valid(SPN.starterMode).value.some((mode) => mode === 1 || mode === 2)
}

/** Whether the controller says, anywhere in the recording, that it waits for the preheating. */
export function reportsPreheat(engine: EngineView): boolean {
  return engine.valid(SPN.starterMode).value.some((mode) => mode === 5)
}

/** Attempts to start within a stretch; the last one has led to the run that follows, if `runs`. */
export function crankAttempts(
  engine: EngineView,
  timeline: Timeline,
  first: number,
  end: number,
  runs: boolean,
): Segment[] {
  const { speed, starterMode, operatingState, time } = timeline
  const reported = reportsStarter(engine)
  const isActive = (i: number): boolean =>
    starterMode[i] === 1 || starterMode[i] === 2 || (!reported && operatingState[i] === 2)
  // What turns without the starter is an engine that coasts down after an attempt, or one pushed from outside.
  const isTurning = (i: number): boolean => (speed[i] as number) >= TURNS
  const found = runsOf(timeline, first, end, (i) => isActive(i) || isTurning(i), ATTEMPT_BRIDGE)
  const attempts = found.flatMap((run): Segment[] => {
    const to = time[Math.min(run.end, time.length - 1)] as number
    const from = time[run.first] as number
    const atEnd = runs && to >= (time[end] as number) - ATTEMPT_BRIDGE
    const segment = { first: run.first, end: atEnd ? end : run.end, kind: 'cranking', started: atEnd } as const
    const active = hasAny(run.first, run.end, isActive)
    if (active) return [{ ...segment, basis: 'reported', why: 'The controller reports the starter at work.' }]
    if (to - from < ATTEMPT_LEAST) return []
    const text = 'Speed between standstill and idle'
    return hasSag(engine, from, to)
      ? [{ ...segment, basis: 'inferred', why: `${text}, and the battery pulled down.` }]
      : [{ ...segment, basis: 'probable', why: `${text}; no sag of the battery was caught by its slow messages.` }]
  })
  if (runs && attempts.at(-1)?.started !== true) attempts.push(...hiddenAttempt(engine, timeline, first, end))
  return attempts
}

function hasAny(first: number, end: number, holds: (index: number) => boolean): boolean {
  for (let i = first; i < end; i++) if (holds(i)) return true
  return false
}

/** Whether the battery fell by a volt around a time, against what it was before. */
function hasSag(engine: EngineView, from: number, to: number): boolean {
  const battery = engine.valid(SPN.battery)
  const before = median(windowOf(battery, from - 6 * SECOND, from - SAG_NEAR).value)
  const lowest = Math.min(...windowOf(battery, from - SAG_NEAR, to + SAG_NEAR).value)
  return before !== null && before - lowest >= STARTER_SAG
}

/** A controller may send no speed until it knows where the crankshaft is: then only the battery shows the starter. */
function hiddenAttempt(engine: EngineView, timeline: Timeline, first: number, end: number): Segment[] {
  const { time } = timeline
  const to = time[end] as number
  const earliest = Math.max(time[first] as number, to - 40 * SECOND)
  const battery = windowOf(engine.valid(SPN.battery), earliest, to)
  const rest = median(windowOf(battery, earliest, to - SECOND).value)
  if (rest === null) return []
  const low = stretches(battery, (volts) => volts <= rest - STARTER_SAG, { bridge: SAG_NEAR }).at(-1)
  if (low === undefined || to - low.to > 2 * SAG_NEAR) return []
  const why = 'Only the battery shows the starter: it was pulled down just before the first speed was sent.'
  return [{ first: indexAt(timeline, low.from), end, kind: 'cranking', started: true, basis: 'probable', why }]
}

/** The fall of a running engine: from its last steady speed to its standstill. */
export function labelFall(engine: EngineView, timeline: Timeline, first: number, end: number): Segment {
  const { time, operatingState } = timeline
  const from = time[first] as number
  const to = time[Math.min(end, time.length - 1)] as number
  const shutdown = { first, end, kind: 'shutdown' } as const
  if (hasAny(first, Math.min(operatingState.length, end + 1), (i) => operatingState[i] === 6)) {
    return { ...shutdown, basis: 'reported', why: 'The controller reports that it is stopping the engine.' }
  }
  const key = engine.valid(SPN.key)
  const around = windowOf(key, from - 3 * SECOND, to + 2 * SECOND)
  const off = firstTime(around, (volts) => volts < KEY_OFF)
  // The key is told slowly: within one of its messages nobody can say which came first.
  const period = Math.max(SECOND, engine.period(SPN.key) ?? 0)
  if (off !== null && off <= from - period)
    return { ...shutdown, basis: 'inferred', why: 'The key was off before the speed fell.' }
  if (off !== null) {
    const why = 'Key and speed went within moments of each other; which came first cannot be said at this message rate.'
    return { ...shutdown, basis: 'probable', why }
  }
  const after = windowOf(key, to + 2 * SECOND, to + 10 * SECOND).value[0]
  if (after !== undefined && after >= KEY_OFF) {
    return { first, end, kind: 'stall', basis: 'inferred', why: 'The engine stopped while the key stayed on.' }
  }
  const why = engine.has(SPN.key)
    ? 'The recording of the key ends too soon to say whether somebody switched it off.'
    : 'Key voltage is not on this bus: a stop by the key and a stall look the same.'
  return { ...shutdown, basis: 'probable', why }
}

/** What a standing engine is ready for. `afterRun`: it ran before, in this unbroken stretch. */
export function labelStanding(
  engine: EngineView,
  timeline: Timeline,
  first: number,
  end: number,
  afterRun: 'shutdown' | 'stall' | undefined,
): Segment[] {
  const { speed, starterMode, operatingState, lamp, key } = timeline
  const byStarter = reportsPreheat(engine)
  const tellsPreheat = byStarter || engine.has(SPN.lamp)
  const heaterLike = tellsPreheat ? [] : heaterLoads(engine, timeline, first, end)
  const label = (i: number): Omit<Segment, 'first' | 'end'> => {
    if (starterMode[i] === 5) return PREHEAT_BY_STARTER
    // The lamp's message is slow; where the starter mode tells of preheating too, that is sharper.
    if (lamp[i] === 1 && !(byStarter && !Number.isNaN(starterMode[i] as number))) return PREHEAT_BY_LAMP
    if (heaterLike.some((run) => i >= run.first && i < run.end)) return PREHEAT_BY_VOLTAGE
    if (operatingState[i] === 7) return AFTER_RUN_REPORTED
    if ((key[i] as number) < KEY_OFF) return AFTER_RUN_BY_KEY
    if (Number.isNaN(key[i] as number) && afterRun === 'shutdown') return AFTER_RUN_PROBABLE
    if (Number.isNaN(speed[i] as number) && Number.isNaN(operatingState[i] as number)) return UNKNOWN_SPEED
    return KEY_ON
  }
  const segments: Segment[] = []
  for (let i = first; i < end; i++) {
    const now = label(i)
    const last = segments.at(-1)
    if (last !== undefined && last.kind === now.kind && last.basis === now.basis) {
      segments[segments.length - 1] = { ...last, end: i + 1 }
    } else segments.push({ ...now, first: i, end: i + 1 })
  }
  return withoutFlicker(timeline, segments)
}

const PREHEAT_BY_LAMP = { kind: 'preheat', basis: 'reported', why: 'The wait-to-start lamp is on.' } as const
const PREHEAT_BY_STARTER = { kind: 'preheat', basis: 'reported', why: 'The controller reports preheating.' } as const
const PREHEAT_BY_VOLTAGE = {
  kind: 'preheat',
  basis: 'probable',
  why: 'A load that looks like an intake heater pulls the battery down; no lamp is on this bus.',
} as const
const AFTER_RUN_REPORTED = {
  kind: 'after-run',
  basis: 'reported',
  why: 'The controller reports its after-run.',
} as const
const AFTER_RUN_BY_KEY = {
  kind: 'after-run',
  basis: 'inferred',
  why: 'The key is off and the controller still sends.',
} as const
const AFTER_RUN_PROBABLE = {
  kind: 'after-run',
  basis: 'probable',
  why: 'The engine was stopped and the controller still sends; key voltage is not on this bus.',
} as const
const UNKNOWN_SPEED = {
  kind: 'unknown',
  basis: 'inferred',
  why: 'The controller sends, but no engine speed: whether the engine runs is not known.',
} as const
const KEY_ON = { kind: 'key-on', basis: 'inferred', why: 'The controller sends and the crankshaft stands.' } as const

/** Loads of half a volt for three seconds or more that end again, engine standing. */
function heaterLoads(
  engine: EngineView,
  timeline: Timeline,
  first: number,
  end: number,
): { first: number; end: number }[] {
  const from = timeline.time[first] as number
  const to = timeline.time[end - 1] as number
  const battery = windowOf(engine.valid(SPN.battery), from, to)
  const rest = battery.value.length === 0 ? 0 : Math.max(...battery.value.slice(0, 1000))
  return stretches(battery, (volts) => volts <= rest - HEATER_SAG, { atLeast: HEATER_LEAST })
    .filter((stretch) => stretch.to < to - SECOND)
    .map((stretch) => ({ first: indexAt(timeline, stretch.from), end: indexAt(timeline, stretch.to) }))
}

/** Two neighbours of one kind are one; the better basis stays. */
function joined(segments: readonly Segment[]): Segment[] {
  const kept: Segment[] = []
  for (const segment of segments) {
    const last = kept.at(-1)
    if (last?.kind !== segment.kind) kept.push(segment)
    else
      kept[kept.length - 1] = {
        ...(segment.basis === 'reported' ? segment : last),
        first: last.first,
        end: segment.end,
      }
  }
  return kept
}

/**
 * What lasts less than half a second between two stretches of one kind is part of them; and a moment
 * of key-on before an after-run, after a stop or an attempt or where the recording begins, is only the
 * message of the key being late.
 */
function withoutFlicker({ time }: Timeline, segments: readonly Segment[]): Segment[] {
  const lasts = ({ first, end }: Segment): number => (time[end - 1] as number) - (time[first] as number)
  const [one, two] = segments
  const isLate = one?.kind === 'key-on' && two?.kind === 'after-run' && lasts(one) < KEY_LATE
  const [late, ...rest] = segments
  const all =
    isLate && late !== undefined ? [{ ...(two as Segment), first: late.first, end: late.end }, ...rest] : segments
  const kept: Segment[] = []
  for (const segment of joined(all)) {
    const last = kept.at(-1)
    const before = kept.at(-2)
    if (last !== undefined && before?.kind === segment.kind && lasts(last) < ATTEMPT_BRIDGE) {
      kept.length -= 2
      kept.push({ ...before, end: segment.end })
    } else kept.push(segment)
  }
  return kept
}
