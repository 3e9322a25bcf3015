/** How the engine was used in both runs: starts, time, and maps whose every cell says its number. */
import { BIN_WIDTH, type ExposureComparison, type RunSide, type Usage } from '@firstcrank/analysis'
import type { UnitChoice } from '../state/choices.js'
import { formatNumber, scaleOf } from '../state/quantity.js'
import { formatDuration } from '../state/time.js'
import { compareText } from '../words/compare-text.js'
import { coolantBars, depthOf, type UseMap, useMap } from './compare-cells.js'
import { LineSample } from './compare-chooser.js'
import { type CompareSides, cellsHref } from './compare-model.js'
import { ScrollBox } from './scroll-box.js'

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
              <UseTable key={side} side={side} map={map} href={cellsHref(sides[side], sa)} />
            ))}
          </div>
          <p class="faint">{words.legend}</p>
        </>
      )}
      <div class="use-tables">
        <UsageTable before={engine.before} after={engine.after} />
        <CoolantTable engine={engine} units={units} />
      </div>
    </div>
  )
}

/** Never rounded up to all, nor down to none. */
function shareText(share: number): string {
  const percent = share > 0.99 && share < 1 ? 99 : share > 0 && share < 0.01 ? 1 : share * 100
  return `${formatNumber(percent, 0)} %`
}

/** Seconds from which minutes are shorter to read. */
const IN_MINUTES = 10_000

interface MapProps {
  readonly side: RunSide
  readonly map: UseMap
  readonly href: string
}

function UseTable({ side, map, href }: MapProps) {
  const { speeds, loads, most, at } = map
  const minutes = most >= IN_MINUTES
  const title = words.mapTitle(compareText.sides[side], minutes ? words.minutes : words.seconds)
  return (
    <div class="use-map">
      <h3>
        <LineSample side={side} /> {title}
      </h3>
      <ScrollBox label={words.map[side]}>
        <table class="map-table">
          <caption class="hidden">{title}</caption>
          <thead>
            <tr>
              <th scope="col" class="map-corner">
                {words.corner}
              </th>
              {speeds.map((speed) => (
                <th scope="col" key={speed}>
                  {formatNumber(speed, 0)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {loads.map((load) => (
              <tr key={load}>
                <th scope="row">{load === null ? words.allLoads : formatNumber(load, 0)}</th>
                {speeds.map((speed) => {
                  const seconds = at(speed, load)
                  const missed = side === 'after' && seconds.before > 0 && seconds.after === 0
                  return (
                    <td key={speed} class={missed ? 'missed' : `depth-${depthOf(seconds[side], most)}`}>
                      {missed ? '0' : timeText(seconds[side], minutes)}
                    </td>
                  )
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollBox>
      <a class="see-link" href={href}>
        {words.see[side]}
      </a>
    </div>
  )
}

function timeText(seconds: number, minutes: boolean): string {
  if (seconds === 0) return ''
  const value = minutes ? seconds / 60 : seconds
  return value < 0.1 ? '<0.1' : formatNumber(value, value < 9.95 && value % 1 !== 0 ? 1 : 0)
}

function UsageTable({ before, after }: Readonly<Record<RunSide, Usage>>) {
  const times: ReadonlySet<keyof Usage> = new Set(['standing', 'cranking', 'running', 'driving'])
  const shown = (usage: Usage, name: keyof Usage): string => {
    const value = usage[name]
    return value === null ? words.unknown : times.has(name) ? formatDuration(value) : `${value}`
  }
  return (
    <table class="small-table">
      <caption>{words.usage}</caption>
      <thead>
        <tr>
          <th scope="col">{words.use}</th>
          <th scope="col" class="number-cell">
            {compareText.sides.before}
          </th>
          <th scope="col" class="number-cell">
            {compareText.sides.after}
          </th>
        </tr>
      </thead>
      <tbody>
        {(Object.keys(words.rows) as (keyof Usage)[]).map((name) => (
          <tr key={name}>
            <th scope="row">{words.rows[name]}</th>
            <td class="number-cell">{shown(before, name)}</td>
            <td class="number-cell">{shown(after, name)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function CoolantTable({ engine, units }: { readonly engine: ExposureComparison; readonly units: UnitChoice }) {
  const bars = coolantBars(engine.cells)
  if (bars.length === 0) return null
  const scale = scaleOf('°C', 1, units)
  const most = Math.max(...bars.flatMap(({ before, after }) => [before, after]))
  const show = (celsius: number): string => formatNumber(scale.show(celsius), 0)
  return (
    <table class="small-table coolant-table">
      <caption>{words.coolant(scale.unit)}</caption>
      <thead>
        <tr>
          <th scope="col">{words.coolantColumn}</th>
          <th scope="col">{compareText.sides.before}</th>
          <th scope="col">{compareText.sides.after}</th>
        </tr>
      </thead>
      <tbody>
        {bars.map(({ coolant, before, after }) => (
          <tr key={coolant}>
            <th scope="row">{words.range(show(coolant), show(coolant + BIN_WIDTH.coolant))}</th>
            <Bar seconds={before} most={most} side="before" />
            <Bar seconds={after} most={most} side="after" />
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function Bar({ seconds, most, side }: { readonly seconds: number; readonly most: number; readonly side: RunSide }) {
  return (
    <td class="bar-cell">
      <span class="bar-track" aria-hidden="true">
        <span class={`bar bar-${side}`} style={{ width: `${most === 0 ? 0 : (seconds / most) * 100}%` }} />
      </span>
      <span class="bar-value">{seconds === 0 ? '0' : formatDuration(seconds)}</span>
    </td>
  )
}
