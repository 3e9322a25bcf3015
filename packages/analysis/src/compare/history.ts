/** Many runs of one vehicle in a row: faults by run, trends of key figures, and what was done in between. */
import type { Unit } from '@firstcrank/decoder/catalog'
import { deriveSignal } from '../derived/index.js'
import { storedFaults } from '../faults/finding.js'
import { NO_PROFILE } from '../profile.js'
import { median } from '../series.js'
import { evidenceIn, type Run, type RunEvidence, type RunFacts } from './comparison.js'
import { Side } from './side.js'
import { compareVehicles } from './vehicle.js'

export const HISTORY_SCHEMA = 'firstcrank.history'
/** Grows when a program that reads histories of the version before would misread the new ones. */
export const HISTORY_VERSION = 1

/** What somebody did, and when, in microseconds. */
export interface FixNote {
  readonly time: number
  readonly text: string
}

/** What a history keeps of one run; the recording itself is not needed afterwards. */
export interface HistoryEntry extends RunFacts {
  /** Vehicle identification, or what else is known of its nodes; null where nothing is. */
  readonly vehicle: string | null
  /** What that is: the vehicle's identification, or the NAME of a node. */
  readonly vehicleKind: 'vehicle' | 'name' | null
  readonly faults: readonly EntryFault[]
  /** Nodes that reported faults at all. */
  readonly reporting: readonly number[]
  readonly figures: readonly EntryFigure[]
}

export interface EntryFault {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly name: string
  readonly state: 'active' | 'previously-active' | 'pending' | 'permanent'
  readonly episodes: number
}

export interface EntryFigure {
  readonly id: string
  readonly title: string
  readonly unit: Unit
  /** Null where it was not judged. */
  readonly value: number | null
  readonly uncertainty: number | null
  readonly evidence: readonly Omit<RunEvidence, 'run'>[]
}

export interface History {
  readonly schema: typeof HISTORY_SCHEMA
  readonly version: typeof HISTORY_VERSION
  /** In order of time. */
  readonly runs: readonly HistoryEntry[]
  readonly sameVehicle: 'same' | 'different' | 'unknown'
  readonly faults: readonly FaultRow[]
  readonly figures: readonly FigureRow[]
  /** Notes in order of time, and how many runs lie before each. */
  readonly notes: readonly (FixNote & { readonly after: number })[]
}

/** One fault in every run: in their order. */
export interface FaultRow {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
  readonly name: string
  /** `silent`: its node reported nothing, so nobody can say. */
  readonly runs: readonly (EntryFault['state'] | 'not-listed' | 'silent')[]
}

/** One key figure in every run. */
export interface FigureRow {
  readonly id: string
  readonly title: string
  readonly unit: Unit
  readonly runs: readonly (number | null)[]
  /** Last minus first that has a value; null of fewer than two. */
  readonly change: number | null
  /** Whether that is more than both uncertainties together; null where they are not known. */
  readonly beyondUncertainty: boolean | null
}

/** Key figures that are measured by a check. */
const CHECK_FIGURES: readonly { id: string; title: string; unit: Unit }[] = [
  { id: 'crank-voltage', title: 'Voltage in cranking', unit: 'V' },
  { id: 'crank-speed', title: 'Cranking speed', unit: 'rpm' },
  { id: 'crank-time', title: 'Cranking until it fires', unit: 's' },
  { id: 'oil-pressure-rise', title: 'Time to oil pressure', unit: 's' },
  { id: 'idle-stability', title: 'Idle deviation', unit: 'rpm' },
  { id: 'charging-voltage', title: 'Charging voltage', unit: 'V' },
]

/** Extracts what a history needs from one run. */
export function historyEntry(run: Run): HistoryEntry {
  const side = new Side(run, 'before')
  const { identities } = compareVehicles(run.recording, run.recording)
  const vehicle = identities.find(({ kind }) => kind === 'vehicle')
  const told = vehicle ?? identities.find(({ kind }) => kind === 'name')
  const [engine] = run.report.engines
  const figures = CHECK_FIGURES.map(({ id, title, unit }): EntryFigure => {
    const check = engine?.checks.find((candidate) => candidate.id === id)
    const measured = check?.measured ?? null
    return {
      id,
      title,
      unit: measured?.unit ?? unit,
      value: measured?.value ?? null,
      uncertainty: measured?.uncertainty ?? null,
      evidence: check?.evidence.map(({ text, from, to, signals }) => ({ text, from, to, signals })) ?? [],
    }
  })
  const active = side.faults.map(
    ({ sa, spn, fmi, name, episodes }): EntryFault => ({
      sa,
      spn,
      fmi,
      name,
      state: 'active',
      episodes: episodes.length,
    }),
  )
  const stored = storedFaults(run.recording)
    .filter(({ alsoActive }) => !alsoActive)
    .map(({ sa, spn, fmi, name, state }): EntryFault => ({ sa, spn, fmi, name, state, episodes: 0 }))
  return {
    title: run.title,
    recording: run.report.recording,
    vehicle: told?.before ?? null,
    vehicleKind: vehicle !== undefined ? 'vehicle' : told !== undefined ? 'name' : null,
    faults: [...active, ...stored],
    reporting: run.report.recording.nodes.filter(({ channel, sa }) => side.reports(channel, sa)).map(({ sa }) => sa),
    figures: [...figures, airMassRatio(run, side)],
  }
}

