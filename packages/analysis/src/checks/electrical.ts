/** Battery at rest, in cranking, and charging; the intake heater's draw and release. */
import { interpolate } from '../derived/map.js'
import type { Phase } from '../model.js'
import { extremes, median, SECOND, secondsOf, windowOf } from '../series.js'
import { type CheckContext, from, RUNNING, STANDING, say, worse } from './context.js'
import { type CheckDefinition, type Judged, notJudged, type Outcome } from './definition.js'
import { standsCold } from './rest.js'

const VOLTS = [[168, 158]] as const
/** Hours after which a battery has lost its surface charge. Source: common practice. */
const RESTED_HOURS = 4
/** Colder than this no cranking figure was published. °C. */
const COLDEST = -18
/** Messages below which a low voltage is only a caution. */
const FEW = 3
/** The current that sets a starter turning is over after so long; load-test figures are for steady load. */
const INRUSH = 0.5 * SECOND
/** A start is over, and its heater and recharge with it, after so long. Our own choice. */
const AFTER_START = 90 * SECOND
/** Above this speed an alternator gives its voltage. rpm. */
const CHARGES_ABOVE = 1200
/** s of voltages that tell enough. */
const CHARGING_LEAST = 30
/** A voltage sent as a load begins may already have it. Our own choice: what messages of one moment are apart. */
const EDGE = 0.1 * SECOND
/** What of the time after preheating still tells of the heater. Our own choice. */
const AFTER_HEAT = 10 * SECOND

/** Battery at rest. */
function judgeRest(context: CheckContext): Outcome {
  const { profile, phases } = context
  const spn = context.firstOf(168, 158) as number
  const first = phases[0]
  if (first === undefined || !['key-on', 'preheat', 'cranking'].includes(first.kind)) {
    return notJudged('the recording does not begin with the key just turned on')
  }
  const { restedHours } = profile.run
  if (restedHours !== undefined && restedHours < RESTED_HOURS) {
    return notJudged(`by the profile the vehicle had stood for ${restedHours} hours only`)
  }
  const loaded = phases.find(({ kind }) => kind !== 'key-on')?.from ?? first.to
  const before = context.within(spn, { from: first.from, to: Math.min(loaded - EDGE, first.from + 5 * SECOND) })
  const volts = median(before.value)
  if (volts === null) return notJudged('no voltage was sent between key-on and the first load')
  if (restedHours === undefined && !standsCold(context)) {
    return notJudged('whether the vehicle had stood for hours cannot be seen: its temperatures differ or are missing')
  }
  const span = { from: before.time[0] as number, to: before.time[before.time.length - 1] as number }
  const count = before.value.length
  const full = from(volts, context.limit('rest-voltage.pass-from'), context.limit('rest-voltage.caution-from'))
  const verdict = full === 'fail' && count < FEW ? 'caution' : full
  const few = count < FEW ? `; only ${count === 1 ? 'one message' : `${count} messages`} before the first load` : ''
  return {
    verdict,
    measured: { value: volts, unit: 'V', uncertainty: context.halfStep(spn) },
    finding: `${say(volts, 2)} V at rest with the key on${few}.`,
    evidence: [context.evidence(span, `Battery ${say(volts, 2)} V before anything loaded it.`, spn)],
  }
}

/** The least voltage a good battery holds in cranking, by temperature. */
function crankLimit(context: CheckContext, celsius: number): number {
  const points: readonly (readonly [number, number])[] = [
    [-18, context.limit('crank-voltage.at-minus-18-degrees')],
    [0, context.limit('crank-voltage.at-0-degrees')],
    [10, context.limit('crank-voltage.at-10-degrees')],
    [21, context.limit('crank-voltage.at-21-degrees')],
  ]
  return interpolate(points, celsius)
}

/** Whether the engine controller claimed its address anew while the starter turned. */
function resetIn({ engine }: CheckContext, { from, to }: Phase): boolean {
  const { recording, channel, sa } = engine
  return recording.events.some(
    (event) =>
      event.kind === 'node' &&
      (event.code === 'reclaimed' || (event.code === 'claimed' && !event.asked)) &&
      event.address === sa &&
      recording.channels[event.channel] === channel &&
      event.time > from + 0.3 * SECOND &&
      event.time <= to + SECOND,
  )
}

