/** How the engine was used in both runs: starts, time, and maps whose every cell says its number. */
import { BIN_WIDTH, type ExposureComparison, type RunSide, type Usage } from '@firstcrank/analysis'
import type { UnitChoice } from '../state/choices.js'
import { formatNumber, scaleOf } from '../state/quantity.js'
import { formatDuration } from '../state/time.js'
import { compareText } from '../words/compare-text.js'
import { coolantBars, type Stay, useMap } from './compare-cells.js'
import { SeeList } from './compare-evidence.js'
import { UseTable } from './compare-map.js'
import { type CompareSide, type CompareSides, cellsHref, timeIn, usageHref } from './compare-model.js'

const words = compareText.exposure
const SIDES: readonly RunSide[] = ['before', 'after']

interface ExposureProps {
  readonly exposure: readonly ExposureComparison[]
  readonly sides: CompareSides
  readonly units: UnitChoice
}

/** The part of the page. */
export function CompareExposure({ exposure, sides, units }: ExposureProps) {
  return (
    <section aria-labelledby="exposure-title">
      <h2 id="exposure-title">{words.title}</h2>
      {exposure.length === 0 && <p class="note">{words.none}</p>}
      {exposure.map((engine) => (
        <EngineUse
          key={`${engine.channel}${engine.sa}`}
          engine={engine}
          several={exposure.length > 1}
          sides={sides}
          units={units}
        />
      ))}
    </section>
  )
}

interface EngineProps {
  readonly engine: ExposureComparison
  readonly several: boolean
  readonly sides: CompareSides
  readonly units: UnitChoice
}

function EngineUse({ engine, several, sides, units }: EngineProps) {
  const { cells, coverage, missing, sa } = engine
  const map = useMap(cells)
  return (
    <div class="engine-use">
      {several && <h3>{words.engine(sa)}</h3>}
      <p>
        {words.coverage(shareText(coverage))}
        {missing.length > 0 && ` ${words.missing(missing.map((name) => words.dimensions[name]).join(', '))}`}
      </p>
      {map === null ? (
        <p class="note">{words.noRunning}</p>
      ) : (
        <>
          <div class="use-maps">
            {SIDES.map((side) => (
              <UseTable key={side} side={side} map={map} run={sides[side]} sa={sa} />
            ))}
          </div>
          <p class="faint">{words.legend}</p>
        </>
      )}
      <div class="use-tables">
        <div>
          <UsageTable engine={engine} sides={sides} />
          {engine.evidence.length > 0 && (
            <details class="use-places">
              <summary>{words.places(engine.evidence.length)}</summary>
              <SeeList evidence={engine.evidence} sides={sides} />
            </details>
          )}
        </div>
        <CoolantTable engine={engine} sides={sides} units={units} />
      </div>
    </div>
  )
}

/** Never rounded up to all, nor down to none. */
function shareText(share: number): string {
  const percent = share > 0.99 && share < 1 ? 99 : share > 0 && share < 0.01 ? 1 : share * 100
  return `${formatNumber(percent, 0)} %`
}

function UsageTable({ engine, sides }: Pick<EngineProps, 'engine' | 'sides'>) {
  const times: ReadonlySet<keyof Usage> = new Set(['standing', 'cranking', 'running', 'driving'])
  const shown = (name: keyof Usage, side: RunSide) => {
    const value = engine[side][name]
    if (value === null) return words.unknown
    if (!times.has(name)) return `${value}`
    const length = formatDuration(value)
    const href = value === 0 ? null : usageHref(sides[side], engine.sa, name)
    if (href === null) return length
    return (
      <a href={href} aria-label={`${compareText.sides[side]}: ${words.rows[name]}, ${length}`}>
        {length}
      </a>
    )
  }
  return (
    <table class="small-table">
      <caption>{words.usage}</caption>
      <thead>
        <tr>
          <th scope="col">{words.use}</th>
          {SIDES.map((side) => (
            <th key={side} scope="col" class="number-cell">
              {compareText.sides[side]}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {(Object.keys(words.rows) as (keyof Usage)[]).map((name) => (
          <tr key={name}>
            <th scope="row">{words.rows[name]}</th>
            {SIDES.map((side) => (
              <td key={side} class="number-cell">
                {shown(name, side)}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function CoolantTable({ engine, sides, units }: Omit<EngineProps, 'several'>) {
  const bars = coolantBars(engine.cells)
  if (bars.length === 0) return null
  const scale = scaleOf('°C', 1, units)
  const most = Math.max(...bars.flatMap(({ before, after }) => [before, after]))
  const show = (celsius: number): string => formatNumber(scale.show(celsius), 0)
  const rangeOf = (coolant: number): string => words.range(show(coolant), show(coolant + BIN_WIDTH.coolant))
  return (
    <table class="small-table coolant-table">
      <caption>{words.coolant(scale.unit)}</caption>
      <thead>
        <tr>
          <th scope="col">{words.coolantColumn}</th>
          {SIDES.map((side) => (
            <th key={side} scope="col">
              {compareText.sides[side]}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {bars.map((bar) => (
          <tr key={bar.coolant}>
            <th scope="row">{rangeOf(bar.coolant)}</th>
            {SIDES.map((side) => (
              <Bar
                key={side}
                stay={bar}
                most={most}
                side={side}
                run={sides[side]}
                sa={engine.sa}
                what={`${words.coolantColumn} ${rangeOf(bar.coolant)} ${scale.unit}`}
              />
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  )
}

interface BarProps {
  readonly stay: Stay
  readonly most: number
  readonly side: RunSide
  readonly run: CompareSide
  readonly sa: number
  readonly what: string
}

function Bar({ stay, most, side, run, sa, what }: BarProps) {
  const [seconds, place] = [stay[side], stay.longest[side]]
  const shown = seconds === 0 ? '0' : formatDuration(seconds)
  return (
    <td class="bar-cell">
      <span class="bar-track" aria-hidden="true">
        <span class={`bar bar-${side}`} style={{ width: `${most === 0 ? 0 : (seconds / most) * 100}%` }} />
      </span>
      {place === null ? (
        <span class="bar-value">{shown}</span>
      ) : (
        <a
          class="bar-value"
          href={cellsHref(run, sa, place)}
          aria-label={compareText.seeLabel(compareText.sides[side], timeIn(run, place.from), `${what}, ${shown}`)}
        >
          {shown}
        </a>
      )}
    </td>
  )
}
