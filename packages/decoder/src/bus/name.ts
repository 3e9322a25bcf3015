/**
 * The 64-bit NAME of SAE J1939-81, by which a node claims its address.
 *
 * Sent least significant byte first. Source of the fields and their bits: the Linux kernel's J1939
 * header (comment on `name_t`) and a university lab on address claims; the two agree.
 */
import { BusError } from './error.js'

/** The fields of a NAME, least significant first. */
export interface NameFields {
  /** 21 bits: the maker's own number of this device. */
  readonly identityNumber: number
  /** 11 bits. */
  readonly manufacturerCode: number
  /** 3 bits: which of several controllers of one function, from 0. */
  readonly ecuInstance: number
  /** 5 bits: which of several equal functions, from 0. */
  readonly functionInstance: number
  /** 8 bits. Up to 127 the same everywhere, from 128 depending on industry group and vehicle system. */
  readonly function: number
  /** 1 bit, 0 by the standard; nodes on real trucks set it. */
  readonly reserved: number
  /** 7 bits. */
  readonly vehicleSystem: number
  /** 4 bits. */
  readonly vehicleSystemInstance: number
  /** 3 bits. */
  readonly industryGroup: number
  /** Whether the node may take another address when it loses its own. */
  readonly arbitraryAddressCapable: boolean
}

/** A NAME taken apart. */
export interface Name extends NameFields {
  /** All 64 bits as one unsigned number. Of two NAMEs that want one address the lower wins. */
  readonly value: bigint
}

/** Bytes in a NAME. */
export const NAME_LENGTH = 8

/**
 * Takes the NAME apart whose eight bytes begin at `offset`. Any eight bytes are a NAME.
 *
 * @throws BusError `name-length` where fewer than eight bytes are left
 */
export function decodeName(bytes: Uint8Array, offset = 0): Name {
  if (offset < 0 || offset + NAME_LENGTH > bytes.length) {
    throw new BusError('name-length', `At ${offset} of ${bytes.length} bytes.`)
  }
  const low = littleEndian(bytes, offset)
  const high = littleEndian(bytes, offset + 4)
  return {
    identityNumber: low & 0x1fffff,
    manufacturerCode: low >>> 21,
    ecuInstance: high & 7,
    functionInstance: (high >>> 3) & 0x1f,
    function: (high >>> 8) & 0xff,
    reserved: (high >>> 16) & 1,
    vehicleSystem: (high >>> 17) & 0x7f,
    vehicleSystemInstance: (high >>> 24) & 0xf,
    industryGroup: (high >>> 28) & 7,
    arbitraryAddressCapable: high >>> 31 === 1,
    value: (BigInt(high) << 32n) | BigInt(low),
  }
}

/**
 * The eight bytes of a NAME, the inverse of {@link decodeName}.
 *
 * @throws BusError `name-field` where a field is no integer within its width
 */
export function encodeName(name: NameFields): Uint8Array {
  let value = name.arbitraryAddressCapable ? 1n << 63n : 0n
  for (const [field, shift, bits] of FIELDS) {
    const part = name[field]
    if (!Number.isInteger(part) || part < 0 || part >= 2 ** bits) {
      throw new BusError('name-field', `${field} is ${part}; it has ${bits} bits.`)
    }
    value |= BigInt(part) << BigInt(shift)
  }
  const bytes = new Uint8Array(NAME_LENGTH)
  new DataView(bytes.buffer).setBigUint64(0, value, true)
  return bytes
}

/** Field, first bit, width. */
const FIELDS: readonly (readonly [Exclude<keyof NameFields, 'arbitraryAddressCapable'>, number, number])[] = [
  ['identityNumber', 0, 21],
  ['manufacturerCode', 21, 11],
  ['ecuInstance', 32, 3],
  ['functionInstance', 35, 5],
  ['function', 40, 8],
  ['reserved', 48, 1],
  ['vehicleSystem', 49, 7],
  ['vehicleSystemInstance', 56, 4],
  ['industryGroup', 60, 3],
]

/** Four bytes as an unsigned number, least significant first. */
function littleEndian(bytes: Uint8Array, offset: number): number {
  return (bytes[offset] | (bytes[offset + 1] << 8) | (bytes[offset + 2] << 16) | (bytes[offset + 3] << 24)) >>> 0
}
