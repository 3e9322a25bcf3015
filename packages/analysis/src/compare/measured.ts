/**
 * Direct evidence of another kind: what the fault is about is measured by a check, which was bad in the
 * earlier run and passes in the later one. A valve that follows its command again needs no long drive.
 *
 * Only checks whose own conditions come in every run like this one are here. Those that depend on the
 * weather or the road are not: a cool day makes no radiator whole, and a warm one no battery.
 */
import type { ActiveFault } from '../faults/finding.js'
import type { FaultClass } from '../faults/knowledge/index.js'
import type { CheckResult } from '../model.js'
import { evidenceIn, type RunEvidence, type RunSide } from './comparison.js'
import type { Recovery } from './recovery.js'
import type { Side } from './side.js'

/** Checks that measure what a fault is about. */
interface Measured {
  readonly spns: readonly number[]
  /** All where not given. */
  readonly classes?: readonly FaultClass[]
  readonly checks: readonly string[]
}

/** The table. */
export const MEASURED: readonly Measured[] = [
  { spns: [27, 2791, 3821], checks: ['egr-position'] },
  { spns: [102, 3563, 106, 1127], classes: ['low'], checks: ['boost-under-load'] },
  {
    spns: [102, 3563, 106, 1127],
    classes: ['implausible', 'high', 'calibration'],
    checks: ['key-on-boost', 'manifold-pressure'],
  },
  { spns: [132], classes: ['implausible', 'calibration'], checks: ['air-mass-idle', 'air-mass-zero'] },
  { spns: [108], checks: ['ambient-pressure', 'manifold-pressure'] },
  { spns: [167, 115], checks: ['charging-voltage'] },
  { spns: [729, 730, 3060], classes: ['open', 'no-response'], checks: ['heater-draw'] },
  { spns: [100], classes: ['low'], checks: ['oil-pressure-rise', 'oil-pressure-kept', 'oil-pressure-hot-idle'] },
]

/** What the checks of both runs say of a fault; undefined where none measured it in both. */
export function measuredRecovery(before: Side, after: Side, fault: ActiveFault): Recovery | undefined {
  const ids = MEASURED.filter(
    ({ spns, classes }) => spns.includes(fault.spn) && (classes === undefined || classes.includes(fault.class)),
  ).flatMap(({ checks }) => checks)
  const wasBad = ids.flatMap((id): [CheckResult, CheckResult][] => {
    const [was, is] = [checkOf(before, fault, id), checkOf(after, fault, id)]
    return was === undefined || is === undefined || !isBad(was) ? [] : [[was, is]]
  })
  const pairs = wasBad.filter(([, is]) => is.verdict !== 'not-judged')
  const [first] = pairs
  if (first === undefined) return undefined
  const evidence = pairs.flatMap(([was, is]) => [...evidenceOf('before', was), ...evidenceOf('after', is)])
  const bad = pairs.find(([, is]) => isBad(is))
  if (bad !== undefined) {
    return {
      state: 'still-bad',
      text: `What it is about is measured, and still not in order: ${sayOf(bad[1])}.`,
      evidence,
    }
  }
  const open = wasBad.find(([, is]) => is.verdict === 'not-judged')
  if (open !== undefined) {
    const text = `What it is about is measured only in part: ${sayOf(open[0])} before, not judged after.`
    return { state: 'none', text, evidence }
  }
  const said = pairs.map(([was, is]) => `${sayOf(was)} before, ${figureOf(is)} after`)
  return { state: 'recovered', text: `What it is about is measured, and in order again: ${said.join('; ')}.`, evidence }
}

function checkOf(side: Side, { channel, sa }: ActiveFault, id: string): CheckResult | undefined {
  return side.checksAt(channel, sa).find((check) => check.id === id)
}

const isBad = ({ verdict }: CheckResult): boolean => verdict === 'fail' || verdict === 'caution'

const sayOf = (check: CheckResult): string => `${check.title} (${check.verdict}), ${figureOf(check)}`

function figureOf({ measured, verdict }: CheckResult): string {
  if (measured === null) return verdict
  const digits = Math.abs(measured.value) >= 100 ? 0 : Math.abs(measured.value) >= 10 ? 1 : 2
  const value = measured.value
    .toFixed(digits)
    .replace('-', '−')
    .replace(/^−(0(?:\.0+)?)$/, '$1')
  return `${value}${measured.unit === 'ratio' ? '' : ` ${measured.unit}`}`
}

function evidenceOf(run: RunSide, { evidence }: CheckResult): RunEvidence[] {
  return evidence.map(({ text, from, to, signals }) => evidenceIn(run, text, from, to, signals))
}
