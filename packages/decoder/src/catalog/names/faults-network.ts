/** Faults of data links, and of the nodes on them. */
import type { FaultTable } from './fault-table.js'

export const NETWORK_FAULTS: FaultTable = {
  theme: 'network',
  source: 'memory',
  names: {
    608: 'J1587 data link',
    625: 'Proprietary network 1',
    639: 'J1939 network 1',
    1231: 'J1939 network 2',
    1235: 'J1939 network 3',
    1668: 'J1939 network 4',
    1669: 'J1939 network 5',
  },
  // SPN 2000 plus the source address: what a node reports when another falls silent.
  series: [{ first: 2000, count: 254, start: 0, name: 'Network member at source address #' }],
}
