/** A running engine: run-up, idle settling, idle, warm idle, load. */
import type { EngineView } from './engine-view.js'
import type { IdleTarget } from './idle-target.js'
import { indexAt, type Segment, SPN, type Timeline } from './phase-timeline.js'
import { MINUTE, SECOND, valueAt } from './series.js'

/** Limits of the running phases. Our own choice; hysteresis so that a value on the edge does not flicker. */
const SETTLED_FOR = 3 * SECOND
const SETTLE_MOST = 15 * SECOND
const STABLE_FOR = MINUTE
const BAND = 0.15
/** A fast idle the controller does not report may lie so far above the warm one. */
const COLD_BAND = 0.5
const PEDAL_LOAD = 5
const PEDAL_REST = 2
const LOAD_ENTER = 20
const LOAD_LEAVE = 12
const ABOVE_ENTER = 150
const ABOVE_LEAVE = 80
const MOVING_ENTER = 2
const MOVING_LEAVE = 1
const ENTER_FOR = SECOND
const LEAVE_FOR = 2 * SECOND
const WARM = 75
const WARM_LEAVE = 70
/** °C the coolant may move in a minute of warm idle; the resolution of its signal is 1 °C. */
const WARM_DRIFT = 1

/** The segments of a running stretch; `started` where its beginning was seen. */
export function labelRunning(
  engine: EngineView,
  timeline: Timeline,
  first: number,
  end: number,
  started: boolean,
  target: IdleTarget | undefined,
): Segment[] {
  if (target === undefined) {
    const why = 'The engine runs; what its idle speed is cannot be told, so idle and load cannot be told apart.'
    return [{ first, end, kind: 'unknown', basis: 'inferred', why }]
  }
  const segments: Segment[] = []
  let from = first
  if (started) {
    from = settledAt(timeline, first, end, target)
    segments.push({
      first,
      end: from,
      kind: 'run-up',
      basis: 'inferred',
      why: 'The speed has left cranking speed for good.',
    })
  }
  const parts = idleAndLoad(timeline, from, end, target)
  parts.forEach((part, index) => {
    if (part.kind === 'load') segments.push(part)
    else segments.push(...idleParts(engine, timeline, part, started && index === 0))
  })
  return segments.filter((segment) => segment.end > segment.first)
}

function isNear(speed: number, wanted: number, target: IdleTarget): boolean {
  const above = target.basis === 'reported' ? BAND : COLD_BAND
  return speed >= wanted * (1 - BAND) && speed <= wanted * (1 + above)
}

/** The first instant from which speed stays near the target for three seconds, or the pedal is used. */
function settledAt(timeline: Timeline, first: number, end: number, target: IdleTarget): number {
  const { time, speed, pedal } = timeline
  const latest = indexAt(timeline, (time[first] as number) + SETTLE_MOST)
  let since = -1
  for (let i = first; i < Math.min(end, latest); i++) {
    const at = time[i] as number
    if ((pedal[i] as number) >= PEDAL_LOAD) return since < 0 ? i : since
    if (!isNear(speed[i] as number, target.at(at), target)) since = -1
    else if (since < 0) since = i
    if (since >= 0 && at - (time[since] as number) >= SETTLED_FOR) return since
  }
  return since >= 0 ? since : Math.min(end, latest)
}

