/** Faults of both runs: what became of each, how far that proves a repair, and on what grounds. */
import type { FaultComparison, FaultSide, RunSide } from '@firstcrank/analysis'
import type { UnitChoice } from '../state/choices.js'
import { changeCompare } from '../state/location.js'
import { formatNumber, formatQuantity, scaleOf } from '../state/quantity.js'
import { useSentence } from '../state/sentence.js'
import { formatDuration } from '../state/time.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'
import { SeeList } from './compare-evidence.js'
import { GradeStamp } from './compare-grade.js'
import { type CompareSides, faultHref, timeIn } from './compare-model.js'
import { FaultStatement } from './fault-statement.js'
import { faultKey } from './model.js'

const words = compareText.faults

interface FaultsProps {
  readonly faults: readonly FaultComparison[]
  readonly sides: CompareSides
  readonly open: string | null
  readonly units: UnitChoice
}

/** The table; its rows become blocks on a narrow screen. */
export function CompareFaults({ faults, sides, open, units }: FaultsProps) {
  const judged = faults.filter(({ grade }) => grade !== null)
  return (
    <section aria-labelledby="faults-title">
      <h2 id="faults-title">{words.title}</h2>
      {faults.length === 0 ? (
        <p class="note">{words.none}</p>
      ) : (
        <table class="fault-table stacking">
          <caption class="hidden">{words.caption}</caption>
          <thead>
            <tr>
              <th scope="col">{words.columns.grade}</th>
              <th scope="col">{words.columns.fault}</th>
              <th scope="col">{compareText.sides.before}</th>
              <th scope="col">{compareText.sides.after}</th>
            </tr>
          </thead>
          <tbody>
            {faults.map((fault) => (
              <FaultRow
                key={faultKey(fault)}
                fault={fault}
                sides={sides}
                open={open}
                units={units}
                alone={fault.grade !== null && judged.length === 1}
              />
            ))}
          </tbody>
        </table>
      )}
    </section>
  )
}

type RowProps = Omit<FaultsProps, 'faults'> & {
  readonly fault: FaultComparison
  /** The one that was to be repaired: its statement stands at the head of the page. */
  readonly alone: boolean
}

function FaultRow({ fault, sides, open, units, alone }: RowProps) {
  const { grade, change, spn, fmi, sa, name, meaning } = fault
  const key = faultKey(fault)
  return (
    <>
      <tr>
        <td class="fault-grade">
          {grade !== null && <GradeStamp grade={grade} />}
          <span class={grade === null ? 'change new' : 'change'}>{words.change[change]}</span>
        </td>
        <th scope="row" class="fault-words">
          <strong class="fault-name">{name}</strong>
          <span class="faint">
            {words.code(spn, fmi)} · {meaning.replace(/\.$/, '')} · {words.from(sa)}
          </span>
          {alone || <FaultStatement fault={fault} />}
        </th>
        <SideCell run="before" fault={fault} seen={fault.before} sides={sides} />
        <SideCell run="after" fault={fault} seen={fault.after} sides={sides} />
      </tr>
      <tr class="fault-fold">
        <td />
        <td colSpan={3}>
          <details
            open={open === key}
            onToggle={(event) => {
              const wanted = event.currentTarget.open
              if (wanted !== (open === key)) changeCompare({ open: wanted ? key : null })
            }}
          >
            <summary>
              {words.why}
              <span class="hidden">: {name}</span>
            </summary>
            {open === key && <Grounds fault={fault} sides={sides} units={units} />}
          </details>
        </td>
      </tr>
    </>
  )
}

interface CellProps {
  readonly run: RunSide
  readonly fault: FaultComparison
  readonly seen: FaultSide | null
  readonly sides: CompareSides
}

function SideCell({ run, fault, seen, sides }: CellProps) {
  const { sides: names } = compareText
  if (seen === null) {
    return (
      <td data-name={names[run]} class="side-cell">
        <span class="faint">{words.absent}</span>
      </td>
    )
  }
  const lamps = seen.lamps.map((lamp) => text.fault.lamps[lamp as keyof typeof text.fault.lamps] ?? lamp)
  const first = words.first(timeIn(sides[run], seen.first))
  const shown = { sa: fault.sa, spn: fault.spn, fmi: seen.fmis[0] ?? fault.fmi }
  return (
    <td data-name={names[run]} class="side-cell">
      <strong>{words.times(seen.episodes, formatDuration(seen.active))}</strong>
      {seen.persistent && <span>{words.always}</span>}
      {seen.fmis.length > 1 && <span>FMI {seen.fmis.join(', ')}</span>}
      {seen.count !== null && <span>{words.counted(seen.count)}</span>}
      {lamps.length > 0 && <span>{words.lamps(lamps.join(', '))}</span>}
      <a
        class="see-link"
        href={faultHref(sides[run], shown, seen.first)}
        aria-label={`${first} ${words.firstIn[run]}: ${fault.name}`}
      >
        {first}
      </a>
    </td>
  )
}

