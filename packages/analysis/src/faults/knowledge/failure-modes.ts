/**
 * All thirty-two failure modes: their class, what on the bus would prove or contradict each, and the
 * first question to ask. What they mean in words is in the decoder's table. Source of proof and
 * contradiction: common practice; they follow from what each mode means.
 */
import type { FaultClass } from './component.js'

/** One failure mode. */
export interface FailureMode {
  readonly fmi: number
  readonly class: FaultClass
  /** What in a recording supports it. */
  readonly proof: string
  /** What in a recording speaks against it. */
  readonly contradiction: string
}

const VALUE_CROSSES = 'The value itself crosses the limit, and signals that depend on it agree.'
const VALUE_STAYS =
  'The value never comes near a limit: another input, a short peak, or a figure inside the controller.'
const PINS = 'From then on the value is pinned at an end, says "error", or is a substitute that stands still.'
const LIVELY =
  'A lively, plausible value while the fault is active: a stored code, another track, or a moment too short to see.'
const RESIDUAL = 'The value differs from what physics or a second signal says, or steps faster than it can.'
const NO_RESIDUAL = 'The value agrees with physics and its neighbours in the same conditions.'
const NO_EFFECT = 'The command is given and the sag, the motion or the pressure it should cause does not come.'
const EFFECT = 'The feedback follows the command.'
const NOTHING = 'Usually nothing on the bus.'
const RESERVED = 'This number is reserved in the editions known here. Look it up in the maker’s list.'

const row = (fmi: number, faultClass: FaultClass, proof: string, contradiction: string): FailureMode => ({
  fmi,
  class: faultClass,
  proof,
  contradiction,
})

/** By number: 0 to 31, each at its own index. */
export const FAILURE_MODES: readonly FailureMode[] = [
  row(0, 'high', VALUE_CROSSES, VALUE_STAYS),
  row(1, 'low', VALUE_CROSSES, VALUE_STAYS),
  row(2, 'implausible', RESIDUAL, NO_RESIDUAL),
  row(3, 'volts-high', PINS, LIVELY),
  row(4, 'volts-low', PINS, LIVELY),
  row(5, 'open', NO_EFFECT, EFFECT),
  row(6, 'overcurrent', NO_EFFECT, EFFECT),
  row(7, 'no-response', NO_EFFECT, EFFECT),
  row(
    8,
    'pulses',
    'The speed drops or doubles for a moment while oil pressure stays.',
    'All signals of the engine stop together: power, not pulses.',
  ),
  row(
    9,
    'late',
    'The message has a gap in the recording, or never comes.',
    'The message comes on time throughout: the receiver’s own branch or its settings.',
  ),
  row(
    10,
    'implausible',
    'The value steps faster than it can in reality.',
    'No step in the recording is faster than physics allows.',
  ),
  row(11, 'unspecific', NOTHING, NOTHING),
  row(12, 'unspecific', 'The device’s own messages say "error" or stop.', 'Its messages go on with good values.'),
  row(13, 'calibration', RESIDUAL, NO_RESIDUAL),
  row(14, 'unspecific', NOTHING, NOTHING),
  row(15, 'high', VALUE_CROSSES, VALUE_STAYS),
  row(16, 'high', VALUE_CROSSES, VALUE_STAYS),
  row(17, 'low', VALUE_CROSSES, VALUE_STAYS),
  row(18, 'low', VALUE_CROSSES, VALUE_STAYS),
  row(
    19,
    'invalid',
    'The sender itself puts "error" or "not available" where the value belongs.',
    'The message holds a good value in the recording.',
  ),
  row(20, 'implausible', RESIDUAL, NO_RESIDUAL),
  row(21, 'implausible', RESIDUAL, NO_RESIDUAL),
  ...[22, 23, 24, 25, 26, 27, 28, 29, 30].map((fmi) => row(fmi, 'unspecific', RESERVED, NOTHING)),
  row(31, 'unspecific', NOTHING, NOTHING),
]

/** The row of a failure mode; that of "cause not known" for numbers outside 0 to 31. */
export function failureMode(fmi: number): FailureMode {
  return FAILURE_MODES[fmi] ?? (FAILURE_MODES[11] as FailureMode)
}

/** The class a failure mode belongs to. */
export function faultClassOf(fmi: number): FaultClass {
  return failureMode(fmi).class
}