/** Idle and load in turn, each change dated back to where its condition began. */
function idleAndLoad(timeline: Timeline, first: number, end: number, target: IdleTarget): Segment[] {
  const { time, speed, pedal, load, vehicleSpeed } = timeline
  const wanted = (i: number): number => target.at(time[i] as number)
  const top = (i: number): number => {
    const idle = wanted(i)
    return target.basis === 'reported' ? idle : idle * (1 + COLD_BAND / 2)
  }
  const isLoad = (i: number): boolean =>
    (pedal[i] as number) >= PEDAL_LOAD ||
    (vehicleSpeed[i] as number) >= MOVING_ENTER ||
    (speed[i] as number) > top(i) + ABOVE_ENTER ||
    ((load[i] as number) >= LOAD_ENTER && (speed[i] as number) > top(i) + ABOVE_LEAVE)
  const isIdle = (i: number): boolean =>
    !((pedal[i] as number) >= PEDAL_REST) &&
    !((vehicleSpeed[i] as number) >= MOVING_LEAVE) &&
    !((speed[i] as number) > top(i) + ABOVE_LEAVE) &&
    !((load[i] as number) >= LOAD_LEAVE && (speed[i] as number) > top(i) + ABOVE_LEAVE / 2)
  const segments: Segment[] = []
  let loaded = first < end && isLoad(first)
  let start = first
  let since = -1
  const close = (at: number): void => {
    if (at > start) segments.push(loaded ? loadSegment(start, at) : idleSegment(start, at))
    start = at
    loaded = !loaded
    since = -1
  }
  for (let i = first; i < end; i++) {
    const changes = loaded ? isIdle(i) : isLoad(i)
    if (!changes) since = -1
    else if (since < 0) since = i
    if (since >= 0 && (time[i] as number) - (time[since] as number) >= (loaded ? LEAVE_FOR : ENTER_FOR)) close(since)
  }
  if (end > start) segments.push(loaded ? loadSegment(start, end) : idleSegment(start, end))
  return segments
}

function loadSegment(first: number, end: number): Segment {
  return {
    first,
    end,
    kind: 'load',
    basis: 'inferred',
    why: 'The pedal is down, the vehicle moves, or the speed is above idle.',
  }
}

function idleSegment(first: number, end: number): Segment {
  return {
    first,
    end,
    kind: 'idle',
    basis: 'inferred',
    why: 'Pedal released, vehicle standing, speed near its idle target.',
  }
}

/** Settling first where the engine has just started, then idle, warm where the coolant says so. */
function idleParts(engine: EngineView, timeline: Timeline, idle: Segment, settles: boolean): Segment[] {
  const { time } = timeline
  const stable = settles ? Math.min(idle.end, indexAt(timeline, (time[idle.first] as number) + STABLE_FOR)) : idle.first
  const segments: Segment[] = []
  if (stable > idle.first) {
    const why = 'The first minute at idle after the start.'
    segments.push({ first: idle.first, end: stable, kind: 'idle-settle', basis: 'inferred', why })
  }
  let start = stable
  for (const warm of warmRuns(engine, timeline, stable, idle.end)) {
    segments.push(idleSegment(start, warm.first))
    const why = 'Idle with the coolant at 75 °C or more and steady for a minute.'
    segments.push({ ...warm, kind: 'warm-idle', basis: 'inferred', why })
    start = warm.end
  }
  const text = engine.has(SPN.coolant) ? '' : ' Coolant temperature is not on this bus, so warm idle cannot be told.'
  const rest = idleSegment(start, idle.end)
  segments.push({ ...rest, why: rest.why + text })
  return segments
}

/** Stretches of at least a minute with warm and steady coolant. */
function warmRuns(
  engine: EngineView,
  timeline: Timeline,
  first: number,
  end: number,
): { first: number; end: number }[] {
  const coolant = engine.valid(SPN.coolant)
  const { time } = timeline
  if (coolant.time.length === 0 || end <= first) return []
  const last = time[end - 1] as number
  const hold = engine.hold(SPN.coolant)
  const runs: { first: number; end: number }[] = []
  let from: number | undefined
  let earliest = time[first] as number
  const close = (to: number): void => {
    if (from !== undefined && to - from >= STABLE_FOR)
      runs.push({ first: indexAt(timeline, from), end: indexAt(timeline, to) })
    from = undefined
  }
  for (let at = earliest; at <= last; at += SECOND) {
    const now = valueAt(coolant, at, hold)
    const before = valueAt(coolant, Math.max(earliest, at - MINUTE), hold)
    const isWarm = now !== null && now >= (from === undefined ? WARM : WARM_LEAVE)
    const isSteady = now !== null && before !== null && Math.abs(now - before) <= WARM_DRIFT
    if (isWarm && isSteady) from ??= at
    else {
      close(at)
      if (!isSteady) earliest = at
    }
  }
  if (from !== undefined && last - from >= STABLE_FOR) runs.push({ first: indexAt(timeline, from), end })
  return runs
}
