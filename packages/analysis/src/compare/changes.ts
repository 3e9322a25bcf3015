/** What else is different between two runs: checks, identities, nodes, the air around. */
import type { CheckResult } from '../model.js'
import { median } from '../series.js'
import { type Change, evidenceIn, type RunEvidence, type RunSide, type VehicleComparison } from './comparison.js'
import type { EngineUse } from './exposure.js'
import type { Side } from './side.js'

/** Surroundings, and from which difference on they are worth a word. Source: our own choice. */
const SURROUNDINGS: readonly { spn: number; title: string; unit: string; least: number; digits: number }[] = [
  { spn: 171, title: 'Ambient temperature', unit: '°C', least: 3, digits: 0 },
  { spn: 108, title: 'Air pressure', unit: 'kPa', least: 1, digits: 1 },
]

/** Everything else that changed, the checks first. */
export function otherChanges(before: Side, after: Side, vehicle: VehicleComparison): Change[] {
  return [
    ...checkChanges(before, after),
    ...vehicle.identities.flatMap(({ kind, sa, before: was, after: is, same }): Change[] =>
      same === false
        ? [
            {
              kind: 'identity',
              text: `The ${kind} identification of address ${sa} changed from ${was} to ${is}.`,
              evidence: [wholeRun(before, `Says ${was}.`), wholeRun(after, `Says ${is}.`)],
            },
          ]
        : [],
    ),
    ...nodeChanges(before, after),
    ...before.uses.flatMap((use) => {
      const other = after.engineAt(use.engine.channel, use.engine.sa)
      return other === undefined ? [] : surroundingChanges(use, other)
    }),
  ]
}

function checkChanges(before: Side, after: Side): Change[] {
  const changes = (a: readonly CheckResult[], b: readonly CheckResult[], where: string): Change[] =>
    a.flatMap((was): Change[] => {
      const is = b.find(({ id }) => id === was.id)
      if (is === undefined || is.verdict === was.verdict) return []
      return [
        {
          kind: 'check',
          text: `${was.title}${where}: ${words(was)} before, ${words(is)} after. ${is.finding}`,
          check: { id: was.id, before: was.verdict, after: is.verdict },
          evidence: [...evidenceOf('before', was), ...evidenceOf('after', is)],
        },
      ]
    })
  const { report: one } = before.run
  const { report: two } = after.run
  return [
    ...one.engines.flatMap((engine) => {
      const where = one.engines.length > 1 ? ` of ${engine.title}` : ''
      return changes(engine.checks, after.checksAt(engine.channel, engine.sa), where)
    }),
    ...changes(one.bus, two.bus, ''),
  ]
}

const words = ({ verdict }: CheckResult): string => (verdict === 'not-judged' ? 'not judged' : verdict)

function evidenceOf(run: RunSide, { evidence }: CheckResult): RunEvidence[] {
  return evidence.map(({ text, from, to, signals }) => evidenceIn(run, text, from, to, signals))
}

function nodeChanges(before: Side, after: Side): Change[] {
  const { nodes: one } = before.run.report.recording
  const { nodes: two } = after.run.report.recording
  const missing = one.filter(({ sa }) => !two.some((other) => other.sa === sa))
  const fresh = two.filter(({ sa }) => !one.some((other) => other.sa === sa))
  return [
    ...missing.map(({ title, frames }) => nodeChange(title, 'before', wholeRun(before, `${frames} frames.`))),
    ...fresh.map(({ title, frames }) => nodeChange(title, 'after', wholeRun(after, `${frames} frames.`))),
  ]
}

function nodeChange(title: string, where: RunSide, evidence: RunEvidence): Change {
  return { kind: 'node', text: `${title} is heard only ${where}.`, evidence: [evidence] }
}

/** What holds for a run from its first frame to its last. */
function wholeRun({ run, which }: Side, text: string): RunEvidence {
  const { from, to } = run.report.recording
  return evidenceIn(which, text, from, to)
}

function surroundingChanges(a: EngineUse, b: EngineUse): Change[] {
  return SURROUNDINGS.flatMap(({ spn, title, unit, least, digits }): Change[] => {
    const [was, is] = [median(a.engine.valid(spn).value), median(b.engine.valid(spn).value)]
    if (was === null || is === null || Math.abs(is - was) < least) return []
    const say = (value: number): string => value.toFixed(digits).replace('-', '−')
    const spanOf = (run: RunSide, { engine }: EngineUse): RunEvidence[] => {
      const { time } = engine.valid(spn)
      return [evidenceIn(run, `${title}, median.`, time[0] as number, time.at(-1) as number, [engine.signalRef(spn)])]
    }
    return [
      {
        kind: 'surroundings',
        text: `${title}: ${say(was)} ${unit} before, ${say(is)} ${unit} after.`,
        evidence: [...spanOf('before', a), ...spanOf('after', b)],
      },
    ]
  })
}
