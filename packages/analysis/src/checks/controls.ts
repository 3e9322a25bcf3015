/** What is commanded against what happens: pedal, EGR valve, rail pressure. */
import type { Samples } from '@firstcrank/decoder'
import type { Span } from '../model.js'
import { extremes, median, SECOND, secondsOf, valuesAt, windowOf } from '../series.js'
import { type CheckContext, RUNNING, STANDING, say, upTo } from './context.js'
import { type CheckDefinition, type Judged, notJudged, type Outcome } from './definition.js'
import { steadyWindows } from './steady.js'

const PEDAL = 91
const PEDAL_2 = 29
const REST_SWITCH = 558
/** % from which somebody moves the pedal, and from which a sweep may have been meant to be full. */
const MOVED = 10
const SWEPT = 60
/** The switch is told a little after the pedal. */
const SWITCH_LATE = 0.5 * SECOND
/** Excursions of the pedals this long are no single frame. */
const LASTING = 0.2 * SECOND
const RECURRING = 3
/** Shares of agreeing travel from which the second pedal sensor counts as one of another scale. */
const OTHER_SCALE = 0.8
/** % a command may move while it counts as settled. */
const EGR_SETTLED = 2
const RAIL_SETTLED = 3
/** MPa below which a rail command is none. */
const RAIL_LEAST = 5

function judgeTravel(context: CheckContext): Outcome {
  const stretches = context.stretchesOf(STANDING)
  if (stretches.length === 0) return notJudged('the key was never on with the engine at rest')
  const swept = stretches
    .map((span) => ({ span, travel: extremes(context.within(PEDAL, span)) }))
    .filter(({ travel }) => travel !== null && travel.max >= MOVED)
  const sweep = swept.sort((a, b) => (b.travel?.max ?? 0) - (a.travel?.max ?? 0))[0]
  if (sweep?.travel == null) return notJudged('nobody swept the pedal with the key on and the engine off')
  const { span, travel } = sweep
  const rest = context.limit('pedal-travel.rest-to')
  const full = context.limit('pedal-travel.full-from')
  if (travel.max < SWEPT) return notJudged(`the pedal was pressed to ${say(travel.max, 0)} % only with the engine off`)
  const text = `Pedal from ${say(travel.min, 1)} to ${say(travel.max, 1)} % with the engine off.`
  const changes = switchChanges(context, span)
  const strokes = strokesOf(context.within(PEDAL, span), rest)
  const bounces = changes !== null && strokes > 0 && changes !== strokes
  const switchText = changes === null ? '' : ` Rest switch: ${changes} changes in ${strokes} strokes.`
  const verdict = travel.min > rest ? 'fail' : travel.max < full || bounces ? 'caution' : 'pass'
  return {
    verdict,
    measured: { value: travel.max, unit: '%', uncertainty: context.halfStep(PEDAL) },
    finding: text + switchText,
    evidence: [context.evidence(span, text, PEDAL, PEDAL_2, REST_SWITCH)],
  }
}

/** How often the rest switch changed; null where it is not sent. */
function switchChanges(context: CheckContext, span: Span): number | null {
  const { value } = context.within(REST_SWITCH, { from: span.from, to: span.to + SWITCH_LATE })
  if (value.length === 0) return null
  let changes = 0
  for (let i = 1; i < value.length; i++) if (value[i] !== value[i - 1]) changes++
  return changes
}

/** How often the pedal left its rest or came back to it. */
function strokesOf({ value }: Samples, rest: number): number {
  let strokes = 0
  let pressed = (value[0] ?? 0) > MOVED
  for (const percent of value) {
    // Between rest and moved it is on its way.
    const now = pressed ? percent > rest : percent > MOVED
    if (now !== pressed) strokes++
    pressed = now
  }
  return strokes
}

