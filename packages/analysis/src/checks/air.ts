/** Air path: pressures at rest, the air-mass meter at rest and at idle, boost under load. */
import type { Samples } from '@firstcrank/decoder'
import { boostIsAbsolute, EGR_SHUT, expectedAirMass, gaugeBoost, USUAL_EFFICIENCY } from '../derived/air.js'
import { standardPressure } from '../derived/atmosphere.js'
import { lookUp } from '../derived/map.js'
import type { Span } from '../model.js'
import { median, SECOND, secondsOf, valuesAt, windowOf } from '../series.js'
import { type CheckContext, from, IDLING, STANDING, say, upTo, worse } from './context.js'
import { type CheckDefinition, notJudged, type Outcome } from './definition.js'
import { steadyWindows } from './steady.js'

const BOOST = 102
const ABSOLUTE = 3563
const AMBIENT = 108
const TEMPERATURE = 105
const AIR_MASS = 132
const EGR_FLOW = 2659
const EGR_POSITION = 27
/** Turbocharger and air come to rest within this time after a stop. */
const COMES_TO_REST = 5 * SECOND
const STILL_AIR = 10
/** kPa the manifold may change while it counts as steady, and for how long. */
const STEADY_PRESSURE = 4
const STEADY_SECONDS = 10
/** A start has settled after so long. */
const SETTLED = 30 * SECOND
/** Conditions of full load. % and rpm. */
const FULL_LOAD = 80
const FULL_LOAD_SECONDS = 3
const SPEED_FROM = 1500
const SPEED_TO = 2800
/** The rated speed that band is for; an engine with another has its band moved in proportion. Our own choice. */
const RATED_SPEED = 3200

/** Stretches with the key on, the crankshaft at rest and the air still. */
function standing(context: CheckContext, seconds: number): Span[] {
  return context.stretchesOf(STANDING).flatMap((stretch) => {
    const ran = context.phases.some(({ kind, to }) => (kind === 'shutdown' || kind === 'stall') && to === stretch.from)
    const span = { from: stretch.from + (ran ? COMES_TO_REST : 0), to: stretch.to }
    return secondsOf(span) >= seconds ? [span] : []
  })
}

/** The median of a signal while the crankshaft stands; undefined where it was not sent then. */
function atRest(context: CheckContext, spn: number, seconds: number): { value: number; span: Span } | undefined {
  for (const span of standing(context, seconds)) {
    const value = median(context.rawWithin(spn, span).value)
    if (value !== null) return { value, span }
  }
  return undefined
}

const NO_REST = 'no value of it was sent with the key on and the engine at rest'

function judgeKeyOnBoost(context: CheckContext): Outcome {
  const rest = atRest(context, BOOST, 0.5)
  if (rest === undefined) return notJudged(NO_REST)
  const isAbsolute = boostIsAbsolute(context.engine, context.profile)
  const ambient = isAbsolute ? atRest(context, AMBIENT, 0.5) : undefined
  if (isAbsolute && ambient === undefined) {
    return notJudged('this boost is sent as an absolute pressure, and ambient pressure is not on the bus')
  }
  const value = rest.value - (ambient?.value ?? 0)
  const how = isAbsolute ? ' (sent as an absolute pressure)' : ''
  const text = `${say(value, 1)} kPa of boost with the engine at rest${how}.`
  return {
    verdict: upTo(Math.abs(value), context.limit('key-on-boost.pass-to'), context.limit('key-on-boost.caution-to')),
    measured: { value, unit: 'kPa', uncertainty: context.halfStep(BOOST) },
    finding: text,
    evidence: [context.evidence(rest.span, text, BOOST, AMBIENT)],
  }
}

function judgeAmbient(context: CheckContext): Outcome {
  const { altitude, stationPressure } = context.profile.site
  if (altitude === undefined && stationPressure === undefined) {
    return notJudged('neither altitude nor station pressure is in a profile')
  }
  const wanted = stationPressure ?? standardPressure(altitude as number)
  const { time, value: all } = context.raw.valid(AMBIENT)
  // At the start the vehicle stands where the profile says; later it may have climbed.
  const early = windowOf({ time, value: all }, time[0] as number, (time[0] as number) + 60 * SECOND)
  const told = median(early.value) as number
  const value = told - wanted
  const where = stationPressure === undefined ? `at ${say(altitude as number, 0)} m` : 'by the profile'
  const text = `${say(told, 1)} kPa told; ${say(wanted, 1)} kPa expected ${where}.`
  return {
    verdict: upTo(
      Math.abs(value),
      context.limit('ambient-pressure.pass-to'),
      context.limit('ambient-pressure.caution-to'),
    ),
    measured: { value, unit: 'kPa', uncertainty: context.halfStep(AMBIENT) },
    finding: text,
    evidence: [context.evidence({ from: early.time[0] as number, to: early.time.at(-1) as number }, text, AMBIENT)],
  }
}

