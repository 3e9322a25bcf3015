/**
 * What the engine was doing, from the first message to the last: the controller's own starter mode and
 * operating state where it sends them, else speed, voltage, pedal and load with hysteresis.
 *
 * A boundary is as sharp as the messages it rests on and no sharper. What nobody can know is `unknown`.
 */
import type { EngineView } from './engine-view.js'
import { findIdleTarget, type IdleTarget } from './idle-target.js'
import type { Phase, PhaseKind } from './model.js'
import { labelRunning } from './phase-running.js'
import { crankAttempts, labelFall, labelStanding, reportsPreheat, STANDS } from './phase-stopped.js'
import { runsOf, type Segment, SPN, type Timeline, timelinesOf } from './phase-timeline.js'
import { NO_PROFILE, type Profile } from './profile.js'
import { median, quantile, SECOND } from './series.js'

/** rpm from which it runs by itself. Our own choice: above any starter, below any idle. */
const RUNS = 450
const RUNS_LEAST = 0.5 * SECOND
/** Starter mode: finished, the engine runs. */
const STARTER_FINISHED = 3
/** Speed that is away for less than this was lost by the sensor, not by the engine. */
const DROPOUT = SECOND
/** So long an engine may turn below {@link RUNS} and still come back by itself. Our own choice. */
const NEARLY_DEAD = 5 * SECOND
/** rpm above cranking speed at which it has fired. */
const FIRED_ABOVE = 100
/** The starter needs so long to bring the crankshaft up to cranking speed. */
const SETTLING = 0.3 * SECOND
/** Share of its speed below which a running engine is falling. */
const FALLING = 0.92
/** Silence at the end that is worth a phase of its own. */
const SILENT = 5 * SECOND

/** The phases of one engine, in order of time, without overlap. Empty where it never sends anything of use. */
export function findPhases(engine: EngineView, profile: Profile = NO_PROFILE): Phase[] {
  const timelines = timelinesOf(engine)
  const target = findIdleTarget(engine, profile)
  const phases: Phase[] = []
  const silent = (from: number, to: number, cycle: number, why: string): void => {
    phases.push({ kind: 'unknown', basis: 'inferred', from, to, resolution: to - from, cycle, why })
  }
  let cycle = 0
  const { first, last } = engine.recording.clock
  timelines.forEach((timeline, index) => {
    const before = timelines[index - 1]
    if (before !== undefined) silent(before.to, timeline.from, cycle, silenceWords(engine, before.to, timeline.from))
    else if (first !== undefined && timeline.from - first > SILENT) {
      silent(first, timeline.from, 1, 'The engine controller has not been heard yet.')
    }
    const segments = segmentsOf(engine, timeline, target)
    // A controller that had done its after-run before the silence had been switched off.
    const slept = phases.at(-2)?.kind === 'after-run' && timeline.from - (before?.to ?? 0) > SILENT
    if (timeline.newCycle || slept) cycle++
    cycle = addPhases(phases, engine, timeline, segments, cycle)
  })
  const end = timelines.at(-1)?.to
  if (end !== undefined && last !== undefined && last - end > SILENT) {
    silent(
      end,
      last,
      cycle,
      'The engine controller is silent while others still send: it sleeps, or has lost its supply.',
    )
  }
  return phases
}

function silenceWords(engine: EngineView, from: number, to: number): string {
  const isHole = engine.recording.clock.holes.kept.some((hole) => hole.from < to && hole.to > from)
  return isHole
    ? 'Nobody was heard: the recorder stopped, or everything was switched off.'
    : 'The engine controller was silent while others sent: it slept, or had lost its supply.'
}

