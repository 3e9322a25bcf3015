/** How much is kept, and for how long. Sizes in bytes, times in microseconds. */
export interface TransportLimits {
  /** Largest payload taken by BAM and RTS/CTS. */
  readonly maxPayload: number
  /** Largest payload taken by the extended protocol. */
  readonly maxExtendedPayload: number
  /** Sessions of one source address on one channel, both protocols together. */
  readonly maxSessionsPerNode: number
  readonly maxSessions: number
  /** Silence after which a broadcast is given up. */
  readonly broadcastTimeout: number
  /** Silence after which a directed message is given up. */
  readonly directedTimeout: number
}

/**
 * What a listener allows beyond the times of SAE J1939-21, since recorders delay and the message is
 * either whole or not. Common practice.
 */
const MARGIN = 2

/**
 * The limits where nothing else is said.
 *
 * Payload: 255 packets of 7 bytes is all J1939-21 can carry (Linux kernel's J1939 documentation);
 * 1 MiB and the numbers of sessions: common practice. T1, 750 ms from packet to packet: a Linux kernel
 * commit quoting J1939-21. T2 and T3, 1,250 ms from clearance to data and from data to the next
 * clearance, and T4, 1,050 ms within a hold, which T3 covers: from memory.
 */
export const TRANSPORT_LIMITS: TransportLimits = {
  maxPayload: 1785,
  maxExtendedPayload: 1024 * 1024,
  maxSessionsPerNode: 64,
  maxSessions: 512,
  broadcastTimeout: 750_000 * MARGIN,
  directedTimeout: 1_250_000 * MARGIN,
}