function judgeManifold(context: CheckContext): Outcome {
  const manifold = atRest(context, ABSOLUTE, 0.5)
  const ambient = atRest(context, AMBIENT, 0.5)
  if (manifold === undefined || ambient === undefined) return notJudged(NO_REST)
  const value = manifold.value - ambient.value
  const text = `Manifold ${say(manifold.value, 1)} kPa, ambient ${say(ambient.value, 1)} kPa, engine at rest.`
  return {
    verdict: upTo(
      Math.abs(value),
      context.limit('manifold-pressure.pass-to'),
      context.limit('manifold-pressure.caution-to'),
    ),
    measured: { value, unit: 'kPa', uncertainty: context.halfStep(ABSOLUTE) + context.halfStep(AMBIENT) },
    finding: text,
    evidence: [context.evidence(manifold.span, text, ABSOLUTE, AMBIENT)],
  }
}

function judgeZero(context: CheckContext): Outcome {
  const rest = atRest(context, AIR_MASS, STILL_AIR)
  if (rest === undefined) return notJudged('the engine never stood for ten seconds with the key on')
  const text = `${say(rest.value)} kg/h with the engine at rest.`
  return {
    verdict: upTo(rest.value, context.limit('air-mass-zero.pass-to'), context.limit('air-mass-zero.caution-to')),
    measured: { value: rest.value, unit: 'kg/h', uncertainty: context.halfStep(AIR_MASS) },
    finding: text,
    evidence: [context.evidence(rest.span, text, AIR_MASS, 190)],
  }
}

/** Stretches of idle with a steady manifold, the first half minute after a start left out. */
function steadyIdle(context: CheckContext): Span[] {
  const starts = context.starts()
  const pressure = context.engine.has(ABSOLUTE) ? ABSOLUTE : BOOST
  return context.stretchesOf(IDLING).flatMap((idle) => {
    const start = starts.findLast(({ fired }) => fired <= idle.from)
    const span = { from: Math.max(idle.from, (start?.fired ?? Number.NEGATIVE_INFINITY) + SETTLED), to: idle.to }
    return steadyWindows(context, pressure, span, STEADY_SECONDS, STEADY_PRESSURE)
  })
}

/** The share of air told in air expected, over a stretch; null where it cannot be said. */
function airRatio(context: CheckContext, expected: Samples, span: Span): number | null {
  const told = context.within(AIR_MASS, span)
  const wanted = valuesAt(expected, told.time, context.engine.hold(190))
  return median(told.value.map((flow, i) => flow / (wanted[i] as number)))
}

function judgeIdleRatio(context: CheckContext): Outcome {
  const { engine, profile } = context
  if (profile.engine.displacement === undefined) return notJudged('the size of the engine is not in a profile')
  const expected = expectedAirMass(engine, profile)
  if (expected === undefined) {
    return notJudged('ambient pressure is neither on the bus nor, as altitude, in a profile')
  }
  const steady = steadyIdle(context)
  if (steady.length === 0) return notJudged('there were no ten seconds of idle with a steady manifold pressure')
  const told = engine.has(EGR_FLOW) || profile.fitted.egr === false
  const shut = steady.filter((span) => told || !isEgrOpen(context, span))
  if (shut.length === 0) return notJudged('the EGR valve was open at idle and nobody says how much it brings back')
  const ratios = shut.flatMap((span) => airRatio(context, expected, span) ?? [])
  const value = median(ratios)
  if (value === null) return notJudged('air mass, intake temperature or pressure was missing at idle')
  const unknown = !told && !engine.has(EGR_POSITION)
  const limits = [
    context.limit('air-mass-idle.pass-from'),
    context.limit('air-mass-idle.pass-to'),
    context.limit('air-mass-idle.caution-from'),
    context.limit('air-mass-idle.caution-to'),
  ] as const
  const low = from(value, limits[0], limits[2])
  const span = { from: (shut[0] as Span).from, to: (shut.at(-1) as Span).to }
  const efficiency = profile.engine.volumetricEfficiency ?? USUAL_EFFICIENCY
  const text = `Air told is ${say(value, 2)} of what speed and density give (filling ${say(efficiency, 2)}).`
  const evidence = [context.evidence(span, text, AIR_MASS, 190, BOOST, ABSOLUTE, TEMPERATURE, EGR_POSITION)]
  const measured = { value, unit: 'ratio', uncertainty: 0.08 * value } as const
  if (unknown && low !== 'pass') {
    return notJudged(`air told is ${say(value, 2)} of the estimate, but whether EGR is open is not on this bus`, {
      evidence,
      measured,
    })
  }
  const { tubeBore, calibratedBore } = profile.air
  const bores =
    tubeBore === undefined || calibratedBore === undefined || tubeBore === calibratedBore
      ? ''
      : ` A ${say(tubeBore, 0)} mm tube on a calibration for ${say(calibratedBore, 0)} mm gives ${say((calibratedBore / tubeBore) ** 2, 2)}.`
  return {
    verdict: worse(low, upTo(value, limits[1], limits[3])),
    measured,
    finding: text + bores,
    evidence,
  }
}

