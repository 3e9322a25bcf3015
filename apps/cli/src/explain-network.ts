/** What messages of the network itself say: requests, answers, claims, and the frames of longer messages. */
import { abortReason, type Catalogue, decodeName, type Message } from '@firstcrank/decoder'
import { ACKNOWLEDGEMENTS } from '@firstcrank/decoder/catalog'
import { nameField, nameFunction, nameValue } from './names.js'
import { capital, hex, plural } from './text.js'

type Explain = (payload: Uint8Array, groupName: (pgn: number) => string) => string[]

const NAME_BYTES = 8

/** Groups by number, as in the Linux kernel's J1939 header; layouts of SAE J1939-21 and -81, from memory. */
const EXPLAINERS: Readonly<Record<number, { readonly bytes: number; readonly explain: Explain }>> = {
  59904: { bytes: 3, explain: (payload, groupName) => [`Asks for ${groupName(pgnAt(payload, 0))}.`] },
  59392: {
    bytes: 8,
    explain: (payload, groupName) => {
      const meaning = ACKNOWLEDGEMENTS[byteAt(payload, 0)]?.meaning ?? `Reserved control byte ${byteAt(payload, 0)}`
      return [`${meaning}.`, `About ${groupName(pgnAt(payload, 5))}.`]
    },
  },
  60928: { bytes: NAME_BYTES, explain: (payload) => nameLines(payload) },
  65240: {
    bytes: NAME_BYTES + 1,
    explain: (payload) => [...nameLines(payload), `The node with this NAME shall take address ${byteAt(payload, 8)}.`],
  },
  60416: { bytes: 8, explain: connectionLines },
  60160: {
    bytes: 1,
    explain: (payload) => [
      `Packet ${byteAt(payload, 0)} of a longer message: ${plural(payload.length - 1, 'byte')} of it.`,
      'What they mean shows only in the whole message: decode the log they are from.',
    ],
  },
}

/**
 * What a message of the network says; empty for every other group, and where the payload is too short.
 *
 * @param catalogue for the names of the groups it is about
 */
export function networkLines({ pgn, payload }: Pick<Message, 'pgn' | 'payload'>, catalogue: Catalogue): string[] {
  const entry = EXPLAINERS[pgn]
  if (entry === undefined || payload.length < entry.bytes) return []
  return entry.explain(payload, (number) => {
    const group = catalogue.find(number)
    const name = group === undefined ? 'not defined here' : `${group.acronym}, ${group.name}`
    return `group ${number} (${hex(number, 4)}), ${name}`
  })
}

/** Connection management by its control byte. */
function connectionLines(payload: Uint8Array, groupName: (pgn: number) => string): string[] {
  const carried = `Carries ${groupName(pgnAt(payload, 5))}.`
  const size = `${wordAt(payload, 1)} bytes in ${plural(byteAt(payload, 3), 'packet')}`
  switch (byteAt(payload, 0)) {
    case 16:
      return [`Request to send: ${size}.`, carried]
    case 17:
      return [`Clear to send: ${plural(byteAt(payload, 1), 'packet')}, from packet ${byteAt(payload, 2)} on.`, carried]
    case 19:
      return [`End of message acknowledged: ${size}.`, carried]
    case 32:
      return [`Broadcast announcement (BAM): ${size}.`, carried]
    case 255:
      return [`Abort: ${abortReason(byteAt(payload, 1))}.`, carried]
    default:
      return [`Control byte ${byteAt(payload, 0)}, which the protocol does not define.`]
  }
}

function nameLines(payload: Uint8Array): string[] {
  const name = decodeName(payload)
  return [
    `NAME ${nameValue(name)}`,
    `${capital(nameFunction(name))} (function ${name.function}), instance ${name.functionInstance}, ECU instance ${name.ecuInstance}`,
    `${nameField(name)} (industry group ${name.industryGroup}, vehicle system ${name.vehicleSystem}, instance ${name.vehicleSystemInstance})`,
    `Manufacturer ${name.manufacturerCode}, identity number ${name.identityNumber}`,
    name.arbitraryAddressCapable ? 'May take another address.' : 'Keeps to its address.',
  ]
}

function byteAt(payload: Uint8Array, at: number): number {
  return payload[at] ?? 0
}

function wordAt(payload: Uint8Array, at: number): number {
  return byteAt(payload, at) + byteAt(payload, at + 1) * 256
}

function pgnAt(payload: Uint8Array, at: number): number {
  return wordAt(payload, at) + byteAt(payload, at + 2) * 65_536
}
