/** What was found and what to do, in words: the left of the sheet, and the first thing on a phone. */
import type { CheckResult, Evidence, Finding, Limit, Report } from '@firstcrank/analysis'
import type { UnitChoice } from '../state/choices.js'
import { differenceScale, formatQuantity, type Scale, scaleOf } from '../state/quantity.js'
import { useSentence } from '../state/sentence.js'
import { useSettings } from '../state/settings.js'
import { plural, text } from '../words/text.js'
import { EvidenceList } from './evidence-list.js'
import { GaugeDetails } from './gauge-view.js'
import { faultKey, openFinding, type SheetFacts } from './model.js'
import { Stamp, type StampKind } from './stamp.js'
import { Cautions, StepList } from './step-list.js'

interface WordsProps {
  readonly model: SheetFacts
  readonly open: string | null
  readonly onOpen: (key: string | null) => void
  readonly onSee: (evidence: Evidence, from: string | null) => void
}

/** Steps shown before the fold. */
const FEW_STEPS = 4

/** Verdict, what to do next, findings, faults, checks. */
export function WordsColumn(props: WordsProps) {
  const { report } = props.model
  const say = useSentence()
  if (report === null) return <Unjudged {...props} />
  const urgent = report.findings.some(({ urgency }) => urgency === 'stop')
  const { level, counts, answers } = report.conclusion
  const stamp: StampKind = urgent ? 'stop' : level
  return (
    <>
      <section class="verdict" aria-labelledby="verdict-title">
        <h2 id="verdict-title" class="hidden">
          {text.sheet.verdict}
        </h2>
        <Stamp kind={stamp} word={text.sheet.stamps[stamp as keyof typeof text.sheet.stamps]} big />
        <VerdictWords conclusion={report.conclusion} />
        <p class="faint">{text.sheet.counts(counts.pass, counts.caution, counts.fail, counts['not-judged'])}</p>
        <dl class="answers">
          {answers.map(({ id, question, answer }) => (
            <div key={id}>
              <dt>{question}</dt>
              <dd>{say(answer)}</dd>
            </div>
          ))}
        </dl>
      </section>
      <NextSteps report={report} />
      <Findings {...props} report={report} />
      <FaultList {...props} />
      <Checks {...props} report={report} />
      {report.gauge.map((view) => (
        <GaugeDetails
          key={`${view.channel}${view.expects}`}
          view={view}
          zero={props.model.zero}
          onSee={(item) => props.onSee(item, null)}
        />
      ))}
    </>
  )
}

/** The verdict; how many faults and checks it rests on stands smaller. */
function VerdictWords({ conclusion }: { readonly conclusion: Report['conclusion'] }) {
  const { verdict, headline, basis } = conclusion
  const say = useSentence()
  // A report that a library has kept from before it had two parts is one sentence.
  return (
    <>
      <p class="verdict-words">{say(headline ?? verdict)}</p>
      {basis && <p>{say(basis)}</p>}
    </>
  )
}

function NextSteps({ report }: { readonly report: Report }) {
  const { next, cautions } = report
  const rest = next.slice(FEW_STEPS)
  return (
    <section aria-labelledby="next-title">
      <h2 id="next-title">{text.sheet.next}</h2>
      {next.length === 0 ? (
        <p>{text.sheet.nextNone}</p>
      ) : (
        <StepList steps={next.slice(0, FEW_STEPS)} cautions={cautions} id="next" />
      )}
      {rest.length > 0 && (
        <details>
          <summary>{text.sheet.nextMore(rest.length)}</summary>
          <StepList steps={rest} cautions={cautions} id="next-rest" />
        </details>
      )}
    </section>
  )
}

function Findings({ model, report, open, onOpen, onSee }: WordsProps & { readonly report: Report }) {
  const chosen = openFinding(report, open)?.number
  return (
    <section aria-labelledby="found-title">
      <h2 id="found-title">{text.sheet.findings}</h2>
      {report.findings.length === 0 && <p>{text.sheet.findingsNone}</p>}
      <ol class="findings">
        {report.findings.map((finding, index) => (
          <FindingItem
            key={finding.id}
            finding={finding}
            number={index + 1}
            chosen={chosen === index + 1}
            model={model}
            onOpen={onOpen}
            onSee={onSee}
          />
        ))}
      </ol>
    </section>
  )
}

interface FindingProps extends Pick<WordsProps, 'model' | 'onOpen' | 'onSee'> {
  readonly finding: Finding
  readonly number: number
  readonly chosen: boolean
}

/** Pieces of evidence shown before the fold. */
const FEW_FACTS = 3

