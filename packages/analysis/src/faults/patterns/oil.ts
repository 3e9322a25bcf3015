/** Oil pressure while the engine runs: none, late, of two values only. */
import type { Samples } from '@firstcrank/decoder'
import type { Span } from '../../model.js'
import {
  extremes,
  firstAt,
  firstTime,
  quantile,
  resolutionOf,
  SECOND,
  validOf,
  valueAt,
  windowOf,
} from '../../series.js'
import type { FaultContext } from '../context.js'
import { kilopascals, rpm, type Sight, seconds, sight } from '../sight.js'

const OIL = 100
/** The pressure has had time to come, in microseconds. Source: filter maker's advice, as in the checks' limits. */
const HAD_TIME = 5 * SECOND
/** °C below which late oil pressure may be thick oil. Source: common practice. */
const TOO_COLD = -10
/** Distinct small values of a sender that works. Source: our own choice. */
const ALIVE = 3
/** A switch is told from a sender by so many samples at two speeds that differ so much. Source: our own choice. */
const SWITCH_SAMPLES = 60
const SPEED_RANGE = 1.3

interface Run extends Span {
  readonly samples: Samples
}

/** Oil pressure from each firing to the end of that run. */
function runs(context: FaultContext): Run[] {
  return context.running.map(({ from, to }) => ({ from, to, samples: validOf(windowOf(context.valid(OIL), from, to)) }))
}

/** `oil-pressure-absent`: the engine turns and there is next to none. */
export function oilPressureAbsent(context: FaultContext): Sight | null {
  const level = context.limits['oil-pressure-rise.level'].value
  const long = runs(context).filter(({ from, to }) => to - from >= HAD_TIME + SECOND)
  const found = long.map((run) => {
    const late = windowOf(run.samples, run.from + HAD_TIME, run.to)
    return {
      run,
      most: extremes(late),
      speed: quantile(windowOf(context.valid(190), run.from + SECOND, run.to).value, 0.5),
    }
  })
  const low = found.find(({ most }) => most !== null && most.max < level)
  const refs = [context.ref(OIL), context.ref(190)]
  if (low?.most) {
    const { run, most, speed } = low
    const text = `The engine runs for ${seconds(run.to - run.from)}${speed === null ? '' : ` at about ${rpm(speed)}`} and the oil pressure never passes ${kilopascals(most.max)}.`
    return sight(true, text, run, refs)
  }
  const good = found.find(({ most }) => most !== null)
  if (good?.most == null) return null
  const usual = quantile(good.run.samples.value, 0.5) ?? good.most.max
  return sight(
    false,
    `With the engine running the oil pressure reads ${kilopascals(usual)} most of the time.`,
    good.run,
    refs,
  )
}

/** `oil-sender-alive`: it moves by small amounts, as a working sender does. A dead one and no pressure at all look alike. */
export function oilSenderAlive(context: FaultContext): Sight | null {
  const samples = runs(context).flatMap(({ samples: { value } }) => [...value])
  const distinct = new Set(samples.filter((value) => value > 0)).size
  if (samples.length < 5 || distinct < ALIVE) return null
  const text = 'The oil pressure reading moves by small steps while the engine turns: the sender is alive.'
  return sight(true, text, context.running[0] ?? context.span, [context.ref(OIL)])
}

/** `oil-pressure-late`: it comes, but late after firing. */
export function oilPressureLate(context: FaultContext): Sight | null {
  const level = context.limits['oil-pressure-rise.level'].value
  const pass = context.limits['oil-pressure-rise.pass-to'].value
  const [first] = runs(context)
  if (first === undefined || first.samples.time.length === 0) return null
  const before = valueAt(context.valid(OIL), first.from)
  const there = firstTime(first.samples, (value) => value >= level)
  if (there === null || before === null || before >= level) return null
  // Thick oil takes its time.
  const cold = valueAt(context.valid(110), first.from)
  if (cold !== null && cold < TOO_COLD) return null
  const took = there - first.from
  // Behind a hole it may have come anywhere in it.
  const { time } = first.samples
  const known = Math.max(0, (time[firstAt(time, there) - 1] ?? first.from) - first.from)
  const isHole = took - known > (context.engine?.hold(OIL) ?? 0)
  if (isHole && took > pass * SECOND && known <= pass * SECOND) return null
  const refs = [context.ref(OIL), context.ref(190)]
  const settled = quantile(windowOf(first.samples, there + SECOND, first.to).value, 0.5)
  if (took / SECOND > pass && settled !== null && settled >= level) {
    const text = `After the first firing oil pressure takes ${seconds(took)} to come, then it is ${kilopascals(settled)} and stays.`
    return sight(true, text, { from: first.from, to: there }, refs)
  }
  return sight(
    false,
    `After firing oil pressure is there within ${seconds(took)}.`,
    { from: first.from, to: there },
    refs,
  )
}

