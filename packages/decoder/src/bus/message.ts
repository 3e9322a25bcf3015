/** One instance of a parameter group: a single frame, or many put together again. */
export interface Message {
  /** Number of the interface, in order of first appearance in the log. */
  readonly channel: number
  /** 0 (highest) to 7; of the first frame where there were several. */
  readonly priority: number
  readonly pgn: number
  /** Source address. */
  readonly sa: number
  /** Destination address; 255 means every node. */
  readonly da: number
  /** When its first frame was seen, in microseconds. */
  readonly firstTime: number
  /** When its last frame was seen, in microseconds: the moment the message was complete. */
  readonly time: number
  /** Any length. Good only until the receiver returns; copy what is kept. */
  readonly payload: Uint8Array
  readonly transport: Transported
}

/**
 * How a message came: in one frame, announced to all (BAM), by request and clearance to send
 * (RTS/CTS), or by the extended protocol of ISO 11783-3.
 */
export type Transported = 'single' | 'bam' | 'rts-cts' | 'extended'
