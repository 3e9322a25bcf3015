/** One recording made, analysed and compared with what is really in it. */
import { analyse, type Cause, type Phase, type PhaseKind, type Report } from '@firstcrank/analysis'
import { openRecording } from '@firstcrank/decoder'
import { type PhaseName, simulate, type TruePhase, type Truth } from '@firstcrank/simulator'
import type { Draw } from './draws.js'
import { namesRoot } from './roots.js'

/** Whether a boundary was found, and how far off: found minus true, in seconds. */
export interface BoundaryError {
  readonly boundary: Boundary
  /** Null where none was found within {@link NEAREST} seconds. */
  readonly error: number | null
}

/** What came of one run. */
export interface Outcome {
  readonly draw: Draw
  readonly cause: string
  /** Whether what is wrong shows in this recording at all: an intermittent failure may not, in mild weather. */
  readonly shows: boolean
  /** The finding ranked first; null where nothing was found. */
  readonly first: { readonly id: string; readonly confidence: Cause['confidence'] | null } | null
  /** Place of the finding that names the root, from 1; null where none does. */
  readonly rank: number | null
  /** The first finding is called probable and is not the root. */
  readonly wrongAndSure: boolean
  /** Checks and findings that are a caution or a fail, by name. */
  readonly cautions: readonly string[]
  readonly fails: readonly string[]
  readonly boundaries: readonly BoundaryError[]
  /** ms to analyse. */
  readonly took: number
}

/** Boundaries that are compared: the beginning or the end of a phase. */
export type Boundary = 'heater lamp on' | 'heater lamp off' | 'crank begins' | 'engine fires' | 'shutdown begins'

interface BoundaryRule {
  readonly boundary: Boundary
  readonly truth: PhaseName
  readonly found: readonly PhaseKind[]
  readonly edge: 'from' | 'to'
}

const RULES: readonly BoundaryRule[] = [
  { boundary: 'heater lamp on', truth: 'preheat', found: ['preheat'], edge: 'from' },
  { boundary: 'heater lamp off', truth: 'preheat', found: ['preheat'], edge: 'to' },
  { boundary: 'crank begins', truth: 'cranking', found: ['cranking'], edge: 'from' },
  { boundary: 'engine fires', truth: 'run-up', found: ['run-up'], edge: 'from' },
  { boundary: 'shutdown begins', truth: 'shutdown', found: ['shutdown', 'stall'], edge: 'from' },
]

export const BOUNDARIES: readonly Boundary[] = RULES.map(({ boundary }) => boundary)
/** A boundary further away is another one. s */
const NEAREST = 5

export async function judge(draw: Draw): Promise<Outcome> {
  const simulation = simulate(draw.scenario, draw.options)
  const recording = await openRecording(bytes(simulation.chunks), { summary: true })
  const truth = simulation.truth()
  const begun = performance.now()
  const report = analyse(recording, draw.profile)
  const took = performance.now() - begun
  const cause = truth.rootCause
  const [first] = report.findings
  const rank = report.findings.findIndex((finding) => namesRoot(finding, cause))
  const confidence = first === undefined ? null : confidenceOf(report, first.id)
  return {
    draw,
    cause,
    shows: shows(truth),
    first: first === undefined ? null : { id: first.id, confidence },
    rank: rank < 0 ? null : rank + 1,
    wrongAndSure: confidence === 'probable' && rank !== 0,
    cautions: named(report, 'caution'),
    fails: named(report, 'fail'),
    boundaries: boundariesOf(truth, report.engines[0]?.phases ?? []),
    took,
  }
}

export function* bytes(chunks: Iterable<string>): Generator<Uint8Array> {
  const encoder = new TextEncoder()
  for (const chunk of chunks) yield encoder.encode(chunk)
}

/** Something wrong with an expected root fault shows once a node has reported one of those faults. */
function shows({ injected, expectedFaults, episodes }: Truth): boolean {
  if (injected.every(({ onset }) => onset === null)) return false
  const roots = expectedFaults.filter(({ root }) => root)
  return (
    roots.length === 0 ||
    roots.some(({ sa, spn, fmi }) => episodes.some((e) => e.sa === sa && e.spn === spn && e.fmi === fmi))
  )
}

function confidenceOf({ faults }: Report, id: string): Cause['confidence'] | null {
  return faults.map(({ causes }) => causes[0]).find((cause) => cause.id === id)?.confidence ?? null
}

/** Checks with a verdict, and findings that are causes as urgent. */
function named({ engines, bus, findings }: Report, verdict: 'caution' | 'fail'): string[] {
  const checks = [...engines.flatMap((engine) => engine.checks), ...bus].filter((check) => check.verdict === verdict)
  const causes = findings.filter(
    ({ kind, urgency }) => kind === 'cause' && (urgency === 'caution') === (verdict === 'caution'),
  )
  return [...checks, ...causes].map(({ id }) => id)
}

function boundariesOf({ phases, startMicros, duration }: Truth, found: readonly Phase[]): BoundaryError[] {
  return RULES.flatMap(({ boundary, truth, found: kinds, edge }) => {
    const candidates = found
      .filter(({ kind }) => kinds.includes(kind))
      .map((phase) => (phase[edge] - startMicros) / 1e6)
    return phases
      .filter((phase, index) => phase.phase === truth && phase.to < duration && counts(phases, index))
      .map((phase) => {
        const errors = candidates.map((time) => time - phase[edge]).sort((a, b) => Math.abs(a) - Math.abs(b))
        const nearest = errors[0]
        return { boundary, error: nearest === undefined || Math.abs(nearest) > NEAREST ? null : nearest }
      })
  })
}

/**
 * The simulator's book has a phase for every moment; a boundary counts where it is one by the meaning of
 * the word. An engine fires out of cranking: one whose injection was away for a moment and that never
 * stood does not start again. A shutdown is the end of a running engine that comes to a stand: the last
 * turn of the crankshaft after an attempt that failed is none.
 */
function counts(phases: readonly TruePhase[], index: number): boolean {
  const before = phases[index - 1]?.phase
  const after = phases[index + 1]?.phase
  switch (phases[index].phase) {
    case 'run-up':
      return before === 'cranking'
    case 'shutdown':
      return before !== 'cranking' && after !== 'run-up'
    default:
      return true
  }
}
