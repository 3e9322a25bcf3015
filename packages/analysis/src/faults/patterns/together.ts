/** Faults that come together: on one supply, in one plug, one after another. */
import { SECOND, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { type ActiveFault, endOf } from '../finding.js'
import { COMPONENTS, type Kind } from '../knowledge/index.js'
import { capital, list, type Sight, seconds, sight, times, volts } from '../sight.js'
import { circuitState } from './circuit.js'

/** Faults of one short appear within so long of the first. Source: common practice. */
const TOGETHER = 2 * SECOND
/** Sensors fed by a 5 V supply. */
export const FED: readonly Kind[] = ['pressure-sensor', 'position-sensor', 'pedal']
/** A healthy 5 V supply, V. Common practice. */
const RAIL_LOW = 4.75
const RAIL_HIGH = 5.25

/** The largest set of faults that begin within {@link TOGETHER} of one another. */
function cluster(faults: readonly ActiveFault[]): { faults: ActiveFault[]; from: number; to: number } | undefined {
  const onsets = faults.flatMap((fault) => fault.episodes.map(({ firstSeen }) => ({ fault, at: firstSeen })))
  onsets.sort((a, b) => a.at - b.at)
  let best: { faults: ActiveFault[]; from: number; to: number } | undefined
  for (const [first, { at }] of onsets.entries()) {
    const inside = new Set<ActiveFault>()
    let to = at
    for (let i = first; i < onsets.length; i++) {
      const onset = onsets[i] as (typeof onsets)[number]
      if (onset.at > at + TOGETHER) break
      inside.add(onset.fault)
      to = onset.at
    }
    if (best === undefined || inside.size > best.faults.length)
      best = { faults: faults.filter((fault) => inside.has(fault)), from: at, to }
  }
  return best
}

const partsOf = (faults: readonly ActiveFault[]): string =>
  list([...new Set(faults.map(({ component, name }) => component?.part ?? name))])

/** `sensors-fail-together`: several fed sensors report the same within two seconds. */
export function sensorsFailTogether(_: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const fed = faults.filter(({ component }) => component !== undefined && FED.includes(component.kind))
  const found = cluster(fed)
  const spns = new Set(found?.faults.map(({ spn }) => spn))
  if (found === undefined) return null
  if (spns.size < 2) return sight(false, 'Only one sensor of the supply reports a fault.', found)
  return sight(
    true,
    `${spns.size} sensors that share a 5 V supply report the same within ${seconds(Math.max(found.to - found.from, SECOND / 10))}: ${partsOf(found.faults)}.`,
    found,
  )
}

/** `supply-reported`: the controller itself measures the sensor supply as wrong. */
export function supplyReported(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const supply = faults.find(({ component }) => component?.kind === 'sensor-supply')
  if (supply === undefined) return null
  const signal = context.signalOf(supply)
  const refs = signal === undefined ? [] : [context.refOf(signal)]
  return sight(true, 'The controller measures its own sensor supply and reports it.', supply, refs)
}

/** Voltages of the 5 V sensor supplies 1 to 4. */
export const SUPPLY_VOLTAGES: readonly number[] = [3509, 3510, 3511, 3512]
/** A controller looks for a while before it reports. Common practice. */
const BEFORE = 3 * SECOND

/** `supply-voltage-wrong`: a sensor supply as sent on the bus, off to the side its fault tells of. */
export function supplyVoltageWrong(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  for (const fault of faults.filter(({ component }) => component?.kind === 'sensor-supply')) {
    const isHigh = fault.class === 'high' || fault.class === 'volts-high'
    const isLow = fault.class === 'low' || fault.class === 'volts-low'
    const spns = SUPPLY_VOLTAGES.includes(fault.spn) ? [fault.spn] : SUPPLY_VOLTAGES
    for (const signal of spns.flatMap((spn) => context.signalOf({ ...fault, spn }) ?? [])) {
      for (const episode of fault.episodes) {
        const { time, value } = windowOf(context.all(signal), episode.firstSeen - BEFORE, endOf(episode))
        const at = value.findIndex((volt) => (volt < RAIL_LOW && !isHigh) || (volt > RAIL_HIGH && !isLow))
        if (at === -1) continue
        const here = { from: time[at] as number, to: time[at] as number }
        const text = `Sensor supply ${signal.spn - 3508} reads ${volts(value[at] as number)} instead of 5 V.`
        return sight(true, text, here, [context.refOf(signal)])
      }
    }
  }
  return null
}

/** `others-unharmed`: thermistors, which have pull-ups of their own, go on with good values. */
export function thermistorsUnharmed(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const first = faults[0]
  if (first === undefined) return null
  const thermistors = COMPONENTS.filter(({ kind }) => kind === 'thermistor').flatMap(({ spns }) => spns)
  const here = thermistors.filter((spn) => context.has(spn) && context.signal(spn)?.stream.sa === first.sa)
  if (here.length === 0) return null
  const hit = here.filter((spn) =>
    context.faults.some((fault) => fault.spn === spn && fault.sa === first.sa && touchesIn(fault, faults)),
  )
  const refs = here.slice(0, 3).map((spn) => context.ref(spn))
  if (hit.length > 0) return sight(false, 'Temperature sensors fail with them.', first, refs)
  return sight(true, 'The temperature sensors, which do not hang on that supply, go on with good values.', first, refs)
}

function touchesIn(fault: ActiveFault, faults: readonly ActiveFault[]): boolean {
  return fault.episodes.some(({ firstSeen }) =>
    faults.some(({ episodes }) => episodes.some((episode) => Math.abs(episode.firstSeen - firstSeen) <= TOGETHER)),
  )
}

/** `comes-and-goes`: it clears by itself and returns, as a chafed or loose wire does. */
export function comesAndGoes(_: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const often = [...faults].sort((a, b) => b.episodes.length - a.episodes.length)[0]
  if (often === undefined || often.episodes.length < 2) return null
  return sight(true, `It clears by itself and comes back, ${times(often.episodes.length)}: something moves.`, often)
}

/** `comes-after`: the other faults of a group come behind its first one. */
export function comesAfter(_: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const [root, ...others] = faults
  if (root === undefined || others.length === 0) return null
  const first = Math.min(...others.map(({ from }) => from))
  if (first < root.from) return null
  return sight(
    true,
    `${capital(partsOf(others))} ${others.length > 1 ? 'are' : 'is'} reported ${seconds(first - root.from)} after ${partsOf([root])}.`,
    root,
  )
}

/** `mixed-faults-together`: parts of different kinds fail in different ways at once: one plug. */
export function mixedFaultsTogether(_: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const found = cluster(faults)
  if (found === undefined) return null
  const classes = new Set(found.faults.map((fault) => fault.class))
  const kinds = new Set(found.faults.map(({ component }) => component?.kind))
  const spns = new Set(found.faults.map(({ spn }) => spn))
  const mixed = spns.size >= 2 && (classes.size >= 2 || kinds.size >= 2) && kinds.size >= 2
  return sight(
    mixed,
    `${capital(partsOf(found.faults))} ${spns.size > 1 ? 'fail' : 'fails'} within ${seconds(Math.max(found.to - found.from, SECOND / 10))}.`,
    found,
  )
}

/** `circuit-shown`: the faults' own signals are pinned, in error, or substitutes. */
export function circuitShown(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const states = faults.flatMap((fault) => {
    const found = circuitState(context, fault)
    return found === undefined ? [] : [{ fault, ...found }]
  })
  const broken = states.filter(({ state }) => state !== 'lively')
  const lively = states.filter(({ state }) => state === 'lively')
  const first = broken[0]
  if (first !== undefined) {
    const signals = broken.flatMap(({ sight: { signals: refs } }) => refs)
    const text =
      broken.length === 1
        ? first.sight.text
        : `${capital(partsOf(broken.map(({ fault }) => fault)))} are pinned, in error or replaced while the fault is there.`
    return { ...first.sight, text, signals }
  }
  return lively[0] === undefined ? null : { ...lively[0].sight, seen: false }
}

/** When a fault was active, episode by episode. */
export function activeSpans(faults: readonly ActiveFault[]): { from: number; to: number }[] {
  return faults.flatMap(({ episodes }) => episodes.map((episode) => ({ from: episode.firstSeen, to: endOf(episode) })))
}
