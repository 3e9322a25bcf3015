/**
 * How far a later run proves a repair. A grade is never better than its weakest ground: `proved` needs
 * direct evidence; `supported` needs comparable exposure and counts, or a fault that was always there,
 * that chance does not explain; what was not exercised is not tested.
 */
import { number } from '../faults/sight.js'
import type { FaultExposure, FaultSide, FaultStatistics, Grade, VehicleComparison } from './comparison.js'
import { COVERED } from './exposure.js'
import type { Chance } from './fault-exposure.js'
import type { Recovery } from './recovery.js'
import { ALPHA, compareRates, neededTime, zeroInTime, zeroInTrials } from './statistics.js'

/** Chance in each start below which a fault that comes in starts is held to be rare. Source: our own choice. */
const RARE = 0.25
/** The least a later run should be, s: running, above 1,150 rpm, idling. Source: US heavy-duty diagnosis rules, from memory. */
const LEAST_RUN: FaultExposure['run'] = { running: 600, fast: 300, idling: 30 }

/** All that a grade is given on. */
export interface Grounds {
  readonly name: string
  readonly vehicle: VehicleComparison
  /** Whether the node reports faults in the later run. */
  readonly reports: boolean
  readonly was: FaultSide
  readonly is: FaultSide | null
  /** Lists of the later run in which it is pending. */
  readonly pending: number
  readonly exposure: Chance | null
  readonly recovery: Recovery
  /** Attempts to start, where it came in starts alone. */
  readonly starts: { readonly before: number; readonly with: number; readonly after: number } | null
  /** Whether a command to clear faults was seen. */
  readonly cleared: boolean
}

export interface Graded {
  readonly grade: Grade
  readonly statement: string
  readonly reasons: readonly string[]
  readonly statistics: FaultStatistics | null
}

/** Grades one fault of the earlier run. */
export function gradeOf(grounds: Grounds): Graded {
  const { vehicle, reports, was, is, pending, exposure, recovery, cleared } = grounds
  const statistics = exposure === null ? null : statisticsOf(grounds, exposure)
  const clearing = cleared ? ['A command to clear faults was seen. Clearing is not fixing.'] : []
  const result = (grade: Grade, statement: string, reasons: readonly string[] = []): Graded => ({
    grade,
    statement,
    reasons: [...reasons, ...clearing],
    statistics,
  })
  if (vehicle.same === 'different') return result('not-tested', `Not tested: ${lower(vehicle.text)}`)
  if (is !== null) {
    const times = is.episodes === 1 ? 'once' : `${is.episodes} times`
    return result('came-back', `It is there in the later run too: ${times}, ${duration(is.active)} in all.`)
  }
  if (pending > 0) {
    return result('came-back', 'It is not active in the later run, but pending: its test has failed again.')
  }
  if (!reports)
    return result('not-tested', 'Not tested: the node that reported it sends no list of faults in the later run.')
  const seen = exposure === null ? 'Not seen in the later run.' : seenWords(grounds, exposure.summary, statistics)
  if (recovery.state === 'still-bad') return result('not-proved', `${recovery.text} ${seen}`)
  const late = exposure === null ? null : tooEarly(exposure.summary)
  if (recovery.state === 'recovered' && late === null && was.unbroken) {
    if (vehicle.same !== 'unknown') return result('proved', `Proved by direct evidence. ${recovery.text}`, [seen])
    return result('supported', `${recovery.text} ${seen}`, [`No more than supported: ${lower(vehicle.text)}`])
  }
  if (exposure === null) return result('not-tested', `${seen} Its conditions are not known.`, [recovery.text])
  const { summary } = exposure
  const reasons = [recovery.text]
  if (summary.verdict === 'not-tested') return result('not-tested', seen, reasons)
  if (late !== null) return result('not-tested', seen, [late, ...reasons])
  if (summary.onsets.again < COVERED * summary.onsets.of) {
    const range = summary.enabling.map(conditionWords).join(', ')
    const times =
      summary.onsets.of === 1 ? '' : ` ${summary.onsets.of - summary.onsets.again} of ${summary.onsets.of} times`
    return result('not-tested', seen, [`The conditions it came in${times} (${range}) did not come again.`, ...reasons])
  }
  const open = whyNotSupported(grounds, summary, statistics)
  if (open.length > 0) return result('not-proved', seen, [...open, ...reasons])
  if (vehicle.same === 'unknown') return result('not-proved', seen, [vehicle.text, ...reasons])
  return result('supported', seen, reasons)
}

/** Why the later run is too short for the fault to come; null where it is not. */
function tooEarly({ toFirst, reached }: FaultExposure): string | null {
  if (reached > toFirst) return null
  return `The earlier run needed ${duration(toFirst)} of such use until it came first; the later one has ${duration(reached)}.`
}