function segmentsOf(engine: EngineView, timeline: Timeline, target: IdleTarget | undefined): Segment[] {
  const { speed, operatingState, starterMode, time } = timeline
  const count = time.length
  const isRunning = (i: number): boolean => {
    const rpm = speed[i] as number
    if (!Number.isNaN(rpm)) return rpm >= RUNS
    return starterMode[i] === 4 || [3, 4, 5].includes(operatingState[i] as number)
  }
  // An engine that catches and dies at once has run if its controller saw it: it let the starter go.
  const caught = (run: { readonly first: number; readonly end: number }): boolean =>
    starterMode.subarray(run.first, run.end).includes(STARTER_FINISHED)
  const runs = survived(timeline, runsOf(timeline, 0, count, isRunning, DROPOUT)).filter(
    (run) =>
      (time[run.end - 1] as number) - (time[run.first] as number) >= RUNS_LEAST || run.first === 0 || caught(run),
  )
  const segments: Segment[] = []
  let cursor = 0
  let stopped: 'shutdown' | 'stall' | undefined
  for (const run of runs) {
    const seen = run.first > cursor || cursor > 0
    const attempts = seen ? crankAttempts(engine, timeline, cursor, run.first, true) : []
    const last = attempts.at(-1)
    const fired = last?.started ? firedAt(timeline, last.first, run.first) : run.first
    const standing = withAttempts(engine, timeline, cursor, fired, attempts, stopped)
    segments.push(...standing)
    const falls = fallsAt(timeline, run.first, run.end)
    const stands = standsAt(timeline, run.end)
    segments.push(...labelRunning(engine, timeline, fired, falls, seen, target))
    stopped = undefined
    if (stands > falls) {
      const fall = labelFall(engine, timeline, falls, stands)
      segments.push(fall)
      stopped = fall.kind === 'stall' ? 'stall' : 'shutdown'
    }
    cursor = stands
  }
  const attempts = crankAttempts(engine, timeline, cursor, count, false)
  segments.push(...withAttempts(engine, timeline, cursor, count, attempts, stopped))
  return segments
}

/** An engine that nearly dies and comes back by itself has not stopped: runs with nothing but turning between them are one. */
function survived(
  { speed, starterMode, time }: Timeline,
  runs: readonly { readonly first: number; readonly end: number }[],
): { first: number; end: number }[] {
  const kept: { first: number; end: number }[] = []
  for (const run of runs) {
    const last = kept.at(-1)
    const between = last === undefined ? 0 : (time[run.first] as number) - (time[last.end] as number)
    const turns =
      last !== undefined &&
      between < NEARLY_DEAD &&
      speed.subarray(last.end, run.first).every((rpm) => rpm >= STANDS) &&
      starterMode.subarray(last.end, run.first).every((mode) => mode !== 1 && mode !== 2)
    if (turns) last.end = run.end
    else kept.push({ ...run })
  }
  return kept
}

/** Standing and attempts in turn. */
function withAttempts(
  engine: EngineView,
  timeline: Timeline,
  first: number,
  end: number,
  attempts: readonly Segment[],
  stopped: 'shutdown' | 'stall' | undefined,
): Segment[] {
  const segments: Segment[] = []
  let from = first
  for (const attempt of attempts) {
    segments.push(...labelStanding(engine, timeline, from, attempt.first, from === first ? stopped : undefined))
    const to = Math.min(attempt.end, end)
    if (to > attempt.first) segments.push({ ...attempt, end: to })
    from = to
  }
  segments.push(...labelStanding(engine, timeline, from, end, from === first ? stopped : undefined))
  return segments
}

/**
 * The instant at which it fired: before the run, speed rose for the last time through cranking speed and
 * 100 rpm more; that rise began where speed last was one of cranking.
 */
function firedAt({ speed, time }: Timeline, cranking: number, run: number): number {
  const usual: number[] = []
  for (let i = cranking; i < run; i++) {
    const rpm = speed[i] as number
    if (rpm >= STANDS && (time[i] as number) - (time[cranking] as number) >= SETTLING) usual.push(rpm)
  }
  const level = Math.min(RUNS, (median(usual) ?? RUNS) + FIRED_ABOVE)
  let fired = run
  while (fired > cranking + 1 && (speed[fired - 1] as number) >= level) fired--
  const top =
    quantile(
      usual.filter((rpm) => rpm < level),
      0.75,
    ) ?? level
  while (fired > cranking + 1 && (speed[fired - 1] as number) > top) fired--
  return fired
}

