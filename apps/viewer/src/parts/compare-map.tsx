/** Time by speed and load as a map; each cell opens the longest stay in it. */
import type { RunSide } from '@firstcrank/analysis'
import { formatNumber } from '../state/quantity.js'
import { compareText } from '../words/compare-text.js'
import { depthOf, type UseMap } from './compare-cells.js'
import { LineSample } from './compare-chooser.js'
import { type CompareSide, cellsHref, timeIn } from './compare-model.js'
import { ScrollBox } from './scroll-box.js'

const words = compareText.exposure

/** Seconds from which minutes are shorter to read. */
const IN_MINUTES = 10_000

interface MapProps {
  readonly side: RunSide
  readonly map: UseMap
  readonly run: CompareSide
  readonly sa: number
}

/** The map of one run. */
export function UseTable({ side, map, run, sa }: MapProps) {
  const { speeds, loads, most, at } = map
  const minutes = most >= IN_MINUTES
  const unit = minutes ? words.minutes : words.seconds
  const title = words.mapTitle(compareText.sides[side], unit)
  const all = loads.flatMap((load) => speeds.map((speed) => at(speed, load)))
  // The keyboard enters a map at its longest cell, and goes from cell to cell with the arrows.
  const entry = all.reduce((best, stay) => (stay[side] > best[side] ? stay : best))
  return (
    <div class="use-map">
      <h3>
        <LineSample side={side} /> {title}
      </h3>
      <ScrollBox label={words.map[side]}>
        <table class="map-table" onKeyDown={moveInMap}>
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
                  const stay = at(speed, load)
                  const missed = side === 'after' && stay.before > 0 && stay.after === 0
                  const place = stay.longest[side]
                  const shown = timeText(stay[side], minutes)
                  return (
                    <td key={speed} class={missed ? 'missed' : `depth-${depthOf(stay[side], most)}`}>
                      {missed && '0'}
                      {place !== null && (
                        <a
                          href={cellsHref(run, sa, place)}
                          tabIndex={stay === entry ? 0 : -1}
                          aria-label={compareText.seeLabel(
                            compareText.sides[side],
                            timeIn(run, place.from),
                            words.cell(`${shown} ${unit}`, speed, load),
                          )}
                        >
                          {shown}
                        </a>
                      )}
                    </td>
                  )
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollBox>
      <a class="see-link" href={cellsHref(run, sa)}>
        {words.see[side]}
      </a>
    </div>
  )
}

/** Columns and rows that an arrow key moves by. */
const ARROWS: Readonly<Record<string, readonly [column: number, row: number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
}

/** To the next cell with a link in the arrow's direction. */
function moveInMap(event: KeyboardEvent & { readonly currentTarget: HTMLTableElement }): void {
  const [columns, rows] = ARROWS[event.key] ?? [0, 0]
  const cell = (event.target as Element).closest('td')
  if (cell === null || (columns === 0 && rows === 0)) return
  event.preventDefault()
  let column = cell.cellIndex + columns
  let row = (cell.parentElement as HTMLTableRowElement).rowIndex + rows
  for (;;) {
    const next = event.currentTarget.rows[row]?.cells[column]
    if (next === undefined) return
    const link = next.querySelector('a')
    if (link !== null) return link.focus()
    column += columns
    row += rows
  }
}

function timeText(seconds: number, minutes: boolean): string {
  if (seconds === 0) return ''
  const value = minutes ? seconds / 60 : seconds
  return value < 0.1 ? '<0.1' : formatNumber(value, value < 9.95 && value % 1 !== 0 ? 1 : 0)
}