function judgeCrank(context: CheckContext): Outcome {
  const spn = context.firstOf(168, 158) as number
  const cranked = context.phasesOf(['cranking'])
  if (cranked.length === 0) return notJudged('nobody cranked in this recording')
  const long = cranked.filter((phase) => secondsOf(phase) >= 1)
  if (long.length === 0) return notJudged('every attempt was shorter than a second')
  const judged = long.flatMap((phase): { outcome: Judged | null; volts: number; celsius: number; phase: Phase }[] => {
    const least = extremes(context.within(spn, { from: phase.from + INRUSH, to: phase.to }))
    const reset = resetIn(context, phase)
    if (least === null && !reset) return []
    const air = context.surroundings(phase.from)
    const celsius = air?.celsius ?? 21
    const limit = crankLimit(context, celsius)
    const volts = least?.min ?? 0
    const bare = from(
      volts,
      limit - context.limit('crank-voltage.pass-within'),
      limit - context.limit('crank-voltage.caution-within'),
    )
    const cold = celsius < COLDEST && bare !== 'pass' && !reset
    if (cold) return [{ outcome: null, volts, celsius, phase }]
    const verdict = reset ? 'fail' : air === undefined && bare === 'fail' ? 'caution' : bare
    const where = air === undefined ? 'temperature not known' : `at ${say(celsius, 0)} °C`
    const lowest =
      least === null ? 'No voltage was sent while cranking' : `Lowest sampled ${say(volts, 2)} V in cranking`
    const restarted = reset ? ' The engine controller restarted meanwhile.' : ''
    const finding = `${lowest}, ${where}; wanted ${say(limit, 2)} V or more.${restarted}`
    const measured = least === null ? null : ({ value: volts, unit: 'V', uncertainty: null } as const)
    return [
      {
        volts,
        celsius,
        phase,
        outcome: { verdict, measured, finding, evidence: [context.evidence(phase, finding, spn)] },
      },
    ]
  })
  const worst = judged
    .flatMap(({ outcome }) => outcome ?? [])
    .reduce<Judged | undefined>(
      (a, b) => (a === undefined || worse(a.verdict, b.verdict) !== a.verdict ? b : a),
      undefined,
    )
  if (worst !== undefined) return worst
  const cold = judged[0]
  if (cold === undefined) return notJudged('no voltage was sent while cranking')
  return notJudged(
    `it was ${say(cold.celsius, 0)} °C, colder than any figure there is; lowest sampled ${say(cold.volts, 2)} V`,
    { evidence: [context.evidence(cold.phase, `Lowest sampled ${say(cold.volts, 2)} V in cranking.`, spn)] },
  )
}

function judgeCharging(context: CheckContext): Outcome {
  const spn = context.firstOf(168, 158) as number
  const { engine } = context
  const fast: number[] = []
  const slow: number[] = []
  let first = Number.NaN
  let last = Number.NaN
  for (const run of context.stretchesOf(RUNNING)) {
    const started = context.starts().some(({ fired }) => fired === run.from)
    const volts = windowOf(engine.valid(spn), run.from + (started ? AFTER_START : 0), run.to)
    for (let i = 0; i < volts.time.length; i++) {
      const time = volts.time[i] as number
      const speed = context.at(190, time)
      if (speed === null) continue
      const isFast = speed > CHARGES_ABOVE
      ;(isFast ? fast : slow).push(volts.value[i] as number)
      if (Number.isNaN(first)) first = time
      last = time
    }
  }
  const limits = [
    context.limit('charging-voltage.pass-from'),
    context.limit('charging-voltage.pass-to'),
    context.limit('charging-voltage.caution-from'),
    context.limit('charging-voltage.caution-to'),
  ] as const
  const isEnough = ({ length }: readonly number[]): boolean => context.secondsOf(spn, length) >= CHARGING_LEAST
  const bySpeed = isEnough(fast)
  const used = bySpeed ? fast : slow
  const volts = median(used)
  if (volts === null || !isEnough(used)) {
    return notJudged('the engine did not run for half a minute, a minute and a half after its start')
  }
  const verdict = worse(
    from(volts, limits[0], limits[2]),
    volts <= limits[1] ? 'pass' : volts <= limits[3] ? 'caution' : 'fail',
  )
  const where = bySpeed ? `above ${CHARGES_ABOVE} rpm` : 'at idle'
  const span = { from: first, to: last }
  const evidence = [context.evidence(span, `Median ${say(volts, 2)} V ${where}.`, spn, 190)]
  const measured = { value: volts, unit: 'V', uncertainty: context.halfStep(spn) } as const
  if (!bySpeed && verdict !== 'pass') {
    const reason = `the engine never ran above ${CHARGES_ABOVE} rpm for half a minute; at idle it was ${say(volts, 2)} V`
    return notJudged(reason, { evidence, measured })
  }
  return { verdict, measured, finding: `${say(volts, 2)} V ${where}, median of ${used.length} messages.`, evidence }
}

