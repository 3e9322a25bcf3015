/**
 * Short cautions for faults that can hurt people or engines. They follow `docs/safety.md`; the engine
 * maker's manual comes before each of them.
 */
import type { Episode, LogSummary } from '@firstcrank/decoder'

/** When a caution is due, and what it says. */
interface Caution {
  readonly applies: (episode: Episode) => boolean
  readonly text: string
}

const isActive = ({ state }: Episode): boolean => state === 'active'
const about =
  (...spns: readonly number[]) =>
  (episode: Episode): boolean =>
    isActive(episode) && spns.includes(episode.spn)

/** FMIs that say a value is low, not that a sensor is bad. Source: the meanings in the FMI table. */
const LOW: ReadonlySet<number> = new Set([1, 17, 18])

const CAUTIONS: readonly Caution[] = [
  {
    // Meaning of the lamp: a public training page. What to do: common practice.
    applies: (episode) => isActive(episode) && episode.lamps.some(({ lamps }) => lamps.redStop.state === 'on'),
    text: "Caution: a node asked for the red stop lamp, which means stop now. What the engine maker's manual says of the fault comes before anything printed here.",
  },
  {
    // No pressure 10 s after firing, gauge before sensor: common practice, see docs/safety.md.
    applies: (episode) => about(100)(episode) && LOW.has(episode.fmi),
    text: "Caution: low oil pressure. Stop the engine; do not rev it or restart it to see. Look with a mechanical gauge before blaming the sensor. The engine maker's manual comes first.",
  },
  {
    // Rail pressure goes through skin: a technical school's training article, see docs/safety.md.
    // SPNs: fuel supply, injection control and metering rail pressure, injectors 1 to 6, lift pump (from memory).
    applies: about(94, 157, 164, 1347, 651, 652, 653, 654, 655, 656, 1075, 1076, 5313),
    text: "Caution: fuel in a common rail is under a pressure that goes through skin. Never feel for a leak with a hand; wait the time the engine maker's manual gives before opening a line.",
  },
  {
    // Over 100 A, hot grid: a parts glossary; fire where it stays on: common practice, see docs/safety.md.
    // SPNs: intake heater drivers 1 and 2 (several makers' manuals, see the fault names).
    applies: about(729, 730),
    text: "Caution: an intake heater carries more than 100 A and its grid is hot; one that stays on is a fire risk. Isolate the battery before touching it. The engine maker's manual comes first.",
  },
]

/** The cautions that the faults of a log call for, each once. */
export function cautionsFor({ episodes }: Pick<LogSummary, 'episodes'>): string[] {
  return CAUTIONS.filter(({ applies }) => episodes.some(applies)).map(({ text }) => text)
}
