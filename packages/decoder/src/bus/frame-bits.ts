/**
 * How many bits a classical CAN frame takes on the wire, from its own content.
 *
 * A frame of ISO 11898-1: start of frame, identifier, control bits, data and CRC, in which a stuff bit
 * follows every five equal bits; then, without stuffing, CRC delimiter, acknowledge slot and delimiter,
 * seven bits end of frame and three bits interframe space. Sources: a microcontroller maker's reference
 * manual (extended frame figure, interframe space) and a question-and-answer thread on stuff bits
 * (stuffed part, 11-bit formula).
 *
 * The header's part is worked out once per identifier and length; the data goes through tables a byte
 * at a time.
 */
import { BusError } from './error.js'

/** Identifier length, and whether it is a remote frame, which has a length code but no data. */
export type FrameKind = 'extended' | 'standard' | 'extended-remote' | 'standard-remote'

/** CRC delimiter 1, acknowledge 2, end of frame 7, interframe space 3. */
const TAIL_BITS = 13
const CRC_BITS = 15
/** Bits from start of frame to the length code, both included. */
const EXTENDED_HEADER_BITS = 39
const STANDARD_HEADER_BITS = 19
/** CRC-15 of ISO 11898-1. */
const CRC_POLYNOMIAL = 0x4599

/**
 * The stuffing machine has eight states: the last bit, and how many equal ones came before it (0 to 3;
 * after a fifth equal bit comes a stuff bit of the other kind, which begins a new run).
 * State = last bit × 4 + equal bits before it.
 */
const FRESH_STATES = [0, 4]

/** What one more bit does: next state in the low three bits, plus 8 where it brings a stuff bit. */
function pushBit(state: number, bit: number): number {
  if (bit !== state >>> 2) return FRESH_STATES[bit]
  if ((state & 3) === 3) return 8 + FRESH_STATES[1 - bit]
  return state + 1
}

/** What `width` more bits do, most significant first: next state in the low three bits, plus 8 per stuff bit. */
function pushBits(state: number, bits: number, width: number): number {
  let next = state
  let stuffed = 0
  for (let i = width - 1; i >= 0; i--) {
    const step = pushBit(next, (bits >>> i) & 1)
    next = step & 7
    stuffed += step & 8
  }
  return stuffed + next
}

/** By state × 256 + byte: see {@link pushBits}. */
const STUFF_BYTE: Uint8Array = Uint8Array.from({ length: 8 * 256 }, (_, i) => pushBits(i >>> 8, i & 0xff, 8))
/** By state × 128 + the CRC's last seven bits. */
const STUFF_SEVEN: Uint8Array = Uint8Array.from({ length: 8 * 128 }, (_, i) => pushBits(i >>> 7, i & 0x7f, 7))

function crcBits(crc: number, bits: number, width: number): number {
  let next = crc
  for (let i = width - 1; i >= 0; i--) {
    const top = (next >>> 14) ^ (bits >>> i)
    next = (next << 1) & 0x7fff
    if (top & 1) next ^= CRC_POLYNOMIAL
  }
  return next
}

/** CRC of a byte followed by 0 to 7 zero bytes: eight tables of 256. */
const CRC_TABLES: readonly Uint16Array[] = crcTables()
const [CRC_0, CRC_1, CRC_2, CRC_3, CRC_4, CRC_5, CRC_6, CRC_7] = CRC_TABLES

function crcTables(): Uint16Array[] {
  const tables = [Uint16Array.from({ length: 256 }, (_, byte) => crcBits(0, byte, 8))]
  while (tables.length < 8) tables.push(tables[tables.length - 1].map((crc) => crcBits(crc, 0, 8)))
  return tables
}

/**
 * Everything about a frame that its data does not change: pass it to {@link frameBits}.
 * Holds the CRC so far in bits 0–14, the stuffing state in 15–17, and in the bits above the frame's
 * length with the header's stuff bits.
 *
 * @param id 29 bits, or 11 for a standard frame; bits above are ignored
 * @param length data bytes, 0 to 8; of a remote frame the number it asks for
 * @throws BusError `frame-length`
 */
export function headerState(id: number, length: number, kind: FrameKind = 'extended'): number {
  checkLength(length)
  const remote = kind === 'extended-remote' || kind === 'standard-remote' ? 1 : 0
  const fields = isExtended(kind) ? extendedHeader(id, remote) : standardHeader(id, remote)
  // The bus was recessive before the start of frame, whose dominant bit thus begins a run.
  let state = FRESH_STATES[1]
  let crc = 0
  let stuffed = 0
  for (const [bits, width] of [...fields, [length, 4] as const]) {
    const step = pushBits(state, bits, width)
    state = step & 7
    stuffed += step >>> 3
    crc = crcBits(crc, bits, width)
  }
  const bits = nominalBits(length, kind) + stuffed
  return (bits << 18) | (state << 15) | crc
}