/** `engine speed 500 to 1250 rpm`. */
function conditionWords({ spn, from, to }: FaultExposure['enabling'][number]): string {
  const { title, unit } = CONDITION[spn] ?? { title: `SPN ${spn}`, unit: '' }
  return `${title} ${number(from, 0)} to ${number(to, 0)}${unit}`
}

const CONDITION: Readonly<Record<number, { readonly title: string; readonly unit: string }>> = {
  190: { title: 'engine speed', unit: ' rpm' },
  92: { title: 'load', unit: ' %' },
  110: { title: 'coolant', unit: ' °C' },
}

/** Why absence in comparable use is not enough; empty where it is. */
function whyNotSupported(
  { was, starts }: Grounds,
  exposure: FaultExposure,
  statistics: FaultStatistics | null,
): string[] {
  const why: string[] = []
  if (exposure.verdict !== 'comparable') {
    why.push(`Only ${percent(exposure.coverage)} of the earlier conditions came again; more than 80 % are wanted.`)
  }
  if (starts !== null) {
    const chance = zeroInTrials(starts.after)
    if (chance > RARE) {
      why.push(
        `It came in ${starts.with} of ${starts.before} starts; after ${starts.after} without it, up to ${percent(chance)} of starts remain possible.`,
      )
    }
    return why
  }
  why.push(...runWords(exposure.run))
  if (was.persistent) return why
  if (statistics !== null && statistics.p >= ALPHA) {
    const missing = statistics.missing
    why.push(
      `Chance alone would show so little with a probability of ${number(statistics.p, 3)}.${missing === null || missing <= 0 ? '' : ` ${duration(missing * 3600)} more of such running without it are needed.`}`,
    )
  }
  return why
}

/** What the later run lacks of the least that lets most controllers' own tests run. */
function runWords(run: FaultExposure['run']): string[] {
  const least: readonly (readonly [keyof FaultExposure['run'], string])[] = [
    ['running', 'running'],
    ['fast', 'above 1,150 rpm'],
    ['idling', 'idling'],
  ]
  return least.flatMap(([key, words]) =>
    run[key] >= LEAST_RUN[key]
      ? []
      : [`The later run has ${duration(run[key])} ${words}; at least ${duration(LEAST_RUN[key])} are wanted.`],
  )
}

function statisticsOf({ is, starts }: Grounds, { onsets, summary }: Chance): FaultStatistics {
  const hours = { before: summary.before / 3600, after: summary.after / 3600 }
  const events = { before: onsets, after: is?.episodes ?? 0 }
  const { p, ratio } = compareRates(
    { events: events.before, time: hours.before },
    { events: events.after, time: hours.after },
  )
  const none = events.after === 0
  const needed = none ? neededTime(events.before, hours.before) : null
  return {
    events,
    hours,
    p,
    ratio: { from: ratio.from, to: Number.isFinite(ratio.to) ? ratio.to : null },
    perHour: none && hours.after > 0 ? zeroInTime(hours.after) : null,
    starts: starts === null || !none ? null : { count: starts.after, chance: zeroInTrials(starts.after) },
    needed,
    missing: needed === null ? null : Math.max(0, needed - hours.after),
  }
}

/** `Not seen in 22 min of comparable running covering 84 % …`. */
function seenWords({ starts }: Grounds, exposure: FaultExposure, statistics: FaultStatistics | null): string {
  const { after, coverage, notExercised } = exposure
  const perHour = statistics?.perHour ?? null
  const bound =
    perHour === null
      ? ''
      : ` up to ${perHour >= 1 ? number(perHour, perHour < 10 ? 1 : 0).replace(/\.0$/, '') : number(perHour, 2)} per hour remain possible`
  const inStarts =
    starts === null
      ? ''
      : ` Not seen in ${starts.after} ${starts.after === 1 ? 'start' : 'starts'}; up to ${percent(zeroInTrials(starts.after))} of starts remain possible.`
  const missing = notExercised.length === 0 ? '' : ` Not exercised: ${notExercised.join('; ')}.`
  return `Not seen in ${duration(after)} of comparable running covering ${percent(coverage)} of the earlier conditions;${bound || ' nothing is excluded'}.${inStarts}${missing}`
}

/** `22 min`, `48 s`, `1.5 h`. */
export function duration(seconds: number): string {
  if (seconds < 120) return `${number(seconds, 0)} s`
  return seconds < 7200 ? `${number(seconds / 60, 0)} min` : `${number(seconds / 3600, 1)} h`
}

/** A share as per cent. */
export function percent(share: number): string {
  // Never rounded up to all, nor down to none.
  const value = share > 0.99 && share < 1 ? 99 : share > 0 && share < 0.01 ? 1 : share * 100
  return `${number(value, 0)} %`
}

function lower(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1)
}
