import type { Transported } from './message.js'

/**
 * Everything out of the ordinary that can happen to a multi-packet message, by code.
 * `incomplete`: the message is lost; every session that is announced and not delivered raises
 * exactly one such event. The others are remarks: the session goes on, or none was announced.
 */
export const TRANSPORT_EVENTS = {
  replaced: {
    incomplete: true,
    meaning: 'A new announcement from the same source to the same destination came before the message was whole.',
  },
  'timed-out': { incomplete: true, meaning: 'Nothing more of the message came within the time limit.' },
  'recording-ended': { incomplete: true, meaning: 'The recording ended before the message was whole.' },
  aborted: { incomplete: true, meaning: 'One of the two nodes aborted the connection; the reason says why.' },
  'missing-packets': {
    incomplete: true,
    meaning: 'The receiver has packets of the message that the recording lacks.',
  },
  'conflicting-packet': {
    incomplete: true,
    meaning: 'A packet came again with other content though nobody had asked for it; the message is dropped.',
  },
  'impossible-size': { incomplete: true, meaning: 'The announced size is zero or more than the protocol can carry.' },
  'wrong-packet-total': { incomplete: true, meaning: 'The announced number of packets does not fit the size.' },
  'impossible-group': { incomplete: true, meaning: 'The announced parameter group number has more than 18 bits.' },
  'over-size-limit': { incomplete: true, meaning: 'The announced size passes the limit set for this decoder.' },
  'too-many-sessions': {
    incomplete: true,
    meaning: 'The limit of sessions, of the node or in all, is reached; the announcement is ignored.',
  },
  'data-without-session': {
    incomplete: false,
    meaning: 'Data packets whose announcement is not in the recording; one event for the whole run.',
  },
  'control-without-session': {
    incomplete: false,
    meaning: 'Answers or aborts whose announcement is not in the recording; one event for the whole run.',
  },
  'directed-bam': { incomplete: false, meaning: 'A broadcast announcement sent to one address; accepted.' },
  'global-rts': { incomplete: false, meaning: 'A request to send, sent to all addresses; accepted.' },
  'small-message': {
    incomplete: false,
    meaning: 'The message is small enough for a simpler way of sending (8 bytes, or 1,785); accepted.',
  },
  gap: { incomplete: false, meaning: 'The sequence numbers jumped ahead; packets between are missing so far.' },
  'out-of-order': { incomplete: false, meaning: 'A packet came after later ones; accepted.' },
  'duplicate-packet': { incomplete: false, meaning: 'A packet came twice with the same content; ignored.' },
  'bad-sequence-number': {
    incomplete: false,
    meaning: 'A sequence number of zero or beyond the announced packets; the packet is ignored.',
  },
  'short-frame': { incomplete: false, meaning: 'A transport frame with too few bytes for its kind; ignored.' },
  'unknown-control': { incomplete: false, meaning: 'A control byte the protocol does not define; ignored.' },
  'repeat-requested': { incomplete: false, meaning: 'The receiver asked for packets again that were already sent.' },
  'cts-beyond-message': {
    incomplete: false,
    meaning: 'The receiver cleared packets to be sent that the message does not have.',
  },
  'wrong-group': {
    incomplete: false,
    meaning: 'A control frame names another group than the session between the two nodes; ignored.',
  },
  'wrong-size-acknowledged': {
    incomplete: false,
    meaning: 'The receiver acknowledged another size than was announced.',
  },
  'aborted-when-whole': {
    incomplete: false,
    meaning: 'The connection was aborted although every packet had been sent; the message was delivered.',
  },
  'wrong-offset': {
    incomplete: false,
    meaning: 'A data packet offset does not follow from the clearance to send, or lies beyond the message.',
  },
  'data-without-offset': {
    incomplete: false,
    meaning: 'Extended data packets before any data packet offset; ignored, since their place is unknown.',
  },
} as const

export type TransportCode = keyof typeof TRANSPORT_EVENTS

/** One thing that happened to one session. */
export interface TransportEvent {
  readonly code: TransportCode
  readonly channel: number
  /** Source address: who sends the message. */
  readonly sa: number
  /** Destination address of the message; 255 for all. */
  readonly da: number
  /** The group being carried; null where no frame named it. */
  readonly pgn: number | null
  readonly transport: Exclude<Transported, 'single'>
  /** When it happened, in microseconds; for a time-out, when the limit passed. */
  readonly time: number
  /** Time of the session's first frame. */
  readonly firstTime: number
  /** Time of the session's last frame that counted. */
  readonly lastTime: number
  /** Announced bytes and packets; 0 where none was announced. */
  readonly size: number
  readonly packets: number
  /** Different packets seen; of data without a session, packets. */
  readonly received: number
  /** Of an abort: the reason (see `abortReason`) and the address that gave it. Else null. */
  readonly reason: number | null
  readonly by: number | null
}