function FindingItem({ finding, number, chosen, model, onOpen, onSee }: FindingProps) {
  const key = `finding:${number}`
  const { evidence } = finding
  const say = useSentence()
  const see = (item: Evidence): void => onSee(item, key)
  const lanes = model.groups.flatMap(({ lanes: all }) => all)
  return (
    <li class={chosen ? 'finding chosen-finding' : 'finding'} id={`finding-${number}`}>
      <span class="number" aria-hidden="true">
        {number}
      </span>
      <Stamp kind={finding.urgency} word={text.sheet.urgency[finding.urgency]} />
      <h3 tabIndex={-1}>{say(finding.title)}</h3>
      <p>{say(finding.text)}</p>
      <EvidenceList evidence={evidence.slice(0, FEW_FACTS)} zero={model.zero} onSee={see} />
      {evidence.length > FEW_FACTS && (
        <details>
          <summary>{plural(evidence.length - FEW_FACTS, 'more fact')}</summary>
          <EvidenceList evidence={evidence.slice(FEW_FACTS)} zero={model.zero} onSee={see} />
        </details>
      )}
      <Cautions ids={finding.cautions.filter((id) => STOPPING.has(id))} cautions={model.report?.cautions ?? []} />
      {finding.faults.length > 0 && (
        <p class="finding-faults">
          {finding.faults.map((fault) => {
            const name = lanes.find((lane) => lane.key === faultKey(fault))?.name ?? ''
            return (
              <button
                type="button"
                key={faultKey(fault)}
                class="see"
                aria-label={text.sheet.openFault(`${fault.spn}/${fault.fmi} ${name}`)}
                onClick={() => onOpen(faultKey(fault))}
              >
                {fault.spn}/{fault.fmi} {name}
              </button>
            )
          })}
        </p>
      )}
    </li>
  )
}

/** Cautions that belong beside the finding itself, not only beside its steps. */
const STOPPING: ReadonlySet<string> = new Set(['no-oil-pressure', 'heater-stuck', 'runaway', 'fuel-pressure'])

function FaultList({ model, open, onOpen }: WordsProps) {
  const lanes = model.groups.flatMap(({ lanes: all }) => all)
  return (
    <section aria-labelledby="faults-title">
      <h2 id="faults-title">{text.sheet.faults}</h2>
      {lanes.length === 0 && <p>{text.sheet.faultsNone}</p>}
      <ul class="fault-list">
        {lanes.map((lane) => (
          <li key={lane.key}>
            <button type="button" class="row" aria-pressed={open === lane.key} onClick={() => onOpen(lane.key)}>
              <span class="lane-code">
                {lane.spn}/{lane.fmi}
              </span>
              <span>{lane.name}</span>
              <span class="faint">{plural(lane.spans.length, 'time')}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  )
}

function Checks({ model, report, onSee }: WordsProps & { readonly report: Report }) {
  const lists = [
    ...report.engines.map(({ title, checks }) => ({ title: `${text.sheet.checks}: ${title}`, checks })),
    { title: text.sheet.checksBus, checks: report.bus },
  ]
  return (
    <>
      {lists.map(({ title, checks }) => (
        <details key={title} class="all-checks">
          <summary>
            <h2>{title}</h2>
            <span class="faint">{countWords(checks)}</span>
          </summary>
          <ul class="checks">
            {[...checks]
              .sort((a, b) => ORDER.indexOf(a.verdict) - ORDER.indexOf(b.verdict))
              .map((check) => (
                <Check key={check.id} check={check} model={model} onSee={(item) => onSee(item, null)} />
              ))}
          </ul>
        </details>
      ))}
    </>
  )
}

function countWords(checks: readonly CheckResult[]): string {
  const count = (verdict: CheckResult['verdict']): number => checks.filter((check) => check.verdict === verdict).length
  return text.sheet.counts(count('pass'), count('caution'), count('fail'), count('not-judged'))
}

const ORDER: readonly CheckResult['verdict'][] = ['fail', 'caution', 'pass', 'not-judged']

function Check({ check, model, onSee }: { check: CheckResult; model: SheetFacts; onSee: (item: Evidence) => void }) {
  const { units } = useSettings()
  const say = useSentence()
  const { measured, limits, evidence, finding, advice, proves, verdict, title, cautions } = check
  return (
    <li>
      <details>
        <summary>
          <Stamp kind={verdict} word={text.sheet.checkVerdict[verdict]} />
          <span>{title}</span>
        </summary>
        <p>{say(finding)}</p>
        <p class="faint">{say(proves)}</p>
        {verdict !== 'pass' && <p>{say(advice)}</p>}
        {measured !== null && (
          <p>
            {text.sheet.measured}:{' '}
            {formatQuantity(measured.value, scaleIn(measured, measured.uncertainty ?? 0.1, units))}
            {measured.per === undefined ? '' : ` / ${measured.per}`}
          </p>
        )}
        {limits.length > 0 && (
          <ul class="faint limits">
            {limits.map((limit) => (
              <li key={limit.id}>
                {text.sheet.limit} {formatQuantity(limit.value, scaleIn(limit, limit.value % 1 === 0 ? 1 : 0.1, units))}
                {limit.per === undefined ? '' : ` / ${limit.per}`}:{' '}
                {limit.owner === 'default' ? say(limit.source) : limit.owner.profile}
              </li>
            ))}
          </ul>
        )}
        <EvidenceList evidence={evidence} zero={model.zero} onSee={onSee} />
        {verdict !== 'pass' && <Cautions ids={cautions} cautions={model.report?.cautions ?? []} />}
      </details>
    </li>
  )
}

function scaleIn({ unit, difference }: Pick<Limit, 'unit' | 'difference'>, step: number, units: UnitChoice): Scale {
  const scale = scaleOf(unit, step, units)
  return difference ? differenceScale(scale) : scale
}

function Unjudged(props: WordsProps) {
  return (
    <>
      <p class="note">{text.sheet.notJudgedYet}</p>
      <FaultList {...props} />
    </>
  )
}
