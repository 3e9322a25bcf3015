/**
 * The 29-bit identifier of SAE J1939-21.
 *
 * Bits 28–26 priority, 25 extended data page, 24 data page, 23–16 PDU format, 15–8 PDU specific,
 * 7–0 source address. Up to PDU format 239 (PDU1) the PDU specific byte is the destination address;
 * from 240 (PDU2) it is the group extension, part of the parameter group number, and the message is
 * for everybody. Source: SAE J1939-21 as described in the Linux kernel's J1939 documentation.
 */

/** Destination address that means every node. */
export const GLOBAL_ADDRESS = 255
/** Source address of a node that holds no address. */
export const NULL_ADDRESS = 254
/** Lowest PDU format of PDU2, whose messages have no destination. */
export const FIRST_PDU2_FORMAT = 240
/** Highest parameter group number: 18 bits. */
export const MAX_PGN = 0x3ffff

/** An identifier taken apart. */
export interface Identifier {
  /** 0 (highest) to 7. */
  readonly priority: number
  readonly extendedDataPage: 0 | 1
  readonly dataPage: 0 | 1
  readonly pduFormat: number
  readonly pduSpecific: number
  /** Source address, 0 to 255. */
  readonly sa: number
  /** Destination address; 255 for PDU2. */
  readonly da: number
  readonly pgn: number
}

/** The parameter group number in a 29-bit identifier. */
export function pgnOf(id: number): number {
  const group = (id >>> 8) & 0x3ffff
  return isDirected(id) ? group & 0x3ff00 : group
}

/** The source address in a 29-bit identifier. */
export function sourceOf(id: number): number {
  return id & 0xff
}

/** The destination address in a 29-bit identifier; 255 where the format carries none (PDU2). */
export function destinationOf(id: number): number {
  return isDirected(id) ? (id >>> 8) & 0xff : GLOBAL_ADDRESS
}

/** The priority in a 29-bit identifier: 0 (highest) to 7. */
export function priorityOf(id: number): number {
  return (id >>> 26) & 7
}

/** Whether an identifier's format carries a destination address (PDU1). */
function isDirected(id: number): boolean {
  return ((id >>> 16) & 0xff) < FIRST_PDU2_FORMAT
}

/** Whether a parameter group is sent to a destination address (PDU1). */
export function isDirectedGroup(pgn: number): boolean {
  return ((pgn >>> 8) & 0xff) < FIRST_PDU2_FORMAT
}

/** Whether a parameter group is one whose content its maker defines (PDU format 239, or 255). */
export function isProprietaryGroup(pgn: number): boolean {
  const format = (pgn >>> 8) & 0xff
  return format === 0xef || format === 0xff
}

/** Takes a 29-bit identifier apart. Bits above the 29th are ignored. */
export function parseIdentifier(id: number): Identifier {
  return {
    priority: priorityOf(id),
    extendedDataPage: ((id >>> 25) & 1) as 0 | 1,
    dataPage: ((id >>> 24) & 1) as 0 | 1,
    pduFormat: (id >>> 16) & 0xff,
    pduSpecific: (id >>> 8) & 0xff,
    sa: sourceOf(id),
    da: destinationOf(id),
    pgn: pgnOf(id),
  }
}

/**
 * Builds a 29-bit identifier, the inverse of {@link parseIdentifier}.
 * The destination counts only where the group is directed (PDU1).
 */
export function formatIdentifier(parts: { priority: number; pgn: number; sa: number; da?: number }): number {
  const { priority, pgn, sa, da = GLOBAL_ADDRESS } = parts
  const group = isDirectedGroup(pgn) ? (pgn & 0x3ff00) | (da & 0xff) : pgn & MAX_PGN
  return (((priority & 7) << 26) | (group << 8) | (sa & 0xff)) >>> 0
}

/**
 * The group number in three bytes of a payload, least significant first. Of a directed group (PDU1) the
 * lowest byte, which some senders fill, is no part.
 */
export function groupAt(bytes: Uint8Array, at: number): number {
  const pgn = bytes[at] | (bytes[at + 1] << 8) | (bytes[at + 2] << 16)
  return isDirectedGroup(pgn) ? pgn & ~0xff : pgn
}
