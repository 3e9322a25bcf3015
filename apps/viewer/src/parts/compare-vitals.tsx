/** Differences of the vitals, phase by phase, with their intervals and whether they count. */
import { BIN_WIDTH, type RunSide, type VitalCell, type VitalComparison } from '@firstcrank/analysis'
import { useState } from 'preact/hooks'
import type { UnitChoice } from '../state/choices.js'
import { changeCompare } from '../state/location.js'
import { formatNumber, type Scale, scaleOf } from '../state/quantity.js'
import { useSentence } from '../state/sentence.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'
import { type CompareSides, evidenceHref, timeIn } from './compare-model.js'
import { ScrollBox } from './scroll-box.js'
import { Stamp, type StampKind } from './stamp.js'

const words = compareText.vitals

interface VitalsProps {
  readonly vitals: readonly VitalComparison[]
  readonly sides: CompareSides
  readonly all: boolean
  readonly units: UnitChoice
}

/** The part of the page. */
export function CompareVitals({ vitals, sides, all, units }: VitalsProps) {
  const counting = vitals.filter(({ matters }) => matters !== 'no')
  const shown = all ? vitals : counting
  return (
    <section aria-labelledby="vitals-title">
      <h2 id="vitals-title">{words.title}</h2>
      {vitals.length === 0 ? (
        <p class="note">{words.none}</p>
      ) : (
        <>
          <p>{words.lead}</p>
          <fieldset class="choices small">
            <legend class="hidden">{words.filter}</legend>
            <button type="button" aria-pressed={!all} onClick={() => changeCompare({ all: false }, 'push')}>
              {words.some} ({counting.length})
            </button>
            <button type="button" aria-pressed={all} onClick={() => changeCompare({ all: true }, 'push')}>
              {words.all} ({vitals.length})
            </button>
          </fieldset>
          {shown.length === 0 ? (
            <p class="note">{words.noneCount(vitals.length)}</p>
          ) : (
            <VitalTable shown={shown} sides={sides} units={units} />
          )}
        </>
      )}
    </section>
  )
}

function VitalTable({
  shown,
  sides,
  units,
}: Omit<VitalsProps, 'all' | 'vitals'> & { readonly shown: VitalsProps['vitals'] }) {
  const { columns } = words
  return (
    <>
      <table class="vital-table stacking">
        <caption class="hidden">{words.caption}</caption>
        <thead>
          <tr>
            <th scope="col">{columns.vital}</th>
            <th scope="col">{columns.phase}</th>
            <th scope="col" class="number-cell">
              {compareText.sides.before}
            </th>
            <th scope="col" class="number-cell">
              {compareText.sides.after}
            </th>
            <th scope="col" class="number-cell">
              {columns.difference}
            </th>
            <th scope="col" class="picture-cell">
              {columns.picture}
            </th>
            <th scope="col">{columns.matters}</th>
          </tr>
        </thead>
        <tbody>
          {shown.map((vital) => (
            <VitalRow key={`${vital.id}${vital.phase}`} vital={vital} sides={sides} units={units} />
          ))}
        </tbody>
      </table>
      <p class="faint">{words.legend}</p>
    </>
  )
}

const MATTERS: Readonly<Record<VitalComparison['matters'], StampKind>> = {
  yes: 'caution',
  perhaps: 'none-found',
  no: 'nothing-judged',
}

interface RowProps {
  readonly vital: VitalComparison
  readonly sides: CompareSides
  readonly units: UnitChoice
}

function VitalRow({ vital, sides, units }: RowProps) {
  const [open, setOpen] = useState(false)
  const { title, phase, unit, difference, interval, matters, limit, because, cells, evidence } = vital
  const { columns } = words
  const say = useSentence()
  // A hundredth of what counts is as fine as anybody wants it.
  const scale = scaleOf(unit, limit.value / 10, units)
  const phaseName = text.phases[phase]
  const value = (side: RunSide) => {
    const item = evidence.find(({ run }) => run === side)
    const number = formatNumber(scale.show(vital[side]), scale.decimals)
    if (item === undefined) return number
    const label = compareText.seeLabel(
      compareText.sides[side],
      timeIn(sides[side], item.from),
      `${title}, ${phaseName}: ${number} ${scale.unit}`,
    )
    return (
      <a href={evidenceHref(sides[side], item)} aria-label={label}>
        {number}
      </a>
    )
  }
  const limitWords = words.limit(`${plain(apart(scale, limit.value), scale)} ${scale.unit}`.trim(), say(limit.source))
  return (
    <>
      <tr class={open ? 'opened-row' : ''}>
        <th scope="row">
          {title} {scale.unit !== '' && <span class="faint">{scale.unit}</span>}
          {because !== null && <span class="because">{say(because)}</span>}
        </th>
        <td data-name={columns.phase}>
          {phaseName}{' '}
          <button
            type="button"
            class="plain cells-button"
            aria-expanded={open}
            aria-label={`${words.cells(cells.length)}: ${words.cellsOf(title, phaseName)}`}
            onClick={() => setOpen(!open)}
          >
            {words.cells(cells.length)}
          </button>
        </td>
        <td data-name={compareText.sides.before} class="number-cell">
          {value('before')}
        </td>
        <td data-name={compareText.sides.after} class="number-cell">
          {value('after')}
        </td>
        <td data-name={columns.difference} class="number-cell">
          <strong>{signed(apart(scale, difference), scale)}</strong>{' '}
          <span class="interval">
            {signed(apart(scale, interval.from), scale)} to {signed(apart(scale, interval.to), scale)}
          </span>
        </td>
        <td class="picture-cell">
          <IntervalPicture difference={difference} interval={interval} limit={limit.value} />
        </td>
        <td data-name={columns.matters}>
          <Stamp kind={MATTERS[matters]} word={words.matters[matters]} />
          <span class="limit-words">{limitWords}</span>
        </td>
      </tr>
      {open && (
        <tr class="cells-row">
          <td colSpan={7}>
            <Cells vital={vital} sides={sides} scale={scale} units={units} name={words.cellsOf(title, phaseName)} />
          </td>
        </tr>
      )}
    </>
  )
}