function isEgrOpen(context: CheckContext, span: Span): boolean {
  const position = median(context.within(EGR_POSITION, span).value)
  return position !== null && position >= EGR_SHUT
}

function judgeBoost(context: CheckContext): Outcome {
  const { boostMap } = context.profile
  if (boostMap === undefined) return notJudged('the maker’s boost map is not in a profile')
  const boost = gaugeBoost(context.engine, context.profile)
  if (boost === undefined) return notJudged('boost above ambient cannot be told without ambient pressure')
  const table = { x: boostMap.speeds, y: boostMap.loads, values: boostMap.boost }
  const windows = context
    .phasesOf(['load'])
    .flatMap((span) => fullLoad(context, span))
    .flatMap((span) => {
      const told = windowOf(boost, span.from + SECOND, span.to)
      const ratios = told.value.map((kPa, i) => {
        const time = told.time[i] as number
        const speed = context.at(190, time) ?? Number.NaN
        const wanted = lookUp(table, speed, context.at(92, time) ?? Number.NaN)
        return wanted > 10 ? kPa / wanted : Number.NaN
      })
      const ratio = median(ratios)
      return ratio === null ? [] : [{ span, ratio }]
    })
  const value = median(windows.map(({ ratio }) => ratio))
  const first = windows[0]
  if (value === null || first === undefined) {
    return notJudged('there were no three seconds above 80 % load at a middle speed')
  }
  const low = from(value, context.limit('boost-under-load.pass-from'), context.limit('boost-under-load.caution-from'))
  const high = upTo(value, context.limit('boost-under-load.pass-to'), context.limit('boost-under-load.caution-to'))
  const text = `Boost is ${say(value, 2)} of the map under load, median of ${windows.length} stretches.`
  return {
    verdict: worse(low, high),
    measured: { value, unit: 'ratio', uncertainty: null },
    finding: text,
    evidence: [context.evidence(first.span, text, BOOST, ABSOLUTE, 190, 92)],
  }
}

/** Stretches of three seconds or more at high load and middle speed. */
function fullLoad(context: CheckContext, span: Span): Span[] {
  const load = context.within(92, span)
  const share = (context.profile.engine.ratedSpeed ?? RATED_SPEED) / RATED_SPEED
  const found: { from: number; to: number }[] = []
  let open: { from: number; to: number } | undefined
  for (let i = 0; i < load.time.length; i++) {
    const time = load.time[i] as number
    const speed = context.at(190, time) ?? 0
    const holds = (load.value[i] as number) >= FULL_LOAD && speed >= SPEED_FROM * share && speed <= SPEED_TO * share
    if (!holds) open = undefined
    else if (open === undefined || time - open.to > context.engine.hold(92)) {
      open = { from: time, to: time }
      found.push(open)
    } else open.to = time
  }
  return found.filter((stretch) => secondsOf(stretch) >= FULL_LOAD_SECONDS)
}

const VENT = 'Vent the hose and read again with the key on; compare with a hand-held gauge.'

