/** One message opened: every byte as bits, and what each signal in it says. */
import type { RawMessage, RecordingInfo } from '@firstcrank/feed'
import { useEffect, useState } from 'preact/hooks'
import { loadPart } from '../recording/contact.js'
import type { OpenedSignal } from '../recording/decode-message.js'
import type { UnitChoice } from '../state/choices.js'
import { formatQuantity, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { formatTime } from '../state/time.js'
import { nodeTitle } from '../words/labels.js'
import { text } from '../words/text.js'
import { BitGrid, letterOf } from './bit-grid.js'

type Decoding = typeof import('../recording/decode-message.js')

/** The message. The catalogue is loaded when the first one is opened. */
export function MessageBits({ message, info }: { readonly message: RawMessage; readonly info: RecordingInfo }) {
  const [decoding, setDecoding] = useState<Decoding | null>(null)
  const { units } = useSettings()
  useEffect(() => {
    loadPart(() => import('../recording/decode-message.js')).then(setDecoding, () => undefined)
  }, [])
  const bytes = bytesOf(message.data)
  const decoded = decoding?.decodeMessage(message.pgn, bytes)
  const { bitColumns: columns } = text.bus
  return (
    <>
      <h2>
        {message.pgn} {decoded?.acronym ?? ''}
      </h2>
      <p>{decoded?.name ?? (decoding === null ? '' : text.bus.unknownGroup)}</p>
      <p class="faint">
        {formatTime((message.time - (info.from ?? 0)) / 1e6, 0.000001)} · {nodeTitle(info, message.channel, message.sa)}{' '}
        ({message.sa}) → {message.da === 255 ? text.bus.everyone : message.da} · {message.channel} ·{' '}
        {text.bus.transports[message.transport] ?? message.transport}
      </p>
      <BitGrid bytes={bytes} signals={decoded?.signals ?? []} />
      {decoded !== undefined && (
        <table class="signals-table card-table">
          <thead>
            <tr>
              <th scope="col">{columns.letter}</th>
              <th scope="col">{columns.at}</th>
              <th scope="col">{columns.signal}</th>
              <th scope="col">{columns.raw}</th>
              <th scope="col">{columns.value}</th>
            </tr>
          </thead>
          <tbody>
            {decoded.signals.map((signal, place) => (
              <SignalRow
                key={`${signal.spn}/${signal.at}/${signal.instance ?? ''}`}
                signal={signal}
                place={place}
                units={units}
              />
            ))}
          </tbody>
        </table>
      )}
    </>
  )
}

interface RowProps {
  readonly signal: OpenedSignal
  readonly place: number
  readonly units: UnitChoice
}

function SignalRow({ signal, place, units }: RowProps) {
  const { at, spn, name, raw, confidence, failure } = signal
  const { bitColumns: columns } = text.bus
  return (
    <tr>
      <th scope="row">
        <span class={place % 2 ? 'letter odd' : 'letter even'}>{letterOf(place)}</span>
      </th>
      <td class="start-cell" data-name={columns.at}>
        {startWords(at)}
      </td>
      <td>
        {failure === undefined ? name : text.bus.troubleCode(name)}{' '}
        <span class="faint">
          SPN {spn} · {failure === undefined ? confidence : text.bus.troubleCodeSource}
        </span>
      </td>
      <td class="mono" data-name={columns.raw}>
        {raw}
      </td>
      <td data-name={columns.value}>{valueWords(signal, units)}</td>
    </tr>
  )
}

/** Where a signal starts, as the standard writes it (byte, or byte.bit), in words. */
function startWords(at: string): string {
  const [, byte, bit] = /^(\d+)(?:\.(\d))?$/.exec(at) ?? []
  return byte === undefined ? at : text.bus.startsAt(byte, bit)
}

function valueWords({ status, label, value, unit, resolution, failure }: OpenedSignal, units: UnitChoice): string {
  if (failure !== undefined) return text.bus.failure(failure.fmi, failure.meaning, failure.count)
  if (status !== 'valid') return text.plots.status[status] ?? status
  return label ?? (value === null ? '–' : formatQuantity(value, scaleOf(unit, resolution, units)))
}

function bytesOf(hex: string): Uint8Array {
  return Uint8Array.from({ length: hex.length / 2 }, (_, index) =>
    Number.parseInt(hex.slice(index * 2, index * 2 + 2), 16),
  )
}