/** A difference in the unit shown: no offset. */
const apart = (scale: Scale, value: number): number => scale.show(value) - scale.show(0)
const signed = (value: number, scale: Scale): string =>
  `${Number(value.toFixed(scale.decimals)) > 0 ? '+' : ''}${formatNumber(value, scale.decimals)}`
const plain = (value: number, scale: Scale): string =>
  formatNumber(
    value,
    [0, 1, 2].find((decimals) => Math.abs(value - Number(value.toFixed(decimals))) < 1e-6) ?? scale.decimals,
  )

const WIDTH = 150
const HEIGHT = 20

/** The interval against what counts. The numbers stand beside it. */
function IntervalPicture({
  difference,
  interval,
  limit,
}: Pick<VitalComparison, 'difference' | 'interval'> & { readonly limit: number }) {
  const reach =
    1.12 * Math.max(limit * 1.4, Math.min(limit * 6, Math.max(Math.abs(interval.from), Math.abs(interval.to))))
  const x = (value: number): number => Math.min(WIDTH - 3, Math.max(3, WIDTH / 2 + (value / reach) * (WIDTH / 2)))
  const middle = HEIGHT / 2
  return (
    <svg class="interval-picture" width={WIDTH} height={HEIGHT} aria-hidden="true">
      <rect class="limit-box" x={x(-limit)} y="1.5" width={x(limit) - x(-limit)} height={HEIGHT - 3} />
      <line class="zero" x1={WIDTH / 2} x2={WIDTH / 2} y1="0" y2={HEIGHT} />
      <line class="whisker" x1={x(interval.from)} x2={x(interval.to)} y1={middle} y2={middle} />
      {[interval.from, interval.to].map((end) => (
        <line key={end} class="whisker" x1={x(end)} x2={x(end)} y1={middle - 4} y2={middle + 4} />
      ))}
      <circle cx={x(difference)} cy={middle} r="4" />
    </svg>
  )
}

function Cells({
  vital,
  sides,
  scale,
  units,
  name,
}: {
  readonly vital: VitalComparison
  readonly sides: CompareSides
  readonly scale: Scale
  readonly units: UnitChoice
  readonly name: string
}) {
  const coolantScale = scaleOf('°C', 1, units)
  const bin = (value: number | null, width: number, unit: string, show = (n: number) => n): string =>
    value === null ? '–' : `${formatNumber(show(value), 0)} to ${formatNumber(show(value + width), 0)} ${unit}`
  const mean = (cell: VitalCell, side: RunSide) => {
    const [number, place] = [formatNumber(scale.show(cell[side]), scale.decimals), cell.longest[side]]
    if (place === null) return number
    const signals = vital.evidence.find(({ run }) => run === side)?.signals ?? []
    const label = compareText.seeLabel(
      compareText.sides[side],
      timeIn(sides[side], place.from),
      `${vital.title} ${number} ${scale.unit}`,
    )
    return (
      <a href={evidenceHref(sides[side], { ...place, signals })} aria-label={label}>
        {number}
      </a>
    )
  }
  return (
    <ScrollBox label={name}>
      <table class="small-table">
        <caption>{name}</caption>
        <thead>
          <tr>
            <th scope="col">{words.cellColumns.speed}</th>
            <th scope="col">{words.cellColumns.load}</th>
            <th scope="col">{words.cellColumns.coolant}</th>
            <th scope="col" class="number-cell">
              {compareText.sides.before}
            </th>
            <th scope="col" class="number-cell">
              {compareText.sides.after}
            </th>
            <th scope="col" class="number-cell">
              {words.columns.difference}
            </th>
          </tr>
        </thead>
        <tbody>
          {vital.cells.map((cell) => (
            <tr key={`${cell.speed}/${cell.load}/${cell.coolant}`}>
              <td>{bin(cell.speed, BIN_WIDTH.speed, 'rpm')}</td>
              <td>{bin(cell.load, BIN_WIDTH.load, '%')}</td>
              <td>{bin(cell.coolant, BIN_WIDTH.coolant, coolantScale.unit, coolantScale.show)}</td>
              <td class="number-cell">{mean(cell, 'before')}</td>
              <td class="number-cell">{mean(cell, 'after')}</td>
              <td class="number-cell">
                {signed(apart(scale, cell.after - cell.before), scale)}{' '}
                <span class="interval">
                  {signed(apart(scale, cell.interval.from), scale)} to {signed(apart(scale, cell.interval.to), scale)}
                </span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </ScrollBox>
  )
}