export const AIR_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'key-on-boost',
    title: 'Boost sensor at rest',
    proves: 'The boost sensor reads nothing when there is nothing.',
    needs: [[BOOST]],
    ofSensor: true,
    fitted: 'turbocharger',
    enabling: 'Key on, engine at rest.',
    computes: 'Median boost; of one sent as an absolute pressure, less ambient pressure.',
    limits: ['key-on-boost.pass-to', 'key-on-boost.caution-to'],
    otherwise: VENT,
    advice: {
      pass: 'Nothing to do.',
      caution: VENT,
      fail: 'Key on, engine off: supply, ground and signal at the sensor’s plug. Then vent and compare with a gauge. The sensor comes last.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeKeyOnBoost,
  },
  {
    id: 'ambient-pressure',
    title: 'Ambient pressure fits the altitude',
    proves: 'The ambient pressure sensor can be trusted; fuelling and boost rest on it.',
    needs: [[AMBIENT]],
    ofSensor: true,
    enabling: 'Altitude or station pressure in a profile. A weather report reduced to sea level is of no use.',
    computes: 'Median of the first minute less the standard atmosphere at that altitude, or less the station pressure.',
    limits: ['ambient-pressure.pass-to', 'ambient-pressure.caution-to'],
    otherwise: 'A weather station’s own pressure, not reduced to sea level.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Compare with the station pressure of the day: weather alone moves it by 2 to 3 kPa.',
      fail: 'Compare with another absolute pressure on the vehicle, engine at rest. Then supply, ground and signal at the plug.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeAmbient,
  },
  {
    id: 'manifold-pressure',
    title: 'Manifold pressure at rest is ambient pressure',
    proves: 'Two absolute pressure sensors agree while both see the same air.',
    needs: [[ABSOLUTE], [AMBIENT]],
    ofSensor: true,
    enabling: 'Key on, engine at rest.',
    computes: 'Median absolute manifold pressure less median ambient pressure.',
    limits: ['manifold-pressure.pass-to', 'manifold-pressure.caution-to'],
    otherwise: VENT,
    advice: {
      pass: 'Nothing to do.',
      caution: VENT,
      fail: 'Altitude tells which of the two is wrong. At its plug, key on: supply, ground, signal.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeManifold,
  },
  {
    id: 'air-mass-zero',
    title: 'Air-mass meter at rest',
    proves: 'The air-mass meter reads nothing in still air.',
    needs: [[AIR_MASS]],
    ofSensor: true,
    fitted: 'airMassSensor',
    enabling: 'Key on, engine at rest for ten seconds, no wind into the intake.',
    computes: 'Median air mass.',
    limits: ['air-mass-zero.pass-to', 'air-mass-zero.caution-to'],
    otherwise: 'The sensor’s voltage or frequency in still air, against the maker’s figure.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Shelter the intake from wind and read again.',
      fail: 'Key on: supply, ground and signal at the plug; then look for dirt on the sensing element.',
    },
    cautions: ['key-off-measuring'],
    judge: judgeZero,
  },
  {
    id: 'air-mass-idle',
    title: 'Air mass at idle fits the engine',
    proves: 'Air-mass meter, its tube and the pipes behind it suit this engine and are tight.',
    needs: [[AIR_MASS], [BOOST, ABSOLUTE], [TEMPERATURE], [190]],
    fitted: 'airMassSensor',
    enabling:
      'Idle, half a minute after the start, manifold pressure steady for ten seconds; EGR shut or its flow known; engine size in a profile.',
    computes: 'Air mass told, over air by speed and density less EGR. The estimate is good to 8 %.',
    limits: [
      'air-mass-idle.pass-from',
      'air-mass-idle.pass-to',
      'air-mass-idle.caution-from',
      'air-mass-idle.caution-to',
    ],
    otherwise: 'The air mass the maker’s manual gives for idle.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Measure the bore of the tube the meter sits in and compare with the part the calibration is for; look at its arrow. Then look for leaks behind it.',
      fail: 'Tube bore and arrow first, then leaks between meter and engine, then dirt on the element. The same ratio at every flow means the bore.',
    },
    cautions: ['hot-parts'],
    judge: judgeIdleRatio,
  },
  {
    id: 'boost-under-load',
    title: 'Boost under load',
    proves: 'The turbocharger and its pipes deliver what the maker’s map says.',
    needs: [[BOOST, ABSOLUTE], [92], [190]],
    fitted: 'turbocharger',
    enabling:
      'The maker’s boost map in a profile; 80 % load for three seconds between 1,500 and 2,800 rpm, or in proportion to the rated speed of the profile, against 3,200.',
    computes: 'Boost over the map’s, median.',
    limits: [
      'boost-under-load.pass-from',
      'boost-under-load.pass-to',
      'boost-under-load.caution-from',
      'boost-under-load.caution-to',
    ],
    otherwise: 'A boost gauge, on a dynamometer or a closed road.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Pressure-test the pipes from compressor to manifold; look at actuator and linkage.',
      fail: 'Pressure-test the pipes from compressor to manifold: clamps and hoses first. Then actuator, linkage and vanes. The turbocharger comes last.',
    },
    cautions: ['driving', 'hot-parts'],
    judge: judgeBoost,
  },
]
