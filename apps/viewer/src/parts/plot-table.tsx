/** What a plot shows, as a table to be read, and as files to be kept. */
import type { RefObject } from 'preact'
import { useState } from 'preact/hooks'
import type { Aligned } from '../charts/columns.js'
import { formatNumber } from '../state/quantity.js'
import type { Window } from '../state/route.js'
import { formatTime, tickStep } from '../state/time.js'
import { text } from '../words/text.js'
import { limitWords } from './plot-signals.js'
import type { NamedBand, PlotSignal } from './plot-view.js'
import { saveFile } from './save-file.js'
import { ScrollBox } from './scroll-box.js'

/** Rows of the table. */
const ROWS = 12

interface TableProps {
  readonly title: string
  readonly signals: readonly PlotSignal[]
  readonly data: Aligned
  readonly window: Window
  readonly bands: readonly NamedBand[]
  readonly host: RefObject<HTMLDivElement | null>
}

/** A fold that holds the table; it is made when it is opened. */
export function PlotTable(props: TableProps) {
  const [open, setOpen] = useState(false)
  const { title, host } = props
  const savePng = (): void => {
    const canvas = host.current?.querySelector('canvas')
    canvas?.toBlob((blob) => {
      if (blob !== null) saveFile(blob, `${fileName(title)}.png`)
    })
  }
  return (
    <details class="plot-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {text.plots.table}
        <span class="hidden">: {title}</span>
      </summary>
      {open && (
        <>
          <Rows {...props} />
          <p class="plot-save">
            <button
              type="button"
              onClick={() => saveFile(new Blob([csvOf(props)], { type: 'text/csv' }), `${fileName(title)}.csv`)}
            >
              {text.plots.csv}
            </button>
            <button type="button" onClick={savePng}>
              {text.plots.png}
            </button>
          </p>
        </>
      )}
    </details>
  )
}

function Rows({ title, signals, data, window, bands }: TableProps) {
  const span = window.to - window.from
  const step = tickStep(span, ROWS)
  const times = Array.from({ length: ROWS }, (_, row) => window.from + (span * row) / (ROWS - 1))
  const columns = signals.map((_, index) => columnOf(data, index + 1, window))
  return (
    <ScrollBox label={text.plots.tableCaption(title)}>
      <table>
        <caption>{text.plots.tableCaption(title)}</caption>
        <thead>
          <tr>
            <th scope="col">{text.plots.tableTime}</th>
            {signals.map(({ id, signal, scale }) => (
              <th scope="col" key={id}>
                {signal.name} {scale.unit && <span class="faint">{scale.unit}</span>}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {times.map((time) => (
            <tr key={time}>
              <th scope="row">{formatTime(time, Math.min(step, 1))}</th>
              {signals.map(({ id, signal, scale }, index) => (
                <td key={id}>{cellText(columns[index]?.at(time) ?? null, signal.labels, scale.decimals)}</td>
              ))}
            </tr>
          ))}
        </tbody>
        <tfoot>
          {(['least', 'greatest'] as const).map((which) => (
            <tr key={which}>
              <th scope="row">{which === 'least' ? text.plots.tableLeast : text.plots.tableGreatest}</th>
              {signals.map(({ id, signal, scale }, index) => (
                <td key={id}>{cellText(columns[index]?.[which] ?? null, signal.labels, scale.decimals)}</td>
              ))}
            </tr>
          ))}
        </tfoot>
      </table>
      {bands.length > 0 && <p>{limitWords(bands)}</p>}
    </ScrollBox>
  )
}

function cellText(
  value: number | null,
  labels: Readonly<Record<string, string>> | undefined,
  decimals: number,
): string {
  if (value === null) return '–'
  return labels?.[`${value}`] ?? formatNumber(value, decimals)
}

/** Looks values of one line up: the last point at or before a time, nothing across a break. */
function columnOf([times, ...lines]: Aligned, index: number, { from, to }: Window) {
  const line = lines[index - 1] ?? []
  let least: number | null = null
  let greatest: number | null = null
  for (let row = 0; row < times.length; row++) {
    const value = line[row]
    const time = times[row] as number
    if (value == null || time < from || time > to) continue
    if (least === null || value < least) least = value
    if (greatest === null || value > greatest) greatest = value
  }
  const at = (time: number): number | null => {
    for (let row = times.length - 1; row >= 0; row--) {
      if ((times[row] as number) <= time && line[row] !== undefined) return line[row] ?? null
    }
    return null
  }
  return { least, greatest, at }
}

function csvOf({ signals, data, window }: TableProps): string {
  const [times, ...lines] = data
  const head = [
    'seconds',
    ...signals.map(({ signal, scale }) => `${signal.name}${scale.unit ? ` [${scale.unit}]` : ''}`),
  ]
  const rows = times.flatMap((time, row) => {
    if (time < window.from || time > window.to) return []
    return [[time.toFixed(6), ...lines.map((line) => (line[row] == null ? '' : `${line[row]}`))].join(',')]
  })
  return [head.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(','), ...rows, ''].join('\r\n')
}

function fileName(title: string): string {
  return title
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .slice(0, 60)
}
