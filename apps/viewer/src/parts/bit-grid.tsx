/** The bits of a payload, byte by byte; each signal's are framed and carry its letter. */
import type { OpenedSignal } from '../recording/decode-message.js'
import { text } from '../words/text.js'
import { ScrollBox } from './scroll-box.js'

/** Bytes shown as bits; longer payloads are rare and long. */
const MOST_BYTES = 64
/** Bits of a byte as they are written, the highest first. */
const BITS = [7, 6, 5, 4, 3, 2, 1, 0]

interface BitGridProps {
  readonly bytes: Uint8Array
  readonly signals: readonly OpenedSignal[]
}

/** The table. */
export function BitGrid({ bytes, signals }: BitGridProps) {
  const shown = bytes.subarray(0, MOST_BYTES)
  const owners = ownersOf(shown.length, signals)
  return (
    <ScrollBox label={text.bus.bits}>
      <table class="bits mono">
        <thead>
          <tr>
            <th scope="col">{text.bus.byte}</th>
            {BITS.map((bit) => (
              <th scope="col" key={bit}>
                {bit + 1}
              </th>
            ))}
            <th scope="col">hex</th>
          </tr>
        </thead>
        <tbody>
          {[...shown].map((byte, index) => (
            <tr key={index}>
              <th scope="row">{index + 1}</th>
              {BITS.map((bit) => (
                <Bit key={bit} byte={byte} index={index} bit={bit} owners={owners} />
              ))}
              <td>{byte.toString(16).toUpperCase().padStart(2, '0')}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </ScrollBox>
  )
}

interface BitProps {
  readonly byte: number
  readonly index: number
  readonly bit: number
  readonly owners: readonly (number | null)[]
}

function Bit({ byte, index, bit, owners }: BitProps) {
  const set = (byte >> bit) & 1
  const owner = owners[index * 8 + bit] ?? null
  if (owner === null) return <td class="bit nobody">{set}</td>
  const same = (row: number, other: number): boolean =>
    other >= 0 && other < 8 && row >= 0 && owners[row * 8 + other] === owner
  const first = !same(index, bit + 1)
  const edges = [
    first && 'start',
    !same(index, bit - 1) && 'end',
    !same(index - 1, bit) && 'top',
    !same(index + 1, bit) && 'bottom',
  ]
  return (
    <td class={['bit', owner % 2 ? 'odd' : 'even', set ? 'one' : '', ...edges].filter(Boolean).join(' ')}>
      {first && <span class="bit-letter">{letterOf(owner)}</span>}
      {set}
    </td>
  )
}

/** Whose each bit is: the place of a signal in the list; null where nobody has defined it. */
function ownersOf(bytes: number, signals: readonly OpenedSignal[]): readonly (number | null)[] {
  const owners = new Array<number | null>(bytes * 8).fill(null)
  signals.forEach(({ from, to }, place) => {
    owners.fill(place, from, Math.min(to, owners.length))
  })
  return owners
}

/** A, B, … Z, AA, AB, …: what a signal is called in the grid. */
export function letterOf(place: number): string {
  const last = String.fromCharCode(65 + (place % 26))
  return place < 26 ? last : `${letterOf(Math.floor(place / 26) - 1)}${last}`
}
