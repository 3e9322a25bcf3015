/**
 * Pairs of runs, before and after something was done to the vehicle. What was done is known, so the right
 * grade is too. Every pair is a story of the simulator and a second run of the same vehicle made from it.
 */
import type { Grade } from '@firstcrank/analysis'
import { findScenario, type Scenario, type SimulationOptions } from '@firstcrank/simulator'
import { chance } from './draws.js'

type Script = Scenario['script']

/**
 * How a repair of a story's fault can show at all. `direct`: what was broken is measured, all the time.
 * `absence`: always there before, and nothing but its absence speaks for the repair. `counted`: it came
 * and went, and only counts against time do.
 */
export type Proof = 'direct' | 'absence' | 'counted'

interface Story {
  readonly name: string
  readonly proof: Proof
  /** What the driver does before the key goes off, so that the later run exercises what the earlier did. */
  readonly long: Script
  /** A later run that never gives the fault a chance; none where it cannot be avoided. */
  readonly unexercised?: Script
}

const road = (name: string): Script => findScenario(name).script.filter((step) => step.do === 'drive')
const PASS = road('boost-hose-off')
const VALLEY = road('egr-valve-stuck')
const VILLAGE = road('intake-temperature-unplugged')
const START: Script = [{ do: 'key-on' }, { do: 'wait', for: 3 }, { do: 'crank', atMost: 15 }]
const STOP: Script = [{ do: 'key-off', wait: 8 }]
const IDLE: Script = [...START, { do: 'idle', for: 90 }, ...STOP]
const PARK: Script = [{ do: 'park' }, { do: 'idle', for: 30 }]
const REVS: Script = [1, 2, 3, 4, 5].flatMap(
  (): Script => [
    { do: 'rev', rpm: 2200, for: 70 },
    { do: 'idle', for: 60 },
  ],
)

/** The stories, and how their repair can show. */
export const STORIES: readonly Story[] = [
  { name: 'missing-air-mass-signal', proof: 'direct', long: [] },
  {
    name: 'five-volt-short',
    proof: 'counted',
    long: [...VILLAGE, ...VILLAGE, ...VILLAGE, ...VILLAGE, ...PARK],
    unexercised: [...START, { do: 'idle', for: 20 }, ...STOP],
  },
  { name: 'egr-valve-stuck', proof: 'direct', long: [] },
  { name: 'boost-hose-off', proof: 'absence', long: [...PASS, ...PARK], unexercised: IDLE },
  { name: 'alternator-not-charging', proof: 'direct', long: [] },
  { name: 'crank-sensor-gap', proof: 'counted', long: REVS, unexercised: IDLE },
  { name: 'intake-temperature-unplugged', proof: 'direct', long: [] },
  { name: 'water-in-fuel', proof: 'absence', long: [...VALLEY, ...VALLEY, ...VALLEY, ...PARK] },
  { name: 'boost-sensor-drift', proof: 'direct', long: [] },
  { name: 'terminator-contact', proof: 'counted', long: REVS, unexercised: IDLE },
  { name: 'heater-link-open', proof: 'direct', long: [] },
  { name: 'radiator-blocked', proof: 'absence', long: [...PASS, ...PASS, ...PARK], unexercised: IDLE },
  { name: 'thermostat-stuck-open', proof: 'absence', long: [], unexercised: IDLE },
  { name: 'lost-ignition-feed', proof: 'counted', long: REVS },
  { name: 'wrong-air-mass-tube', proof: 'absence', long: [...VALLEY, ...PARK], unexercised: IDLE },
  { name: 'blocked-oil-hose', proof: 'direct', long: [{ do: 'idle', for: 60 }] },
]

/** What was done between the two runs. */
export type Deed = 'mended' | 'mended-elsewhere' | 'mended-and-new' | 'not-exercised' | 'cleared-only'

/** One of two runs. */
export interface PairRun {
  readonly scenario: Scenario
  readonly options: SimulationOptions & { readonly seed: number }
}

/** Two runs, and what is known of them. */
export interface Pair {
  readonly deed: Deed
  readonly story: string
  readonly proof: Proof
  readonly seed: number
  readonly before: PairRun
  readonly after: PairRun
  /** Whether the earlier run's fault is mended in the later. */
  readonly isMended: boolean
  /** SPN of the new fault of the later run. */
  readonly fresh: number | null
}

