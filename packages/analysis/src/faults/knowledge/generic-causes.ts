/** Causes any part may have, whatever it is: by name, with the order of steps each asks for. */

/** Which ladder of steps a cause asks for: see `ladder.ts`. */
export type Ladder = 'wiring' | 'reading' | 'mechanism' | 'network' | 'look-up'

/** A cause that is not tied to one part. `{part}` in the title is the part, `{value}` what is measured. */
export interface GenericCause {
  readonly title: string
  readonly ladder: Ladder
  /** Patterns of a fault that show this cause: one of them makes it probable where it is the first of its list. */
  readonly shownBy: readonly string[]
}

const PINNED = ['status-error', 'value-pinned', 'value-frozen'] as const

const TABLE = {
  'circuit-open': { title: '{part}: unplugged, or a wire open', ladder: 'wiring', shownBy: PINNED },
  'circuit-low': { title: '{part}: plug, supply or signal wire', ladder: 'wiring', shownBy: PINNED },
  'circuit-high': {
    title: '{part}: lost sensor ground, open wire, or a short to a supply',
    ladder: 'wiring',
    shownBy: PINNED,
  },
  'short-to-ground': { title: '{part}: a wire touches ground', ladder: 'wiring', shownBy: PINNED },
  'short-to-supply': { title: '{part}: a wire touches a supply', ladder: 'wiring', shownBy: PINNED },
  'bad-contact': {
    title: '{part}: a contact or wire that comes and goes',
    ladder: 'wiring',
    shownBy: ['impossible-step'],
  },
  'sensor-itself': { title: '{part} itself', ladder: 'wiring', shownBy: [] },
  'really-high': { title: '{value} really is too high', ladder: 'reading', shownBy: ['limit-crossed', 'residual'] },
  'really-low': { title: '{value} really is too low', ladder: 'reading', shownBy: ['limit-crossed', 'residual'] },
  'state-true': { title: '{value}: it is as reported', ladder: 'reading', shownBy: ['state-reported'] },
  'reads-wrong': { title: '{part} reads wrong', ladder: 'reading', shownBy: ['siblings-differ'] },
  'coil-open': { title: '{part}: coil, link or wire open', ladder: 'wiring', shownBy: [] },
  'coil-short': { title: '{part}: coil or wire shorted', ladder: 'wiring', shownBy: [] },
  'does-not-move': {
    title: '{part} does not move as told: stuck, dirty, or its linkage',
    ladder: 'mechanism',
    shownBy: ['no-effect'],
  },
  'not-learned': {
    title: '{part}: not learned, or the calibration expects another part',
    ladder: 'look-up',
    shownBy: [],
  },
  'weak-pulses': { title: '{part}: air gap, tone wheel, plug or shield', ladder: 'wiring', shownBy: ['speed-drops'] },
  'own-supply': { title: '{part}: its own supply, ground or plug', ladder: 'wiring', shownBy: ['status-error'] },
  'sender-invalid': {
    title: 'The node that sends {value} has no good value',
    ladder: 'network',
    shownBy: ['status-error'],
  },
  'message-missing': {
    title: 'A message that should come from another node does not come',
    ladder: 'network',
    shownBy: ['message-gap'],
  },
  'supply-wrong': {
    title: '{part}: battery, cable, ground or charging',
    ladder: 'reading',
    shownBy: ['limit-crossed'],
  },
  'controller-inside': {
    title: '{part}: supply, ground or heat of the controller, then the controller',
    ladder: 'look-up',
    shownBy: [],
  },
  'look-it-up': { title: 'The maker’s own instruction for this code', ladder: 'look-up', shownBy: [] },
} as const satisfies Readonly<Record<string, GenericCause>>

/** Name of a generic cause. */
export type GenericCauseId = keyof typeof TABLE

/** All of them. */
export const GENERIC_CAUSES: Readonly<Record<GenericCauseId, GenericCause>> = TABLE
