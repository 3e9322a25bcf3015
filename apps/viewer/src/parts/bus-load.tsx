/** How busy the bus was: in figures, and over time. */
import type { RecordingInfo } from '@firstcrank/feed'
import { formatNumber } from '../state/quantity.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'
import { LoadPlot } from './bus-load-plot.js'

/** The part of the bus page. */
export function LoadPart({ info }: { readonly info: RecordingInfo }) {
  const { loadColumns: columns } = text.bus
  const zero = info.from ?? 0
  const percent = (share: number | null): string => (share === null ? '–' : `${formatNumber(share * 100, 1)} %`)
  return (
    <>
      {info.loads.length === 0 ? (
        <p class="note">{text.bus.loadNone}</p>
      ) : (
        <table class="card-table">
          <thead>
            <tr>
              <th scope="col">{columns.channel}</th>
              <th scope="col" class="number-cell">
                {columns.rate}
              </th>
              <th scope="col" class="number-cell">
                {columns.frames}
              </th>
              <th scope="col" class="number-cell">
                {columns.mean}
              </th>
              <th scope="col" class="number-cell">
                {columns.maximum}
              </th>
            </tr>
          </thead>
          <tbody>
            {info.loads.map(({ channel, bitRate, basis, frames, mean, maximum, maximumAt }) => (
              <tr key={channel}>
                <th scope="row">{channel}</th>
                <td class="number-cell" data-name={columns.rate}>
                  {formatNumber(bitRate / 1_000, 0)} kbit/s <span class="faint">{text.bus.basis[basis]}</span>
                </td>
                <td class="number-cell" data-name={columns.frames}>
                  {frames.toLocaleString('en')}
                </td>
                <td class="number-cell" data-name={columns.mean}>
                  {percent(mean)}
                </td>
                <td class="number-cell" data-name={columns.maximum}>
                  {percent(maximum)}{' '}
                  <span class="faint">
                    {columns.at} {formatTime(Math.max(0, (maximumAt - zero) / 1e6), 1)}
                  </span>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {info.loads.length > 0 && (
        <>
          <h2>{text.bus.loadOver}</h2>
          <LoadPlot info={info} />
        </>
      )}
    </>
  )
}
