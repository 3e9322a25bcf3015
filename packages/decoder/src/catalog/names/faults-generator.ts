/** Faults of generator sets: electrical output of the generator, the utility and the bus bar. */
import type { FaultTable } from './fault-table.js'

export const GENERATOR_FAULTS: FaultTable = {
  theme: 'generator set',
  source: 'memory',
  names: {
    2504: 'Bus 1 average AC frequency',
    2505: 'Bus 1 phase A AC frequency',
    2506: 'Bus 1 phase B AC frequency',
    2507: 'Bus 1 phase C AC frequency',
    2508: 'Bus 1 average line-line AC RMS voltage',
    2509: 'Bus 1 phase AB line-line AC RMS voltage',
    2510: 'Bus 1 phase BC line-line AC RMS voltage',
    2511: 'Bus 1 phase CA line-line AC RMS voltage',
    2512: 'Bus 1 average line-neutral AC RMS voltage',
    2513: 'Bus 1 phase A line-neutral AC RMS voltage',
    2514: 'Bus 1 phase B line-neutral AC RMS voltage',
    2515: 'Bus 1 phase C line-neutral AC RMS voltage',
  },
}
