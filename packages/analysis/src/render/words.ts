/** Words that every form of the report shares, so that they say the same. */
import { addressName } from '@firstcrank/decoder/catalog'
import type { Caution } from '../cautions.js'
import type { CheckResult, FaultFinding, Limit, PhaseKind, Verdict } from '../model.js'
import type { RecordingFacts, Report, Urgency } from '../report.js'
import { numberText, type Values } from './values.js'

export const TITLE = 'First-start test sheet'

export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  pass: 'pass',
  caution: 'caution',
  fail: 'fail',
  'not-judged': 'not judged',
}

export const URGENCY_WORDS: Readonly<Record<Urgency, string>> = { stop: 'STOP', fail: 'FAULT', caution: 'CAUTION' }

export const PHASE_WORDS: Readonly<Record<PhaseKind, string>> = {
  'key-on': 'key on',
  preheat: 'preheating',
  cranking: 'cranking',
  'run-up': 'run-up',
  'idle-settle': 'idle settling',
  'warm-idle': 'warm idle',
  idle: 'idle',
  load: 'load',
  shutdown: 'shutdown',
  stall: 'stall',
  'after-run': 'after-run',
  unknown: 'unknown',
}

/** Short enough for the band of a picture. */
export const PHASE_LABELS: Readonly<Record<PhaseKind, string>> = {
  'key-on': 'key on',
  preheat: 'heat',
  cranking: 'crank',
  'run-up': 'run up',
  'idle-settle': 'settling',
  'warm-idle': 'warm idle',
  idle: 'idle',
  load: 'load',
  shutdown: 'stop',
  stall: 'stall',
  'after-run': 'after',
  unknown: '?',
}

export const BASIS_WORDS = {
  reported: 'the controller says so',
  inferred: 'from other signals',
  probable: 'from weak signs',
} as const

/** Headings, in the order of the sheet. */
export const HEADINGS = {
  next: 'What to do next',
  found: 'What was found',
  pictures: 'The run',
  checks: 'Checks',
  open: 'Not judged',
  bus: 'The bus',
  faults: 'Faults the nodes report',
  gauge: 'What a dash gauge gets',
  manual: 'Check by hand',
  limits: 'Limits used',
  cautions: 'Cautions',
} as const

export const MANUAL_INTRODUCTION = 'The bus shows none of this. Tick what was looked at and found good.'

export const NOTHING_NEXT =
  'Nothing of what the recording shows asks for work. Go through the checks by hand, and record again what was not judged.'

export const LIMITS_INTRODUCTION =
  'Defaults are for an engine nobody has told us about. The engine maker’s figure wins: write it into a profile.'

/** Who set a limit, in words. */
export function ownerOf({ owner, source }: Limit): string {
  return owner === 'default' ? `default: ${source}` : `${owner.profile}: ${source}`
}

/** Whose limits were used, in a sentence. */
export function profileWords(profile: Report['profile']): string {
  return profile === null ? 'No profile was given: all limits are defaults.' : `Profile: ${profile.title}.`
}

/** What was recorded, in a sentence. */
export function recordingWords({ channels, nodes, frames, malformed }: RecordingFacts): string {
  const parts = [
    `${numberText(frames, 0)} frames`,
    `${nodes.length} ${nodes.length === 1 ? 'node' : 'nodes'}`,
    channels.length === 0 ? 'no interface' : channels.join(', '),
  ]
  if (malformed > 0) parts.push(`${numberText(malformed, 0)} ${malformed === 1 ? 'line' : 'lines'} unreadable`)
  return parts.join(', ')
}

/** `SPN 100 FMI 1 from Engine 1 (address 0)`: the node as the report calls it, else what its address is meant for. */
export function faultWords({ sa, spn, fmi }: Pick<FaultFinding, 'sa' | 'spn' | 'fmi'>, values?: Values): string {
  const name = addressName(sa)
  const known = values?.node(sa)
  return `SPN ${spn} FMI ${fmi} from ${known ?? (name === undefined ? `address ${sa}` : `${name} (address ${sa})`)}`
}

/** Checks that were judged, and those that were not. */
export function byJudged(checks: readonly CheckResult[]): {
  readonly judged: readonly CheckResult[]
  readonly open: readonly CheckResult[]
} {
  return {
    judged: checks.filter(({ verdict }) => verdict !== 'not-judged'),
    open: checks.filter(({ verdict }) => verdict === 'not-judged'),
  }
}

/** Text of a caution by name; the name itself where the report does not hold it. */
export function cautionTexts(cautions: readonly Caution[], names: readonly string[]): readonly string[] {
  return names.map((name) => cautions.find(({ id }) => id === name)?.text ?? name)
}

/** Why a check was not judged, and what to use instead, without the words a heading says already. */
export function openWords({ finding, advice }: CheckResult): { readonly why: string; readonly instead: string } {
  return { why: begun(finding.replace(/^Not judged:\s*/, '')), instead: begun(advice.replace(/^Check with:\s*/, '')) }
}

function begun(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** Cautions of rows in order, each told once, with the first row that needs it. */
export function freshCautions<Row extends { readonly cautions: readonly string[] }>(
  rows: readonly Row[],
  told: Set<string> = new Set(),
): readonly { readonly row: Row; readonly fresh: readonly string[] }[] {
  return rows.map((row) => {
    const fresh = row.cautions.filter((name) => !told.has(name))
    for (const name of fresh) told.add(name)
    return { row, fresh }
  })
}

/** Checks by their titles, in sentences of their own length: `“Battery at rest”, “Charging”`. */
export function checkTitles({ engines, bus }: Report, ids: readonly string[]): string {
  const all = [...engines.flatMap(({ checks }) => checks), ...bus]
  return ids.map((id) => `“${all.find((check) => check.id === id)?.title ?? id}”`).join(', ')
}
