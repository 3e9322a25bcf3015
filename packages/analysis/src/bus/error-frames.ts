/** The check on error frames: what the recorder's own controller found damaged, and what became of it. */
import type { ErrorFrame } from '@firstcrank/decoder'
import type { Evidence } from '../model.js'
import { type BusCheck, counted, countOf, lasting } from './context.js'
import { type ControllerStretch, controllerStretches, framesOf } from './controller-state.js'
import { longest } from './silences.js'

const SHOWN = 6
const WIRES =
  'Key off, batteries isolated: 60 Ω between the two bus wires, and no path to ground or supply. Then follow the pair: stubs, plugs, chafed places.'
const RECORDER =
  'First the recorder itself: its bit rate, its plug and ground, and that it is set to listen only. If it stays so: '

export const ERROR_FRAMES: BusCheck = {
  id: 'error-frames',
  title: 'No error frames',
  proves: 'No controller found a frame damaged, as far as the recorder writes it down.',
  judge: ({ recording, limits, channels }) => {
    const { error } = recording.counts
    if (error === 0) {
      return {
        verdict: 'not-judged',
        finding:
          'Not recorded: there is no error frame here, and recorders write them only when told to. None seen is not none occurred.',
        advice:
          'Record once with error frames switched on. Or, key off and batteries isolated: 60 Ω between the two bus wires.',
        cautions: ['bus-measuring'],
      }
    }
    const silences = channels.flatMap(({ silences }) => silences.whole.filter(({ kind }) => kind === 'bus'))
    const stretches = channels.flatMap(({ index }) => controllerStretches(recording, index))
    const longestPassive = limits['error-frames.passive-to']
    const off = stretches.filter(({ state }) => state === 'bus-off')
    const passive = stretches.filter(({ state }) => state === 'passive')
    const lasted = passive.filter(({ from, to }) => to - from > longestPassive.value * 1e6)
    const { errorFrames } = recording
    const rest = error - errorFrames.length
    const sentences = [
      `${counted(error, 'error frame')} recorded${rest > 0 ? `; states are known of the first ${errorFrames.length} only` : ''}.`,
      ...wordsOf(off, 'left the bus (bus-off)'),
      ...wordsOf(passive, 'was error-passive'),
      ...(stretches.length === 0 ? [] : [meaningOf(stretches)]),
      ...(silences.length === 0
        ? []
        : [`The whole bus was silent ${counted(silences.length, 'time')} in the same recording.`]),
    ]
    return {
      verdict: off.length > 0 || lasted.length > 0 || silences.length > 0 ? 'fail' : 'caution',
      finding: sentences.join(' '),
      advice: stretches.length === 0 ? WIRES : `${RECORDER}${WIRES.charAt(0).toLowerCase()}${WIRES.slice(1)}`,
      measured: countOf(error),
      limits: passive.length === 0 ? [limits['error-frames.none']] : [limits['error-frames.none'], longestPassive],
      evidence: [
        ...channels.flatMap(({ index, name }) => allOf(framesOf(recording, index), name, rest > 0)),
        ...[...longest(off, SHOWN), ...longest(passive, SHOWN)].slice(0, SHOWN).map(evidenceOf),
      ],
      cautions: ['bus-measuring'],
    }
  },
}

/** How often the recorder's controller was in a state, and how long at most. */
function wordsOf(stretches: readonly ControllerStretch[], what: string): string[] {
  const [most] = longest(stretches, 1)
  if (most === undefined) return []
  const often = stretches.length === 1 ? 'once' : `${stretches.length} times`
  return [`The recorder’s own controller ${what} ${often}, for up to ${lasting(most)}.`]
}

/** What may be behind it, and what it does not tell. Only errors in what it sends take a controller off the bus. */
function meaningOf(stretches: readonly ControllerStretch[]): string {
  const sent = stretches.some(({ sending }) => sending)
  const reasons = sent
    ? 'the wires, their termination, a wrong bit rate, or nobody there to acknowledge what it sent, for it did not only listen'
    : 'the wires, their termination, or a wrong bit rate'
  return `It met errors: ${reasons}. Which node is at fault this does not say.`
}

function allOf(frames: readonly ErrorFrame[], channel: string, isCut: boolean): Evidence[] {
  const [first] = frames
  const last = frames.at(-1)
  if (first === undefined || last === undefined) return []
  const text = `${isCut ? 'The first ' : ''}${counted(frames.length, 'error frame')} on ${channel}, the earliest and the latest.`
  return [{ text, from: Math.min(first.time, last.time), to: Math.max(first.time, last.time), signals: [] }]
}

function evidenceOf(stretch: ControllerStretch): Evidence {
  const { state, sending, ended, from, to } = stretch
  const what =
    state === 'bus-off'
      ? `left the bus${ended ? ` for ${lasting(stretch)}` : '; it was not heard of again'}`
      : `was error-passive by what it ${sending ? 'sent' : 'received'}${ended ? ` for ${lasting(stretch)}` : '; its return was not recorded'}`
  return { text: `The recorder’s own controller ${what}.`, from, to, signals: [] }
}