/** Where the speed of the run's end was left for good; the run's end where it does not fall. */
function fallsAt({ speed, time }: Timeline, first: number, end: number): number {
  if (end >= time.length) return end
  const last = time[end - 1] as number
  const before: number[] = []
  for (let i = end - 1; i >= first && last - (time[i] as number) <= 3 * SECOND; i--) {
    if (last - (time[i] as number) >= SECOND) before.push(speed[i] as number)
  }
  const usual = median(before)
  if (usual === null) return end
  let falls = end
  while (falls > first + 1 && (speed[falls - 1] as number) < FALLING * usual) falls--
  return falls
}

/** The first instant from a place on at which the crankshaft stands or nothing is known; the length if none. */
function standsAt({ speed }: Timeline, from: number): number {
  let at = from
  while (at < speed.length && (speed[at] as number) >= STANDS) at++
  return at
}

/** Turns segments into phases, counts key cycles and attempts. Returns the cycle at their end. */
function addPhases(
  phases: Phase[],
  engine: EngineView,
  timeline: Timeline,
  segments: readonly Segment[],
  startCycle: number,
): number {
  const { time } = timeline
  const resolutions = resolutionsOf(engine)
  let cycle = startCycle
  segments.forEach((segment, index) => {
    const { first, end, kind, basis, why, started } = segment
    const before = segments[index - 1]
    const after = segments[index + 1]
    if (before?.kind === 'after-run' && kind !== 'after-run' && kind !== 'unknown' && index > 1) cycle++
    const resolution = Math.max(
      before === undefined ? 0 : sharpness(resolutions, before.kind, kind),
      after === undefined ? 0 : sharpness(resolutions, kind, after.kind),
      resolutions.speed,
    )
    const attempts = phases.filter((phase) => phase.cycle === cycle && phase.attempt !== undefined).length
    phases.push({
      kind,
      basis,
      from: time[first] as number,
      to: time[Math.min(end, time.length - 1)] as number,
      resolution,
      ...(kind === 'cranking' ? { attempt: { number: attempts + 1, started: started === true } } : {}),
      cycle,
      why,
    })
  })
  return cycle
}

interface Resolutions {
  readonly speed: number
  readonly preheat: number
  readonly key: number
  readonly load: number
  readonly coolant: number
}

function resolutionsOf(engine: EngineView): Resolutions {
  const period = (spn: number): number => Math.round(engine.period(spn) ?? 0)
  const bySpeed = period(
    engine.has(SPN.speed) ? SPN.speed : engine.has(SPN.starterMode) ? SPN.starterMode : SPN.operatingState,
  )
  return {
    speed: bySpeed,
    preheat: reportsPreheat(engine)
      ? period(SPN.starterMode)
      : engine.has(SPN.lamp)
        ? period(SPN.lamp)
        : period(SPN.battery),
    key: engine.has(SPN.operatingState) ? period(SPN.operatingState) : period(SPN.key),
    load: engine.has(SPN.pedal) ? period(SPN.pedal) : bySpeed,
    coolant: period(SPN.coolant),
  }
}

/** How finely the boundary between two kinds is known, in microseconds. */
function sharpness(resolutions: Resolutions, before: PhaseKind, after: PhaseKind): number {
  const kinds = [before, after]
  if (kinds.includes('after-run')) return resolutions.key
  if (kinds.includes('preheat')) return resolutions.preheat
  if (kinds.includes('warm-idle')) return resolutions.coolant
  return kinds.includes('load') ? resolutions.load : resolutions.speed
}
