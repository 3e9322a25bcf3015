/** What happens on a bus beside values, in one shape for lists, files and live views. */
import type { NodeEvent } from '../bus/nodes.js'
import type { TransportEvent } from '../bus/transport-events.js'
import type { Clear, IndividualClear } from '../diagnostics/clears.js'

/** A command to clear faults, or a node's answer to one. */
export interface ClearEvent {
  readonly channel: number
  /** Microseconds. */
  readonly time: number
  readonly sa: number
  readonly da: number
  readonly command: Clear | IndividualClear
}

/** One event, in the order things happened. */
export type BusEvent =
  | ({ readonly kind: 'transport' } & TransportEvent)
  | ({ readonly kind: 'node' } & NodeEvent)
  | ({ readonly kind: 'clear' } & ClearEvent)
