/** Supply, cranking, warm-up, oil, rail, fuel and idle as derived signals. */
import type { Samples } from '@firstcrank/decoder'
import type { EngineView } from '../engine-view.js'
import { findIdleTarget } from '../idle-target.js'
import type { Phase, PhaseKind } from '../model.js'
import { deviation, MINUTE, runningMedian, SECOND, slope, validOf, valuesAt, windowOf } from '../series.js'
import type { DerivedDefinition } from './definition.js'
import { lookUp } from './map.js'

/** Density of diesel fuel at 15 °C, kg/L. Source: common handbook value, 0.82 to 0.845. */
export const DIESEL_DENSITY = 0.835
/** Voltage is compared with the median of so long before. Our own choice: longer than any cranking. */
const SAG_WINDOW = MINUTE
/** Slopes of temperature are taken over so long: 1 °C steps are then 1 °C/min. */
const SLOPE_WINDOW = 2 * MINUTE
const IDLE_WINDOW = 10 * SECOND
/** MPa below which a commanded rail pressure is none. */
const RAIL_LEAST = 5
/** kW below which fuel per work says nothing. */
const POWER_LEAST = 5

const IDLE_KINDS: ReadonlySet<PhaseKind> = new Set(['idle-settle', 'idle', 'warm-idle'])

/** The part of samples that lies in phases of some kinds; NaN elsewhere. */
function during(samples: Samples, phases: readonly Phase[], kinds: ReadonlySet<PhaseKind>): Samples {
  const spans = phases.filter(({ kind }) => kinds.has(kind))
  let at = 0
  const value = samples.value.map((v, i) => {
    const time = samples.time[i] as number
    while (at < spans.length && (spans[at] as Phase).to < time) at++
    const span = spans[at]
    return span !== undefined && span.from <= time ? v : Number.NaN
  })
  return { time: samples.time, value }
}

/** Each sample's window, worked on by a function. */
function over(samples: Samples, width: number, work: (window: Samples) => number | null): Samples {
  const value = samples.value.map((_, i) => {
    const to = samples.time[i] as number
    const window = windowOf(samples, to - width, to)
    const covers = to - (window.time[0] ?? to) >= 0.8 * width
    return covers ? (work(window) ?? Number.NaN) : Number.NaN
  })
  return { time: samples.time, value }
}

/** kW at the flywheel: (SPN 513 − SPN 514) % of SPN 544, times speed. */
export function enginePower(engine: EngineView): Samples | undefined {
  if (![190, 513, 514, 544].every((spn) => engine.has(spn))) return undefined
  const { time, value: torque } = engine.valid(513)
  const reference = engine.valid(544).value[0] as number
  const friction = valuesAt(engine.valid(514), time, engine.hold(514))
  const speed = valuesAt(engine.valid(190), time, engine.hold(190))
  const value = torque.map((percent, i) => {
    const net = ((percent - (friction[i] as number)) / 100) * reference
    return (net * (speed[i] as number) * 2 * Math.PI) / 60_000
  })
  return { time, value }
}