/** A stretch of preheating with the median voltage before and while, and those after it; null where none was sent. */
interface Preheat {
  readonly phase: Phase
  readonly before: number | null
  readonly during: number | null
  readonly after: readonly number[]
}

function preheats(context: CheckContext): Preheat[] {
  const period = context.engine.period(168) ?? SECOND
  return context.phasesOf(['preheat']).flatMap((phase) => {
    if (phase.basis === 'probable' || secondsOf(phase) < 3) return []
    const stretch = context.stretchesOf(STANDING).find((s) => s.from <= phase.from && s.to >= phase.to)
    // The controller filters its voltage: the edges say neither.
    const edge = 0.3 * SECOND
    const before = context.within(168, { from: stretch?.from ?? phase.from, to: phase.from - EDGE })
    const during = context.within(168, { from: phase.from + period, to: phase.to - edge })
    const end = Math.min((stretch?.to ?? phase.to) - EDGE, phase.to + AFTER_HEAT)
    const after = context.within(168, { from: phase.to + edge, to: end })
    return [{ phase, before: median(before.value), during: median(during.value), after: [...after.value] }]
  })
}

/** A 12-volt battery that reads this much feeds no heater; one that reads less than the other does. V. Our own choice. */
const UNLOADED_BATTERY = 12.4
const LOADED_BATTERY = 12.1

interface Draw {
  readonly phase: Phase
  /** V without the heater; null where no message says it. */
  readonly rest: number | null
  readonly during: number
  readonly sag: number
}

/** What one preheating drew; undefined where it cannot be said. */
function drawOf(context: CheckContext, { phase, before, during, after }: Preheat): Draw | undefined {
  if (during === null) return undefined
  const wanted = context.limit('heater-draw.sag-from')
  const scale = context.volts / 12
  const recovered = after.length === 0 ? null : Math.max(...after)
  // Without a voltage before it, a recovery shows the sag; no recovery shows nothing.
  const rest = before ?? (recovered !== null && recovered - during >= wanted ? recovered : null)
  // A battery that was down already may have fed the heater all along.
  const wasDown = rest !== null && rest <= LOADED_BATTERY * scale && rest - during < wanted
  if (rest !== null) return wasDown ? undefined : { phase, rest, during, sag: rest - during }
  return during >= UNLOADED_BATTERY * scale ? { phase, rest: null, during, sag: 0 } : undefined
}

function judgeHeaterDraw(context: CheckContext): Outcome {
  const heats = preheats(context)
  if (heats.length === 0) return notJudged('the wait-to-start lamp was not on for three seconds or more')
  const wanted = context.limit('heater-draw.sag-from')
  const seen = heats.flatMap((heat) => drawOf(context, heat) ?? [])
  const least = seen.sort((a, b) => a.sag - b.sag)[0]
  if (least === undefined) {
    return notJudged('too few voltages were sent around the preheating, or the battery was down before it')
  }
  const { phase, rest, during, sag } = least
  const isFitted = context.profile.fitted.intakeHeater === true
  const without = rest === null ? '' : `${say(rest, 2)} V without, `
  const text = `Lamp on for ${say(secondsOf(phase))} s: battery ${without}${say(during, 2)} V with.`
  return {
    verdict: sag >= wanted ? 'pass' : isFitted ? 'fail' : 'caution',
    measured: rest === null ? null : { value: sag, unit: 'V', uncertainty: 2 * context.halfStep(168) },
    finding: sag >= wanted ? `${text} The heater draws current.` : `${text} Nothing that heats draws current.`,
    evidence: [context.evidence(phase, text, 168, 1081)],
  }
}