function airMassRatio({ profile = NO_PROFILE }: Run, { uses }: Side): EntryFigure {
  const shape = {
    id: 'air-mass-ratio',
    title: 'Air mass, measured to expected',
    unit: 'ratio' as const,
    uncertainty: null,
  }
  const [use] = uses
  const derived = use && deriveSignal('air-mass-ratio', { engine: use.engine, phases: use.phases, profile })
  const value = derived === undefined ? null : median(derived.samples.value)
  if (derived === undefined || value === null) return { ...shape, value: null, evidence: [] }
  const { time } = derived.samples
  const { run: _, ...evidence } = evidenceIn(
    'before',
    'Median of the ratio.',
    time[0] as number,
    time.at(-1) as number,
    derived.signals,
  )
  return { ...shape, value, evidence: [evidence] }
}

/** Puts runs in a row. */
export function historyOf(entries: readonly HistoryEntry[], notes: readonly FixNote[] = []): History {
  const runs = [...entries].sort((a, b) => a.recording.from - b.recording.from || a.title.localeCompare(b.title, 'en'))
  const ids = new Map(runs.flatMap(({ figures }) => figures.map((figure) => [figure.id, figure])))
  return {
    schema: HISTORY_SCHEMA,
    version: HISTORY_VERSION,
    runs,
    sameVehicle: sameVehicle(runs),
    faults: faultRows(runs),
    figures: [...ids.values()].map((figure) => figureRow(figure, runs)),
    notes: [...notes]
      .sort((a, b) => a.time - b.time)
      .map((note) => ({ ...note, after: runs.filter(({ recording }) => recording.from <= note.time).length })),
  }
}

/** Of one vehicle, or of several: only its own identification can say the latter, for a node may be replaced. */
function sameVehicle(runs: readonly HistoryEntry[]): History['sameVehicle'] {
  const vehicles = new Set(runs.map(({ vehicle }) => vehicle))
  if (!vehicles.has(null) && vehicles.size <= 1) return 'same'
  const told = runs.flatMap(({ vehicle, vehicleKind }) => (vehicleKind === 'vehicle' ? [vehicle] : []))
  return new Set(told).size > 1 ? 'different' : 'unknown'
}

function faultRows(runs: readonly HistoryEntry[]): FaultRow[] {
  const keys = new Map(
    runs.flatMap(({ faults }) => faults.map((fault) => [`${fault.sa}/${fault.spn}/${fault.fmi}`, fault] as const)),
  )
  return [...keys.values()]
    .map(({ sa, spn, fmi, name }) => ({
      sa,
      spn,
      fmi,
      name,
      runs: runs.map(({ faults, reporting }) => {
        const states = faults.filter((fault) => fault.sa === sa && fault.spn === spn && fault.fmi === fmi)
        const worst = STATES.find((state) => states.some((fault) => fault.state === state))
        return worst ?? (reporting.includes(sa) ? ('not-listed' as const) : ('silent' as const))
      }),
    }))
    .sort((a, b) => a.sa - b.sa || a.spn - b.spn || a.fmi - b.fmi)
}

/** The one that says most first. */
const STATES: readonly EntryFault['state'][] = ['active', 'permanent', 'pending', 'previously-active']

function figureRow({ id, title, unit }: EntryFigure, runs: readonly HistoryEntry[]): FigureRow {
  const figures = runs.map(({ figures: list }) => list.find((figure) => figure.id === id))
  const known = figures.filter((figure) => figure !== undefined && figure.value !== null) as EntryFigure[]
  const [first, last] = [known[0], known.at(-1)]
  const two = first !== undefined && last !== undefined && known.length > 1
  const change = two ? (last.value as number) - (first.value as number) : null
  const spread =
    two && first.uncertainty !== null && last.uncertainty !== null ? first.uncertainty + last.uncertainty : null
  return {
    id,
    title,
    unit,
    runs: figures.map((figure) => figure?.value ?? null),
    change,
    beyondUncertainty: change === null || spread === null ? null : Math.abs(change) > spread,
  }
}