function judgeAgreement(context: CheckContext): Outcome {
  const { engine } = context
  const first = engine.valid(PEDAL)
  const second = valuesAt(engine.valid(PEDAL_2), first.time, engine.hold(PEDAL_2))
  const limit = context.limit('pedal-agreement.pass-to')
  const apart = first.value.map((percent, i) => Math.abs(percent - (second[i] as number)))
  const moved = first.value.filter((percent, i) => percent >= MOVED && !Number.isNaN(second[i] as number))
  if (moved.length < 10) return notJudged('the pedal was hardly moved in this recording')
  const wide = apart.filter((percent, i) => percent > limit && (first.value[i] as number) >= MOVED)
  if (wide.length > OTHER_SCALE * moved.length) {
    return notJudged('the second pedal sensor is sent on another scale: the two differ at nearly every position')
  }
  const excursions = excursionsOf(first.time, apart, limit, engine.hold(PEDAL))
  const most = extremes({ time: first.time, value: apart })
  const worst = excursions.sort((a, b) => secondsOf(b) - secondsOf(a))[0]
  const value = most?.max ?? 0
  const span = worst ?? { from: first.time[0] as number, to: first.time.at(-1) as number }
  const times = excursions.length === 1 ? 'once' : `${excursions.length} times`
  const text =
    worst === undefined
      ? `Never more than ${say(value, 1)} % apart.`
      : `More than ${say(limit, 0)} % apart ${times}, by ${say(value, 0)} % at most.`
  const lasting = worst !== undefined && worst.to - worst.from >= LASTING
  return {
    verdict: worst === undefined ? 'pass' : lasting || excursions.length >= RECURRING ? 'fail' : 'caution',
    measured: { value, unit: '%', uncertainty: context.halfStep(PEDAL) + context.halfStep(PEDAL_2) },
    finding: text,
    evidence: [context.evidence(span, text, PEDAL, PEDAL_2)],
  }
}

/** Stretches in which a value is above a limit; a silence of more than `maxGap` ends one. */
function excursionsOf(time: Float64Array, value: Float64Array, limit: number, maxGap: number): Span[] {
  const found: { from: number; to: number }[] = []
  let open: { from: number; to: number } | undefined
  for (let i = 0; i < value.length; i++) {
    const at = time[i] as number
    if (!((value[i] as number) > limit)) open = undefined
    else if (open === undefined || at - open.to > maxGap) {
      open = { from: at, to: at }
      found.push(open)
    } else open.to = at
  }
  return found
}

/** How far a signal was from its command, in each window in which the command was settled. */
function deviations(
  context: CheckContext,
  signal: number,
  command: number,
  spans: readonly Span[],
  settle: { readonly seconds: number; readonly tolerance: number; readonly wait: number },
): { span: Span; told: number; wanted: number }[] {
  return spans.flatMap((stretch) =>
    steadyWindows(context, command, stretch, settle.seconds + settle.wait, settle.tolerance).flatMap((span) => {
      const settled = { from: span.from + settle.wait * SECOND, to: span.to }
      const values = windowOf(context.engine.valid(signal), settled.from, settled.to)
      const commands = context.engine.valid(command)
      const wanted = median(windowOf(commands, settled.from, settled.to).value)
      // Each value against the command of its moment: a command that dithers has no one value.
      const inForce = valuesAt(commands, values.time, context.engine.hold(command))
      const apart = median(values.value.map((value, i) => value - (inForce[i] as number)).filter(Number.isFinite))
      return apart === null || wanted === null ? [] : [{ span: settled, told: wanted + apart, wanted }]
    }),
  )
}

function judgeEgr(context: CheckContext): Outcome {
  const settle = { seconds: 1, tolerance: EGR_SETTLED, wait: 1 }
  const windows = deviations(context, 27, 2791, context.stretchesOf([...RUNNING, ...STANDING]), settle)
  if (windows.length === 0) return notJudged('the command never stood still for two seconds')
  const judged = windows.map(({ span, told, wanted }): Judged => {
    const value = told - wanted
    const text = `EGR valve at ${say(told)} %, commanded ${say(wanted)} %.`
    return {
      verdict: upTo(Math.abs(value), context.limit('egr-position.pass-to'), context.limit('egr-position.caution-to')),
      measured: { value, unit: '%', uncertainty: context.halfStep(27) + context.halfStep(2791) },
      finding: text,
      evidence: [context.evidence(span, text, 27, 2791)],
    }
  })
  return farthest(judged)
}