/** Share of the heater's sag that is still there when it should have gone. Our own choice. */
const STAYS = 0.6
/** Running long after the start, a system that charges but never reaches this is loaded by something. V. Common practice. */
const UNLOADED = 14
const CHARGES = 13
const LATE = 120 * SECOND

/** The highest voltage two minutes and more after a start, from 20 messages up; undefined where there are fewer. */
function highestRunning(context: CheckContext): number | undefined {
  const late = context.starts().map(({ fired, to }) => context.within(168, { from: fired + LATE, to }).value)
  const highest = late.filter(({ length }) => length >= 20).map((volts) => volts.reduce((a, b) => Math.max(a, b)))
  return highest.length === 0 ? undefined : Math.max(...highest)
}

interface Release {
  readonly phase: Phase
  /** Whether the voltage without heater was seen; else that of a full battery stands in. */
  readonly seen: boolean
  readonly sag: number
  readonly left: number
  readonly messages: number
}

function releaseOf(context: CheckContext, { phase, before, during, after }: Preheat): Release | undefined {
  if (during === null || after.length === 0) return undefined
  const wanted = context.limit('heater-draw.sag-from')
  const isDown = during <= (LOADED_BATTERY * context.volts) / 12
  const seen = before !== null && before - during >= wanted
  const rest = seen ? before : isDown ? context.limit('rest-voltage.pass-from') : null
  if (rest === null || rest - during < wanted) return undefined
  return { phase, seen, sag: rest - during, left: rest - Math.max(...after), messages: after.length }
}

/** Whether the starter turned the engine as a charged battery does: then a low voltage before it was a load. */
function cranksWell(context: CheckContext): boolean {
  return context.starts().some(({ cranking }) => {
    const speeds = context.within(190, { from: cranking.from + INRUSH, to: cranking.to }).value
    return (median(speeds) ?? 0) >= context.limit('crank-speed.pass-from')
  })
}

function judgeHeaterRelease(context: CheckContext): Outcome {
  const heats = preheats(context).flatMap((heat) => releaseOf(context, heat) ?? [])
  const worst = heats.sort((a, b) => b.left / b.sag - a.left / a.sag)[0]
  if (worst === undefined) {
    return notJudged('there was no preheating with a sag, or no voltage was sent between its end and the starter')
  }
  const { phase, sag, left, messages, seen } = worst
  const scale = context.volts / 12
  const most = highestRunning(context)
  const loaded = most !== undefined && most < UNLOADED * scale && most >= CHARGES * scale
  const stays = left >= STAYS * sag
  // A battery that was low throughout may just be flat; only the loaded system running makes it more.
  if (stays && !seen && !loaded) {
    return notJudged('the battery was low before, while and after preheating: flat, or loaded all along')
  }
  const sure = (seen && messages >= 2) || (loaded && (seen || cranksWell(context)))
  const verdict = !stays ? 'pass' : sure ? 'fail' : 'caution'
  const words = seen
    ? `Preheating pulled the battery down by ${say(sag, 2)} V; after it, ${say(Math.max(0, left), 2)} V of that stayed`
    : `The battery stayed ${say(Math.max(0, left), 2)} V below a full one after preheating`
  const more = stays && loaded ? `, and two minutes into the run the system never passed ${say(most, 2)} V` : ''
  const span = { from: phase.from, to: phase.to + 3 * SECOND }
  return {
    verdict,
    measured: { value: left, unit: 'V', uncertainty: seen ? 2 * context.halfStep(168) : null },
    finding: `${words}${more}.`,
    evidence: [context.evidence(span, `${words}.`, 168, 1081)],
    ...(stays ? { cautions: ['heater-stuck'] } : {}),
  }
}

