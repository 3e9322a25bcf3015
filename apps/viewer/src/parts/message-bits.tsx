/** One message opened: every byte as bits, and what each signal in it says. */
import type { RawMessage, RecordingInfo } from '@firstcrank/feed'
import { useEffect, useState } from 'preact/hooks'
import { formatQuantity, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { formatTime } from '../state/time.js'
import { nodeTitle } from '../words/labels.js'
import { text } from '../words/text.js'
import { ScrollBox } from './scroll-box.js'

type Decoding = typeof import('../recording/decode-message.js')

/** Bytes shown as bits; longer payloads are rare and long. */
const MOST_BYTES = 64

/** The message. The catalogue is loaded when the first one is opened. */
export function MessageBits({ message, info }: { readonly message: RawMessage; readonly info: RecordingInfo }) {
  const [decoding, setDecoding] = useState<Decoding | null>(null)
  const { units } = useSettings()
  useEffect(() => {
    import('../recording/decode-message.js').then(setDecoding, () => undefined)
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
        ({message.sa}) → {message.da === 255 ? text.bus.everyone : message.da} · {message.channel} · {message.transport}
      </p>
      <ScrollBox label={text.bus.bits}>
        <table class="bits mono">
          <thead>
            <tr>
              <th scope="col">{text.bus.byte}</th>
              {[8, 7, 6, 5, 4, 3, 2, 1].map((bit) => (
                <th scope="col" key={bit}>
                  {bit}
                </th>
              ))}
              <th scope="col">hex</th>
            </tr>
          </thead>
          <tbody>
            {[...bytes.subarray(0, MOST_BYTES)].map((byte, index) => (
              <tr key={index}>
                <th scope="row">{index + 1}</th>
                {[7, 6, 5, 4, 3, 2, 1, 0].map((bit) => (
                  <td key={bit} class={(byte >> bit) & 1 ? 'one' : 'zero'}>
                    {(byte >> bit) & 1}
                  </td>
                ))}
                <td>{byte.toString(16).toUpperCase().padStart(2, '0')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollBox>
      {decoded !== undefined && (
        <table>
          <thead>
            <tr>
              <th scope="col">{columns.at}</th>
              <th scope="col">{columns.signal}</th>
              <th scope="col">{columns.raw}</th>
              <th scope="col">{columns.value}</th>
            </tr>
          </thead>
          <tbody>
            {decoded.signals.map(
              ({ at, spn, name, raw, value, status, label, unit, resolution, instance, confidence }) => (
                <tr key={`${spn}/${at}/${instance ?? ''}`}>
                  <th scope="row" class="mono">
                    {at}
                  </th>
                  <td>
                    {name}{' '}
                    <span class="faint">
                      SPN {spn} · {confidence}
                    </span>
                  </td>
                  <td class="mono">{raw}</td>
                  <td>
                    {status !== 'valid'
                      ? (text.plots.status[status] ?? status)
                      : (label ?? (value === null ? '–' : formatQuantity(value, scaleOf(unit, resolution, units))))}
                  </td>
                </tr>
              ),
            )}
          </tbody>
        </table>
      )}
    </>
  )
}

function bytesOf(hex: string): Uint8Array {
  return Uint8Array.from({ length: hex.length / 2 }, (_, index) =>
    Number.parseInt(hex.slice(index * 2, index * 2 + 2), 16),
  )
}
