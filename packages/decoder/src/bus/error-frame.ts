/**
 * Error frames: what a recorder's own CAN controller says went wrong on the bus. They are no frames of the
 * bus; the recorder makes them. Bits and bytes: the Linux kernel's header linux/can/error.h.
 */

/** A kind of error, by the bits of an error frame's identifier from the lowest on. */
export const ERROR_CLASSES = [
  'tx-timeout',
  'lost-arbitration',
  'controller',
  'protocol',
  'transceiver',
  'no-acknowledgement',
  'bus-off',
  'bus-error',
  'restarted',
  'counters',
] as const
export type ErrorClass = (typeof ERROR_CLASSES)[number]

/** What became of the controller, by the bits of the second data byte from the lowest on. */
export const CONTROLLER_STATES = [
  'rx-overflow',
  'tx-overflow',
  'rx-warning',
  'tx-warning',
  'rx-passive',
  'tx-passive',
  'active',
] as const
export type ControllerState = (typeof CONTROLLER_STATES)[number]

/** An error frame. */
export interface ErrorFrame {
  readonly channel: number
  /** Microseconds. */
  readonly time: number
  /** The identifier without its flag: the classes as bits. */
  readonly id: number
  /** As it was recorded; what the bytes mean depends on the classes. */
  readonly data: Uint8Array
  readonly classes: readonly ErrorClass[]
  /** Empty unless `classes` has `controller`. */
  readonly controller: readonly ControllerState[]
}

/** Gives an error frame its meaning; its data are copied. */
export function decodeErrorFrame(channel: number, time: number, id: number, data: Uint8Array): ErrorFrame {
  const classes = ERROR_CLASSES.filter((_, bit) => (id & (1 << bit)) !== 0)
  const states = classes.includes('controller') && data.length > 1 ? data[1] : 0
  const controller = CONTROLLER_STATES.filter((_, bit) => (states & (1 << bit)) !== 0)
  return { channel, time, id, data: data.slice(), classes, controller }
}