export const ELECTRICAL_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'rest-voltage',
    title: 'Battery at rest',
    proves: 'The battery was charged before the start.',
    needs: VOLTS,
    enabling: 'Stood for four hours or more; key on, nothing preheating or cranking yet.',
    computes: 'Median voltage of the first five seconds with the key on, before the first load.',
    limits: ['rest-voltage.pass-from', 'rest-voltage.caution-from'],
    otherwise: 'A voltmeter at the battery posts, key off, after four hours of rest.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Charge the battery before further tests; low voltage makes other faults look real.',
      fail: 'Charge and load-test the battery before looking at anything else.',
    },
    cautions: ['battery'],
    judge: judgeRest,
  },
  {
    id: 'crank-voltage',
    title: 'Battery in cranking',
    proves: 'Battery, cables and grounds carried the starter without dragging the controllers down.',
    needs: VOLTS,
    enabling: 'An attempt of a second or more. The voltage message is slow: the true minimum may be lower.',
    computes: 'Least sampled voltage in cranking, the first half second left out, against a limit by temperature.',
    limits: [
      'crank-voltage.at-21-degrees',
      'crank-voltage.at-10-degrees',
      'crank-voltage.at-0-degrees',
      'crank-voltage.at-minus-18-degrees',
      'crank-voltage.pass-within',
      'crank-voltage.caution-within',
    ],
    otherwise: 'A voltmeter with minimum hold at the battery posts while cranking.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Charge and load-test the battery; measure the voltage drop of both cables while cranking.',
      fail: 'Measure the voltage drop while cranking, plus side and ground side, before suspecting a controller: at most 0.5 V and 0.2 V. Then load-test the battery.',
    },
    cautions: ['before-cranking', 'battery', 'crank-limit'],
    judge: judgeCrank,
  },
  {
    id: 'charging-voltage',
    title: 'Charging',
    proves: 'The alternator feeds the system and is regulated.',
    needs: VOLTS,
    fitted: 'alternator',
    enabling: 'Above 1,200 rpm for half a minute, a minute and a half after the start; the heater is off by then.',
    computes: 'Median voltage.',
    limits: [
      'charging-voltage.pass-from',
      'charging-voltage.pass-to',
      'charging-voltage.caution-from',
      'charging-voltage.caution-to',
    ],
    otherwise: 'A voltmeter at the battery posts at 1,500 rpm, large loads off.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Measure at the battery posts. A controlled alternator varies on purpose: look into its maker’s figures.',
      fail: 'Measure at the alternator’s output and at the battery posts: belt, excitation and cable come before the alternator.',
    },
    cautions: ['rotating-parts', 'battery'],
    judge: judgeCharging,
  },
  {
    id: 'heater-draw',
    title: 'Intake heater draws current',
    proves: 'Link, solenoid and grid of the intake heater are whole.',
    needs: [[168], [1081, 1675]],
    fitted: 'intakeHeater',
    enabling: 'Preheating of three seconds or more.',
    computes: 'Voltage before preheating less the median while it lasts.',
    limits: ['heater-draw.sag-from'],
    otherwise: 'A current clamp on the heater cable while the lamp is on.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'If an intake heater is fitted: voltage at its stud with the lamp on. None: link or solenoid. There: grid or its ground.',
      fail: 'Voltage at the heater’s stud with the lamp on. None: link or solenoid, then its coil wire. There: grid or its ground. An ohm-meter misleads on a grid.',
    },
    cautions: ['intake-heater', 'battery'],
    judge: judgeHeaterDraw,
  },
  {
    id: 'heater-release',
    title: 'Intake heater switches off',
    proves: 'The solenoid of the intake heater opens again.',
    needs: [[168], [1081, 1675]],
    fitted: 'intakeHeater',
    enabling: 'Preheating with a sag, and a voltage sent between its end and the starter.',
    computes: 'How much of the sag is left after preheating.',
    limits: ['heater-draw.sag-from'],
    otherwise: 'A current clamp on the heater cable after the lamp has gone out.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Some controllers heat until the starter turns. Put a current clamp on the heater cable with the engine warm: there must be nothing.',
      fail: 'Switch off and isolate the battery: the solenoid has probably welded shut. Confirm with a voltmeter at the heater’s stud before anything else.',
    },
    cautions: ['intake-heater', 'battery'],
    judge: judgeHeaterRelease,
  },
]