interface GroundsProps {
  readonly fault: FaultComparison
  readonly sides: CompareSides
  readonly units: UnitChoice
}

/** Row of the figures: what it is, before, after. */
type Figure = readonly [name: string, before: string, after: string]

function Grounds({ fault, sides, units }: GroundsProps) {
  const { reasons, exposure, evidence } = fault
  const say = useSentence()
  return (
    <div class="grounds-fold">
      <div>
        {reasons.length > 0 && (
          <>
            <h3>{words.reasons}</h3>
            <ul class="plain-list">
              {reasons.map((reason) => (
                <li key={reason}>{say(reason)}</li>
              ))}
            </ul>
          </>
        )}
        {exposure !== null && exposure.enabling.length > 0 && (
          <>
            <h3>{words.conditions}</h3>
            <ul class="plain-list">
              {exposure.enabling.map(({ spn, from, to }) => (
                <li key={spn}>{conditionText(sides, spn, from, to, units)}</li>
              ))}
            </ul>
          </>
        )}
        {evidence.length > 0 && (
          <>
            <h3>{words.evidence}</h3>
            <SeeList evidence={evidence} sides={sides} />
          </>
        )}
      </div>
      <div>
        <Figures title={words.exposure} rows={exposureRows(fault)} />
        <Figures title={words.statistics} rows={statisticsRows(fault)} />
      </div>
    </div>
  )
}

function Figures({ title, rows }: { readonly title: string; readonly rows: readonly Figure[] }) {
  if (rows.length === 0) return null
  return (
    <table class="small-table figures">
      <caption>{title}</caption>
      <thead>
        <tr>
          <td />
          <th scope="col">{compareText.sides.before}</th>
          <th scope="col">{compareText.sides.after}</th>
        </tr>
      </thead>
      <tbody>
        {rows.map(([name, before, after]) => (
          <tr key={name}>
            <th scope="row">{name}</th>
            <td>{before}</td>
            <td>{after}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

const share = (value: number): string => `${formatNumber(value * 100, 0)} %`
const hours = (value: number): string => `${formatNumber(value, 2)} h`

function exposureRows({ exposure }: FaultComparison): readonly Figure[] {
  if (exposure === null) return []
  const { before, after, coverage, verdict, toFirst, reached, enabledBefore, enabledAfter } = exposure
  return [
    [words.rows.use, formatDuration(before), formatDuration(reached)],
    [words.rows.comparable, '', formatDuration(after)],
    [words.rows.coverage, '', `${share(coverage)}: ${words.verdict[verdict]}`],
    [words.rows.toFirst, formatDuration(toFirst), ''],
    [words.rows.enabled, formatDuration(enabledBefore), formatDuration(enabledAfter)],
  ]
}

function statisticsRows({ statistics }: FaultComparison): readonly Figure[] {
  if (statistics === null) return []
  const { events, hours: counted, p, ratio, perHour, starts, missing } = statistics
  const to = ratio.to === null ? words.noBound : formatNumber(ratio.to, 2)
  return [
    [words.rows.events, `${events.before}`, `${events.after}`],
    [words.rows.hours, hours(counted.before), hours(counted.after)],
    [words.rows.p, '', `${formatNumber(p * 100, 2)} %`],
    [words.rows.ratio, '', words.to(formatNumber(ratio.from, 2), to)],
    ...(perHour === null ? [] : [[words.rows.perHour, '', formatNumber(perHour, 1)] as const]),
    ...(starts === null ? [] : [[words.rows.starts, '', share(starts.chance)] as const]),
    ...(missing === null ? [] : [[words.rows.missing, '', hours(missing)] as const]),
  ]
}

function conditionText({ before }: CompareSides, spn: number, from: number, to: number, units: UnitChoice): string {
  const signal = before.model.info.signals.find((candidate) => candidate.spn === spn)
  const scale = scaleOf(signal?.unit ?? null, 1, units)
  const [low, high] = [formatQuantity(from, { ...scale, unit: '' }), formatQuantity(to, scale)]
  return signal === undefined ? words.condition(spn, low, high) : `${signal.name} ${words.to(low, high)}`
}