/** `oil-pressure-quick-later`: a later start of the same recording had it at once. */
export function oilPressureQuickLater(context: FaultContext): Sight | null {
  const level = context.limits['oil-pressure-rise.level'].value
  const later = runs(context).slice(1)
  const found = later.flatMap((run) => {
    const there = firstTime(run.samples, (value) => value >= level)
    return there === null ? [] : [{ run, took: there - run.from }]
  })[0]
  if (found === undefined) return null
  const { run, took } = found
  const quick = took / SECOND <= context.limits['oil-pressure-rise.pass-to'].value
  return sight(
    quick,
    `At the next start it is there after ${seconds(took)}.`,
    { from: run.from, to: run.from + took },
    [context.ref(OIL)],
  )
}

/** `oil-pressure-two-values`: nothing or one figure, at every speed, and no value in between at start and stop: a switch. */
export function oilPressureTwoValues(context: FaultContext): Sight | null {
  const spans = context.running
  const signal = context.signal(OIL)
  const speeds = context.inside(context.valid(190), spans).value
  const low = quantile(speeds, 0.1)
  const high = quantile(speeds, 0.95)
  const all = context.valid(OIL)
  const level = quantile(context.inside(all, spans).value, 0.5)
  const first = spans[0]
  const last = spans.at(-1)
  if (
    signal === undefined ||
    first === undefined ||
    last === undefined ||
    low === null ||
    high === null ||
    level === null
  )
    return null
  const near = 2 * resolutionOf(signal)
  const isOn = (value: number): boolean => Math.abs(value - level) <= near
  const isOff = (value: number): boolean => value <= near
  const on = all.value.filter(isOn).length
  const between = all.value.length - on - all.value.filter(isOff).length
  const refs = [context.ref(OIL), context.ref(190)]
  const span = { from: first.from, to: last.to }
  if (between > 2 * changesOf(all.value, isOn))
    return sight(
      false,
      'The oil pressure follows speed and temperature and passes through values in between, as a sender does.',
      span,
      refs,
    )
  const stops = all.time.some((at, i) => at > last.from && isOff(all.value[i] as number))
  if (
    on < SWITCH_SAMPLES ||
    between > changesOf(all.value, isOn) ||
    level <= near ||
    !stops ||
    high < SPEED_RANGE * low
  )
    return null
  return sight(
    true,
    `From ${rpm(low)} to ${rpm(high)}, at start and at stop, the oil pressure knows only 0 and ${kilopascals(level)}: a switch, not a sender.`,
    span,
    refs,
  )
}

/** How often the pressure comes or goes. */
function changesOf(values: Float64Array, isOn: (value: number) => boolean): number {
  let changes = 0
  for (let i = 1; i < values.length; i++) if (isOn(values[i] as number) !== isOn(values[i - 1] as number)) changes++
  return changes
}

/** `oil-circuit-whole`: the controller, which watches the sender's wires, reports nothing wrong with them. */
export function oilCircuitWhole(context: FaultContext): Sight | null {
  const electrical = context.faults.find(
    ({ spn, class: faultClass }) => spn === OIL && (faultClass === 'volts-high' || faultClass === 'volts-low'),
  )
  const refs = [context.ref(OIL)]
  if (electrical !== undefined)
    return sight(false, 'The controller also reports the sender’s circuit.', electrical, refs)
  return sight(true, 'The controller reports nothing wrong with the sender’s circuit.', context.span, refs)
}