/** Rows of the table of derived signals. */
export const RUN_SIGNALS: readonly DerivedDefinition[] = [
  {
    id: 'supply-sag',
    title: 'Supply below what it was',
    unit: 'V',
    formula: 'median of SPN 168 over the 60 s before − SPN 168',
    spns: [168],
    compute: ({ engine }) => {
      const { time, value } = engine.valid(168)
      const usual = runningMedian({ time, value }, SAG_WINDOW)
      return { time, value: value.map((volts, i) => (usual.value[i] as number) - volts) }
    },
  },
  {
    id: 'crank-speed',
    title: 'Cranking speed',
    unit: 'rpm',
    formula: 'SPN 190 while cranking',
    spns: [190],
    compute: ({ engine, phases }) => during(engine.valid(190), phases, new Set(['cranking'])),
  },
  {
    id: 'warm-up-slope',
    title: 'Warm-up of the coolant',
    unit: '°C',
    per: 'min',
    formula: 'least-squares slope of SPN 110 over the 2 min before',
    spns: [110],
    compute: ({ engine }) =>
      over(engine.valid(110), SLOPE_WINDOW, (window) => {
        const perSecond = slope(window)
        return perSecond === null ? null : perSecond * 60
      }),
  },
  {
    id: 'oil-pressure-ratio',
    title: 'Oil pressure against its curve',
    unit: 'ratio',
    formula: "SPN 100 / p(n, T) of the profile's curve, T from SPN 175",
    spns: [100, 190, 175],
    compute: ({ engine, profile }) => {
      const { pressureMap } = profile.oil
      if (pressureMap === undefined || ![100, 190, 175].every((spn) => engine.has(spn))) return undefined
      const { time, value } = engine.valid(100)
      const speed = valuesAt(engine.valid(190), time, engine.hold(190))
      const oil = valuesAt(engine.valid(175), time, engine.hold(175))
      const table = { x: pressureMap.speeds, y: pressureMap.temperatures, values: pressureMap.pressure }
      const ratio = value.map((kPa, i) => {
        const wanted = lookUp(table, speed[i] as number, oil[i] as number)
        return wanted > 10 && (speed[i] as number) > 300 ? kPa / wanted : Number.NaN
      })
      return { time, value: ratio }
    },
  },
  {
    id: 'oil-pressure-per-speed',
    title: 'Oil pressure for each 1,000 rpm',
    unit: 'kPa',
    per: '1,000 rpm',
    formula: 'SPN 100 / (n/1000), from 600 rpm up',
    spns: [100, 190],
    compute: ({ engine }) => {
      const { time, value } = engine.valid(100)
      const speed = valuesAt(engine.valid(190), time, engine.hold(190))
      return {
        time,
        value: value.map((kPa, i) => ((speed[i] as number) >= 600 ? (kPa * 1000) / (speed[i] as number) : Number.NaN)),
      }
    },
  },
  {
    id: 'rail-deviation',
    title: 'Rail pressure off its command',
    unit: '%',
    formula: '100 · (SPN 157 − SPN 5313) / SPN 5313',
    spns: [157, 5313],
    compute: ({ engine }) => {
      const { time, value } = engine.valid(157)
      const wanted = valuesAt(engine.valid(5313), time, engine.hold(5313))
      const off = value.map((mpa, i) => {
        const command = wanted[i] as number
        return command >= RAIL_LEAST ? (100 * (mpa - command)) / command : Number.NaN
      })
      return { time, value: off }
    },
  },
  {
    id: 'fuel-rate',
    title: 'Fuel by the hour',
    unit: 'L/h',
    formula: 'SPN 183',
    spns: [183],
    compute: ({ engine }) => engine.valid(183),
  },
  {
    id: 'fuel-per-stroke',
    title: 'Fuel for each injection stroke',
    unit: 'mg/stroke',
    formula: 'SPN 183 · 835,000 mg/L / (30 · n · cylinders)',
    spns: [183, 190],
    compute: ({ engine, profile }) => {
      const { cylinders } = profile.engine
      if (cylinders === undefined || ![183, 190].every((spn) => engine.has(spn))) return undefined
      const { time, value } = engine.valid(183)
      const speed = valuesAt(engine.valid(190), time, engine.hold(190))
      // A four-stroke cylinder injects every other turn: 30 times an hour for each rpm.
      const stroke = value.map((litres, i) => {
        const strokes = 30 * (speed[i] as number) * cylinders
        return (speed[i] as number) > 300 ? (litres * DIESEL_DENSITY * 1e6) / strokes : Number.NaN
      })
      return { time, value: stroke }
    },
  },
  {
    id: 'fuel-in-tank',
    title: 'Fuel in the tank',
    unit: 'L',
    formula: "SPN 96 / 100 · the profile's tank",
    spns: [96],
    compute: ({ engine, profile }) => {
      const { tank } = profile.fuel
      if (tank === undefined) return undefined
      const { time, value } = engine.valid(96)
      return { time, value: value.map((percent) => (percent / 100) * tank) }
    },
  },
  {
    id: 'engine-power',
    title: 'Power at the flywheel',
    unit: 'kW',
    formula: '(SPN 513 − SPN 514)/100 · SPN 544 · 2π · n/60,000',
    spns: [513, 514, 544, 190],
    compute: ({ engine }) => enginePower(engine),
  },
  {
    id: 'fuel-per-work',
    title: 'Fuel for each kilowatt-hour',
    unit: 'kg/kWh',
    formula: 'SPN 183 · 0.835 kg/L / engine-power, from 5 kW up',
    spns: [183, 513, 514, 544, 190],
    compute: ({ engine }) => {
      const power = enginePower(engine)
      if (power === undefined || !engine.has(183)) return undefined
      const { time, value } = engine.valid(183)
      const kW = valuesAt(power, time, engine.hold(513))
      const specific = value.map((litres, i) =>
        (kW[i] as number) >= POWER_LEAST ? (litres * DIESEL_DENSITY) / (kW[i] as number) : Number.NaN,
      )
      return { time, value: specific }
    },
  },
  {
    id: 'idle-deviation',
    title: 'Unsteadiness of the idle',
    unit: 'rpm',
    formula: 'standard deviation of SPN 190 over the 10 s before, at idle',
    spns: [190],
    compute: ({ engine, phases }) => {
      const idle = validOf(during(engine.valid(190), phases, IDLE_KINDS))
      return over(idle, IDLE_WINDOW, ({ value }) => deviation(value))
    },
  },
  {
    id: 'idle-offset',
    title: 'Idle above its target',
    unit: 'rpm',
    formula: 'SPN 190 − idle target, at idle',
    spns: [190, 188, 515],
    compute: ({ engine, phases, profile }) => {
      const target = findIdleTarget(engine, profile)
      if (target === undefined || target.basis === 'learned') return undefined
      const { time, value } = validOf(during(engine.valid(190), phases, IDLE_KINDS))
      return { time, value: value.map((rpm, i) => rpm - target.at(time[i] as number)) }
    },
  },
]
