/**
 * Failure mode identifiers: what a trouble code says is wrong, in short words, and the same for a
 * person who has never read the standard. The plain sentences are common practice in workshops.
 */
import type { SourceId } from '../catalog/sources.js'

export interface FmiDefinition {
  /** 0 to 31. */
  readonly fmi: number
  readonly meaning: string
  /** What it says about the part and its wiring. */
  readonly plain: string
  /** Independent sources of the meaning. */
  readonly confirmed: number
  readonly sources: readonly SourceId[]
  readonly note?: string
}

const BOTH: readonly SourceId[] = ['fmi-page', 'genset-engine']
const ALL_THREE: readonly SourceId[] = [...BOTH, 'loader']

const ASSIGNED: readonly FmiDefinition[] = [
  {
    fmi: 0,
    meaning: 'above normal range, most severe',
    plain: 'The value is dangerously high.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 1,
    meaning: 'below normal range, most severe',
    plain: 'The value is dangerously low.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 2,
    meaning: 'erratic, intermittent or wrong data',
    plain: 'The value jumps about or cannot be right.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 3,
    meaning: 'voltage above normal or shorted high',
    plain:
      'Circuit voltage too high: short to supply, lost sensor ground, or an open wire where the input is pulled up.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 4,
    meaning: 'voltage below normal or shorted low',
    plain: 'Circuit voltage too low: short to ground, lost supply, or an open wire where the input is pulled down.',
    confirmed: 2,
    sources: BOTH,
    note: 'One source prints "shorted to high", a typing error.',
  },
  {
    fmi: 5,
    meaning: 'current below normal or open circuit',
    plain: 'Too little current: the load or its wiring is open.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 6,
    meaning: 'current above normal or grounded circuit',
    plain: 'Too much current: a short, or something that cannot move.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 7,
    meaning: 'mechanical system not responding or out of adjustment',
    plain: 'The mechanism did not do what it was told.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 8,
    meaning: 'abnormal frequency, pulse width or period',
    plain: 'The pulses come too fast, too slowly or in the wrong shape.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 9,
    meaning: 'abnormal update rate',
    plain: 'A message came late or not at all.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 10,
    meaning: 'abnormal rate of change',
    plain: 'The value changes faster than it can in reality.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 11,
    meaning: 'cause not known',
    plain: 'Something is wrong; the node cannot say what.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 12,
    meaning: 'bad intelligent device or component',
    plain: 'The device reports itself as bad.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 13,
    meaning: 'out of calibration',
    plain: 'Not learned or not calibrated.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 14,
    meaning: 'special instructions',
    plain: "The maker's own instruction applies: look the code up in the manual.",
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 15,
    meaning: 'above normal range, least severe',
    plain: 'The value is mildly high.',
    confirmed: 2,
    sources: BOTH,
  },
  {
    fmi: 16,
    meaning: 'above normal range, moderately severe',
    plain: 'The value is moderately high.',
    confirmed: 2,
    sources: ALL_THREE,
  },
  {
    fmi: 17,
    meaning: 'below normal range, least severe',
    plain: 'The value is mildly low.',
    confirmed: 2,
    sources: ALL_THREE,
    note: 'One source prints "above" for 17 and 18, a typing error.',
  },
  {
    fmi: 18,
    meaning: 'below normal range, moderately severe',
    plain: 'The value is moderately low.',
    confirmed: 2,
    sources: ALL_THREE,
    note: 'One source prints "above" for 17 and 18, a typing error.',
  },
  {
    fmi: 19,
    meaning: 'received network data in error',
    plain: 'A value that came over the bus was marked invalid by its sender.',
    confirmed: 2,
    sources: ALL_THREE,
  },
  {
    fmi: 20,
    meaning: 'data drifted high',
    plain: 'The value reads higher than it should, slowly wandering off.',
    confirmed: 1,
    sources: BOTH,
    note: 'The older of the sources lists 20 and 21 as reserved.',
  },
  {
    fmi: 21,
    meaning: 'data drifted low',
    plain: 'The value reads lower than it should, slowly wandering off.',
    confirmed: 1,
    sources: BOTH,
    note: 'The older of the sources lists 20 and 21 as reserved.',
  },
]

const RESERVED: readonly FmiDefinition[] = [22, 23, 24, 25, 26, 27, 28, 29, 30].map((fmi) => ({
  fmi,
  meaning: 'reserved',
  plain: 'This number has no meaning in the editions known here.',
  confirmed: 2,
  sources: BOTH,
  note: 'Newer editions of the standard assign some of 22 to 30 (from memory); show the number.',
}))

/** All failure mode identifiers, 0 to 31, each at its own index. */
export const FMIS: readonly FmiDefinition[] = [
  ...ASSIGNED,
  ...RESERVED,
  {
    fmi: 31,
    meaning: 'condition exists',
    plain: 'The condition the parameter names is there.',
    confirmed: 2,
    sources: BOTH,
  },
]

/** What a failure mode identifier means; undefined outside 0 to 31. */
export function fmiDefinition(fmi: number): FmiDefinition | undefined {
  return FMIS[fmi]
}