function judgeRail(context: CheckContext): Outcome {
  const running = context.stretchesOf(['idle-settle', 'idle', 'warm-idle', 'load'])
  const settle = { seconds: 2, tolerance: RAIL_SETTLED, wait: 1 }
  const windows = deviations(context, 157, 5313, running, settle).filter(({ wanted }) => wanted >= RAIL_LEAST)
  if (windows.length === 0) return notJudged('the command never stood still for three seconds with the engine running')
  const judged = windows.map(({ span, told, wanted }): Judged => {
    const value = (100 * (told - wanted)) / wanted
    const text = `Rail at ${say(told)} MPa, commanded ${say(wanted)} MPa: ${say(value)} % off.`
    return {
      verdict: upTo(Math.abs(value), context.limit('rail-pressure.pass-to'), context.limit('rail-pressure.caution-to')),
      measured: { value, unit: '%', uncertainty: (100 * (context.halfStep(157) + context.halfStep(5313))) / wanted },
      finding: text,
      evidence: [context.evidence(span, text, 157, 5313)],
    }
  })
  return farthest(judged)
}

/** The result that is farthest from its command. */
function farthest(judged: readonly Judged[]): Judged {
  return judged.reduce((a, b) => (Math.abs(b.measured?.value ?? 0) > Math.abs(a.measured?.value ?? 0) ? b : a))
}

export const CONTROL_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'pedal-travel',
    title: 'Pedal from rest to full',
    proves: 'The pedal reaches both ends and its rest switch changes once a stroke.',
    needs: [[PEDAL]],
    fitted: 'pedal',
    enabling: 'A slow sweep with the key on and the engine off.',
    computes: 'Least and greatest pedal position; changes of the rest switch for each stroke.',
    limits: ['pedal-travel.rest-to', 'pedal-travel.full-from'],
    otherwise: 'A voltmeter on each track: 0.5 to 4.5 V is usual.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Sweep again, slowly and to the floor. Short of full: mat, bracket, floor clearance. Switch bouncing: its plug.',
      fail: 'Not back at rest: mat, binding, bracket. Then rest voltage of each track; then the controller’s learning of the pedal.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeTravel,
  },
  {
    id: 'pedal-agreement',
    title: 'Both pedal sensors agree',
    proves: 'The two tracks of the pedal tell the same.',
    needs: [[PEDAL], [PEDAL_2]],
    fitted: 'pedal',
    enabling: 'The pedal was moved, and both sensors are sent on one scale.',
    computes: 'Greatest difference of the two positions.',
    limits: ['pedal-agreement.pass-to'],
    otherwise: 'Two voltmeters, one on each track, in a slow sweep.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Sweep slowly with the engine off and look at the same place of the travel.',
      fail: 'Plug and wires of the pedal first: wiggle while logging. Then the tracks in a slow sweep. The pedal comes last.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeAgreement,
  },
  {
    id: 'egr-position',
    title: 'EGR valve follows its command',
    proves: 'The valve moves freely to where it is told.',
    needs: [[27], [2791]],
    fitted: 'egr',
    enabling: 'The command stood still for two seconds.',
    computes: 'Median position less median command, the second after it settled; the farthest.',
    limits: ['egr-position.pass-to', 'egr-position.caution-to'],
    otherwise: 'The controller’s own actuator test.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Repeat warm; a little soot makes it slow.',
      fail: 'Plug and wires, then soot; free movement only as the manual allows.',
    },
    cautions: ['hot-parts', 'aftertreatment'],
    judge: judgeEgr,
  },
  {
    id: 'rail-pressure',
    title: 'Rail pressure follows its command',
    proves: 'Supply, pump and control valve make the pressure that is asked for.',
    needs: [[157], [5313]],
    enabling: 'Engine running, the command steady for three seconds.',
    computes: 'Median pressure against median command over two seconds; the farthest.',
    limits: ['rail-pressure.pass-to', 'rail-pressure.caution-to'],
    otherwise: 'The controller’s own service data. No probing at the rail.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Watch fuel delivery pressure beside it; look at filter and air in the supply.',
      fail: 'Supply first: delivery pressure, filter, air, leaks on the suction side. Then control valve and pump. No probing at pressure.',
    },
    cautions: ['fuel-pressure'],
    judge: judgeRail,
  },
]
