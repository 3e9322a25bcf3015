/** One recording → one report: phases, checks, bus, causes and gauge view, put together. */
import type { Recording } from '@firstcrank/decoder'
import { findBus } from './bus-findings.js'
import { CAUTIONS, type Caution } from './cautions.js'
import { runChecks } from './checks/index.js'
import { concludeFrom } from './conclusion.js'
import { type EngineView, findEngines } from './engine-view.js'
import { analyseFaults } from './faults/index.js'
import { figuresOf } from './figures.js'
import { findingsOf, type JudgedChecks, nextSteps } from './findings.js'
import { gaugeViews } from './gauge.js'
import { limitsFor } from './limits.js'
import { manualChecks } from './manual-checks.js'
import type { CheckResult, FaultGroup, Limit, Phase } from './model.js'
import { NodeTitles } from './nodes.js'
import { findPhases } from './phases.js'
import { NO_PROFILE, type Profile } from './profile.js'
import {
  type EngineReport,
  type Finding,
  type ManualCheck,
  type NextStep,
  type NodeFacts,
  REPORT_SCHEMA,
  REPORT_VERSION,
  type RecordingFacts,
  type Report,
} from './report.js'

/** Why an analysis cannot be made. */
export type AnalysisErrorCode = 'no-summary'

/** A wrong call. */
export class AnalysisError extends Error {
  readonly code: AnalysisErrorCode

  constructor(code: AnalysisErrorCode, message: string) {
    super(message)
    this.name = 'AnalysisError'
    this.code = code
  }
}

/** What beside the recording goes into a report. */
export interface AnalysisOptions {
  /** What the report calls the recording, such as a file's name. */
  readonly name?: string
}

/** Times before this are counted from the log's own zero: no bus was recorded in 1973. */
const FIRST_DATE = 100_000_000_000_000
/** Cautions for everybody at every engine. */
const ALWAYS: readonly string[] = ['precedence']

interface EngineWork {
  readonly engine: EngineView
  readonly phases: readonly Phase[]
  readonly checks: readonly CheckResult[]
}

/**
 * Judges a recording.
 *
 * @param recording opened with `{ summary: true }`
 * @param profile the engine's own figures; defaults where not given
 * @throws {AnalysisError} `no-summary` where the recording was opened without one
 */
export function analyse(recording: Recording, profile: Profile = NO_PROFILE, { name }: AnalysisOptions = {}): Report {
  const summary = recording.summary()
  if (summary === undefined) throw new AnalysisError('no-summary', 'Open the recording with { summary: true }.')
  const titles = new NodeTitles(recording)
  const work = findEngines(recording).map((engine): EngineWork => {
    const phases = findPhases(engine, profile)
    return { engine, phases, checks: runChecks(recording, engine, phases, profile) }
  })
  const spoken = work.map(({ engine: { channel, sa }, phases }) => ({ channel, sa, phases }))
  const bus = findBus(recording, summary, spoken, limitsFor(profile), profile.nodes)
  const faults = faultsOf(recording, work, bus, profile)
  const engines = work.map(({ engine, phases, checks }): EngineReport => {
    const { channel, sa } = engine
    const title = `${titles.of(recording.channels.indexOf(channel), sa)}${recording.channels.length > 1 ? ` on ${channel}` : ''}`
    return { channel, sa, title, phases, checks, figures: figuresOf(engine, phases, checks, faults) }
  })
  const judged: JudgedChecks[] = [
    ...engines.map(({ sa, checks }) => ({ kind: 'check' as const, sa, results: checks })),
    { kind: 'bus', sa: null, results: bus },
  ]
  const findings = findingsOf(faults, judged)
  const next = nextSteps(findings)
  const checks = judged.flatMap(({ results }) => results)
  const manual = manualChecks(openNames(checks, findings))
  const facts = recordingFacts(recording, summary.nodes, titles, name)
  return {
    schema: REPORT_SCHEMA,
    version: REPORT_VERSION,
    recording: facts,
    profile: profile === NO_PROFILE ? null : { title: profile.title },
    conclusion: concludeFrom({ engines, bus, faults, findings, next, manual: manual.length, damage: facts.damage }),
    findings,
    next,
    engines,
    bus,
    faults,
    gauge: gaugeViews(
      recording,
      work.map(({ engine }) => engine),
    ),
    manual,
    cautions: cautionsOf(checks, findings, next, manual),
    limits: limitsOf(checks),
  }
}

/** Faults of every engine, and once those of nodes that are none. */
function faultsOf(
  recording: Recording,
  work: readonly EngineWork[],
  bus: readonly CheckResult[],
  profile: Profile,
): readonly FaultGroup[] {
  if (work.length === 0) return analyseFaults(recording, undefined, [], bus, profile)
  return work.flatMap(({ engine, phases, checks }) =>
    analyseFaults(recording, engine, phases, [...checks, ...bus], profile),
  )
}

function recordingFacts(
  recording: Recording,
  nodes: readonly { readonly channel: number; readonly sa: number; readonly frames: number }[],
  titles: NodeTitles,
  name: string | undefined,
): RecordingFacts {
  const { clock, counts, channels } = recording
  const from = clock.first ?? 0
  return {
    name: name ?? null,
    dated: from >= FIRST_DATE,
    from,
    to: clock.last ?? from,
    channels,
    frames: counts.extended,
    malformed: counts.malformed,
    damage: damageOf(recording),
    nodes: nodes.map(
      ({ channel, sa, frames }): NodeFacts => ({
        channel: channels[channel] ?? String(channel),
        sa,
        title: titles.of(channel, sa),
        frames,
      }),
    ),
  }
}

/** What is wrong with the log itself. */
function damageOf({ counts, problems }: Recording): string | null {
  const frames = counts.lines - counts.blank - counts.comments - counts.malformed
  if (frames === 0) {
    return counts.malformed === 0
      ? 'The log is empty: it holds no frame.'
      : 'Not one line of it is a frame: this is no text that candump writes.'
  }
  if (counts.error === frames) {
    return 'It holds error frames only: the recorder heard no whole message. A wrong bit rate or a loose plug looks like that.'
  }
  if (counts.extended === 0) {
    return 'None of its frames has the 29-bit identifier of J1939: it was recorded on another bus.'
  }
  const isCut = problems.counts().some(({ code }) => code === 'damaged-compression')
  return isCut ? 'The compressed log is damaged or ends early: only what came before was read.' : null
}

/** Names of what makes a look by hand the more needed. */
function openNames(checks: readonly CheckResult[], findings: readonly Finding[]): ReadonlySet<string> {
  return new Set([
    ...checks.filter(({ verdict }) => verdict !== 'pass').map(({ id }) => id),
    ...findings.map(({ id }) => id),
  ])
}

/** Every caution named anywhere, in the order of the table. */
function cautionsOf(
  checks: readonly CheckResult[],
  findings: readonly Finding[],
  next: readonly NextStep[],
  manual: readonly ManualCheck[],
): readonly Caution[] {
  const named = new Set([
    ...ALWAYS,
    ...[...checks, ...findings, ...next, ...manual].flatMap(({ cautions }) => cautions),
    ...findings.flatMap(({ steps }) => steps.flatMap(({ cautions }) => cautions)),
  ])
  return CAUTIONS.filter(({ id }) => named.has(id))
}

/** Every limit something was judged by, each once. */
function limitsOf(checks: readonly CheckResult[]): readonly Limit[] {
  const used = new Map<string, Limit>()
  for (const { verdict, limits } of checks) {
    if (verdict !== 'not-judged') for (const limit of limits) used.set(limit.id, limit)
  }
  return [...used.values()]
}