/** What was done, in words, and which stories it can be told with. */
export const DEEDS: readonly {
  readonly deed: Deed
  readonly words: string
  readonly suits: (story: Story) => boolean
}[] = [
  { deed: 'mended', words: 'mended', suits: () => true },
  {
    deed: 'mended-elsewhere',
    words: 'mended, in other weather and at another height',
    suits: ({ proof }) => proof === 'direct',
  },
  { deed: 'mended-and-new', words: 'mended, and something new is broken', suits: ({ name }) => name !== NEW_FAULT },
  {
    deed: 'not-exercised',
    words: 'not mended, faults cleared, not exercised',
    suits: ({ unexercised }) => unexercised !== undefined,
  },
  { deed: 'cleared-only', words: 'not mended, faults cleared, driven as before', suits: () => true },
]

/** Times the least, up to which a time is near it. */
const NEAR = 1.5
/** What breaks anew: it disturbs nothing else. */
const NEW_FAULT = 'water-in-fuel'
/** °C and m by which surroundings differ from run to run, and elsewhere. */
const SAME_AIR = 2
const OTHER_AIR: readonly [number, number] = [8, 16]
const HIGHEST = 2400

const between = (random: () => number, low: number, high: number): number =>
  Math.round((low + random() * (high - low)) * 10) / 10

/** The pair of a deed and a seed: the stories take turns. */
export function pairOf(deed: Deed, seed: number): Pair {
  const stories = STORIES.filter(DEEDS.find((other) => other.deed === deed)?.suits ?? (() => false))
  const story = stories[seed % stories.length]
  const was = findScenario(story.name)
  const random = chance(`${deed}/${story.name}/${seed}`)
  const altitude = between(random, 0, HIGHEST)
  const ambient = was.ambient + between(random, -4, 4)
  const severity = between(random, 0.95, 1.15)
  const away = between(random, ...OTHER_AIR) * (was.ambient > 10 ? -1 : 1)
  const elsewhere = deed === 'mended-elsewhere'
  const isMended = deed.startsWith('mended')
  const fresh = deed === 'mended-and-new' ? findScenario(NEW_FAULT) : undefined
  const script =
    deed === 'not-exercised'
      ? (story.unexercised ?? [])
      : [...was.script.slice(0, -1), ...(isMended ? story.long : []), ...STOP]
  const after: Scenario = {
    ...was,
    name: `${was.name}, ${deed}`,
    start: new Date(Date.parse(was.start) + 86_400_000).toISOString(),
    script: withClear(script),
    failures: [...(isMended ? [] : later(was)), ...(fresh?.failures ?? [])],
    expected: [...(isMended ? [] : was.expected), ...(fresh?.expected ?? [])],
    cause: isMended ? (fresh?.cause ?? 'none') : was.cause,
  }
  return {
    deed,
    story: story.name,
    proof: story.proof,
    seed,
    before: { scenario: was, options: { seed, ambient, altitude, severity } },
    after: {
      scenario: after,
      options: {
        // Far from every seed that a run before has.
        seed: seed + 100_000,
        ambient: elsewhere ? ambient + away : ambient + between(random, -SAME_AIR, SAME_AIR),
        altitude: elsewhere ? HIGHEST - altitude : altitude,
        severity,
      },
    },
    isMended,
    fresh: fresh?.expected.find(({ root }) => root)?.spn ?? null,
  }
}

/** s from key-on that reading and clearing takes. */
const CLEARING = 13
/** A technician reads and clears the memory before the start. */
function withClear(script: Script): Script {
  const [keyOn, ...rest] = script
  return [keyOn, { do: 'wait', for: 8 }, { do: 'tool', clear: true }, { do: 'wait', for: 1 }, ...rest]
}

/** Failures that come at a time of the script come as much later as clearing took. */
function later({ failures }: Scenario): Scenario['failures'] {
  return failures.map((failure) => {
    const { from, until } = failure.pattern ?? {}
    const moved = {
      ...(from === undefined ? {} : { from: from + CLEARING }),
      ...(until === undefined ? {} : { until: until + CLEARING }),
    }
    return failure.pattern === undefined ? failure : { ...failure, pattern: { ...failure.pattern, ...moved } }
  })
}

/**
 * Grades that are right for one fault of a pair.
 *
 * @param returned whether the node really had the fault again in the later run
 * @param enough of a counted fault, how often the later run has the time that rules chance out, by the truth of both runs
 */
export function rightGrades({ isMended, proof, deed }: Pair, returned: boolean, enough: number): readonly Grade[] {
  if (returned) return ['came-back']
  if (!isMended) return deed === 'not-exercised' ? ['not-tested'] : ['not-tested', 'not-proved']
  if (proof === 'direct') return ['proved']
  if (proof === 'absence') return ['supported']
  // Comparable time is less than all time: near the bound either answer is a good one.
  return enough > NEAR ? ['supported'] : enough < 1 ? ['not-proved', 'not-tested'] : ['supported', 'not-proved']
}
