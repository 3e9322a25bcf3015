/** One axis for two runs: the events they can be laid on, and windows on it. Seconds from the event. */
import type { AlignedEvent, Comparison } from '@firstcrank/analysis'
import type { Axis } from '../state/axis.js'
import { compareText } from '../words/compare-text.js'
import type { CompareSides } from './compare-model.js'

/** An event that both runs can be laid on. */
export interface AxisEvent {
  /** As in an address: `engine-start-1`. */
  readonly key: string
  readonly title: string
  /** Its time in each run, in microseconds. */
  readonly before: number
  readonly after: number
}

const ORDER: readonly AlignedEvent['event'][] = ['key-on', 'first-crank', 'engine-start']
/** Where neither run has an event. */
const BEGINNING = 'beginning'

/** Events both runs have, by kind and number, engine by engine. The beginning of the logs is the last. */
export function axisEvents({ alignment }: Comparison, { before, after }: CompareSides): readonly AxisEvent[] {
  const words = compareText.overlay
  const engines = [...new Set(alignment.map(({ sa }) => sa))]
  const events = [...alignment]
    .sort(
      (a, b) =>
        engines.indexOf(a.sa) - engines.indexOf(b.sa) ||
        a.number - b.number ||
        ORDER.indexOf(a.event) - ORDER.indexOf(b.event),
    )
    .map(({ event, number, sa, before: was, after: is }): AxisEvent => {
      const title = words.numbered(words.events[event], number)
      // An address need not name the engine where there is one, or where it is the first.
      const key = `${event}-${number}${sa === engines[0] ? '' : `-of-${sa}`}`
      return { key, title: engines.length > 1 ? words.ofEngine(title, sa) : title, before: was, after: is }
    })
    // Two engines may have one address, each on an interface of its own: then the first one's.
    .filter(({ key }, index, all) => all.findIndex((other) => other.key === key) === index)
  const beginning = {
    key: BEGINNING,
    title: compareText.overlay.beginning,
    before: before.model.zero,
    after: after.model.zero,
  }
  return [...events, beginning]
}

/** The event an address names; else the first engine start, or the latest before it that both runs have. */
export function chosenEvent(events: readonly AxisEvent[], key: string | null): AxisEvent {
  const named = events.find((event) => event.key === key)
  const best = [...ORDER].reverse().flatMap((kind) => events.find((event) => event.key === `${kind}-1`) ?? [])[0]
  return named ?? best ?? (events.at(-1) as AxisEvent)
}

/** From the earliest beginning to the latest end. */
export function axisOf(event: AxisEvent, { before, after }: CompareSides): Axis {
  const start = (at: number, zero: number): number => (zero - at) / 1e6
  const [a, b] = [start(event.before, before.model.zero), start(event.after, after.model.zero)]
  return { from: Math.min(a, b), to: Math.max(a + before.model.length, b + after.model.length) }
}