/**
 * Bits a frame takes on the wire, stuff bits and interframe space included.
 *
 * @param state of {@link headerState} for this frame's identifier and length
 * @param offset where its data begins in `bytes`
 * @param length data bytes; 0 for a remote frame
 */
export function frameBits(state: number, bytes: Uint8Array, offset: number, length: number): number {
  let crc = state & 0x7fff
  let run = (state >>> 15) & 7
  let stuffed = 0
  if (length === 8) {
    const b0 = bytes[offset]
    const b1 = bytes[offset + 1]
    const b2 = bytes[offset + 2]
    const b3 = bytes[offset + 3]
    const b4 = bytes[offset + 4]
    const b5 = bytes[offset + 5]
    const b6 = bytes[offset + 6]
    const b7 = bytes[offset + 7]
    // The CRC is linear: each byte's share can be looked up by itself.
    crc =
      CRC_7[b0 ^ (crc >>> 7)] ^
      CRC_6[b1 ^ ((crc & 0x7f) << 1)] ^
      CRC_5[b2] ^
      CRC_4[b3] ^
      CRC_3[b4] ^
      CRC_2[b5] ^
      CRC_1[b6] ^
      CRC_0[b7]
    const s0 = STUFF_BYTE[(run << 8) | b0]
    const s1 = STUFF_BYTE[((s0 & 7) << 8) | b1]
    const s2 = STUFF_BYTE[((s1 & 7) << 8) | b2]
    const s3 = STUFF_BYTE[((s2 & 7) << 8) | b3]
    const s4 = STUFF_BYTE[((s3 & 7) << 8) | b4]
    const s5 = STUFF_BYTE[((s4 & 7) << 8) | b5]
    const s6 = STUFF_BYTE[((s5 & 7) << 8) | b6]
    const s7 = STUFF_BYTE[((s6 & 7) << 8) | b7]
    run = s7 & 7
    stuffed = (s0 >>> 3) + (s1 >>> 3) + (s2 >>> 3) + (s3 >>> 3) + (s4 >>> 3) + (s5 >>> 3) + (s6 >>> 3) + (s7 >>> 3)
  } else {
    for (let i = 0; i < length; i++) {
      const byte = bytes[offset + i]
      const step = STUFF_BYTE[(run << 8) | byte]
      run = step & 7
      stuffed += step >>> 3
      crc = ((crc << 8) & 0x7fff) ^ CRC_0[(crc >>> 7) ^ byte]
    }
  }
  const high = STUFF_BYTE[(run << 8) | (crc >>> 7)]
  const low = STUFF_SEVEN[((high & 7) << 7) | (crc & 0x7f)]
  return (state >>> 18) + stuffed + (high >>> 3) + (low >>> 3)
}

/**
 * Bits of a frame without any stuff bit: 67 + 8 per byte, or 47 + 8 per byte with an 11-bit identifier.
 *
 * @throws BusError `frame-length`
 */
export function nominalBits(length: number, kind: FrameKind = 'extended'): number {
  return stuffedPart(length, kind) + TAIL_BITS
}

/**
 * Bits of a frame with as many stuff bits as there can be: one after the first five bits, then one for
 * every four. Source: a paper on schedulability analysis of CAN (2007), from memory, and a
 * question-and-answer thread for the 11-bit form.
 *
 * @throws BusError `frame-length`
 */
export function worstCaseBits(length: number, kind: FrameKind = 'extended'): number {
  const stuffed = stuffedPart(length, kind)
  return stuffed + Math.floor((stuffed - 1) / 4) + TAIL_BITS
}

/** Bits from start of frame to the end of the CRC. */
function stuffedPart(length: number, kind: FrameKind): number {
  checkLength(length)
  const data = kind === 'extended' || kind === 'standard' ? length * 8 : 0
  return (isExtended(kind) ? EXTENDED_HEADER_BITS : STANDARD_HEADER_BITS) + data + CRC_BITS
}

function isExtended(kind: FrameKind): boolean {
  return kind === 'extended' || kind === 'extended-remote'
}

/** Fields of the header before the length code: value, width. */
type HeaderFields = readonly (readonly [number, number])[]

function extendedHeader(id: number, remote: number): HeaderFields {
  // Start of frame; first 11 bits; substitute remote request and extension, both 1; the other 18;
  // remote request; two reserved bits.
  return [
    [0, 1],
    [(id >>> 18) & 0x7ff, 11],
    [3, 2],
    [id & 0x3ffff, 18],
    [remote, 1],
    [0, 2],
  ]
}

function standardHeader(id: number, remote: number): HeaderFields {
  // Start of frame; identifier; remote request; extension 0; reserved bit.
  return [
    [0, 1],
    [id & 0x7ff, 11],
    [remote, 1],
    [0, 2],
  ]
}

function checkLength(length: number): void {
  if (!Number.isInteger(length) || length < 0 || length > 8) throw new BusError('frame-length', `Not ${length}.`)
}
