/** Causes in battery, grounds, charging and key feed. */
import { METER, step, THIS_PROGRAM } from '../knowledge/index.js'
import { crankings, crankSpeedLow, crankVoltageLow, recoversAfterCrank, weakInCrank } from '../patterns/cranking.js'
import { heaterOnBeforeLamp, heaterStaysOn } from '../patterns/heater.js'
import { nodeRestarted } from '../patterns/network.js'
import {
  keyFeedLost,
  keyFeedSpans,
  notCharging,
  overCharging,
  restVoltageLow,
  stopsAndGoesOn,
} from '../patterns/power.js'
import { activeSpans } from '../patterns/together.js'
import { againstIt, eitherWay, type FaultMatch, forIt, type Hypothesis, otherwise } from './hypothesis.js'

const POSTS = step(
  'off',
  METER,
  'Voltage at the battery posts after some hours of rest: 12.5 V or more. Clamps clean and tight.',
  'battery',
)
const VOLT_DROP = step(
  'cranking',
  METER,
  'Volt-drop test while somebody cranks: negative post to engine block at most 0.2 V, positive post to starter stud at most 0.5 V, negative post to the controller’s ground point at most 0.2 V. Move along until the drop is found.',
  'before-cranking',
  'crank-limit',
  'battery',
)
const GROUNDS = step(
  'off',
  null,
  'Ground straps between battery, frame and engine: paint under the eyelet, loose, too thin, missing after the repower? Clean to bright metal.',
  'battery',
)

/** What a supply that breaks down in cranking makes nodes say. */
const CRANK_FOLLOWS: readonly FaultMatch[] = [
  { kinds: ['network'] },
  { kinds: ['pickup'], classes: ['implausible', 'pulses', 'low'] },
  { kinds: ['sensor-supply', 'controller'] },
]
const CRANK_ROOTS: readonly FaultMatch[] = [
  { spns: [168, 444, 627, 158, 1485, 2634], classes: ['low', 'volts-low', 'implausible'] },
  { spns: [152] },
]

export const POWER: readonly Hypothesis[] = [
  {
    id: 'voltage-drop-in-crank',
    title: 'Too much voltage is lost between battery and engine while cranking: ground or cable',
    roots: CRANK_ROOTS,
    follows: CRANK_FOLLOWS,
    windows: crankings,
    tail: 3,
    unreported: true,
    checks: ['crank-voltage', 'crank-speed', 'controller-reset'],
    clues: [
      eitherWay('crank-voltage-low', crankVoltageLow, { weight: 2, decisive: true, excludes: true }),
      otherwise('rest-voltage-low', restVoltageLow, { weight: 2, required: true, excludes: true }),
      forIt('node-restarted', nodeRestartedInCrank, { weight: 1.5 }),
      forIt('crank-speed-low', crankSpeedLow),
      forIt('recovers-after-crank', recoversAfterCrank),
      againstIt('heater-stays-on', heaterStaysOn, { excludes: true }),
    ],
    steps: [
      VOLT_DROP,
      GROUNDS,
      POSTS,
      step(
        'off',
        'battery tester',
        'If no drop is found: load-test the battery, then the starter’s current.',
        'battery',
      ),
    ],
  },
  {
    id: 'battery-weak',
    title: 'The battery is discharged or worn out',
    roots: CRANK_ROOTS,
    follows: CRANK_FOLLOWS,
    windows: crankings,
    tail: 3,
    unreported: true,
    checks: ['rest-voltage', 'crank-voltage', 'crank-speed', 'controller-reset'],
    clues: [
      eitherWay('rest-voltage-low', restVoltageLow, { weight: 1.5, decisive: true, excludes: true }),
      forIt('weak-in-crank', weakInCrank, { required: true }),
      forIt('recovers-after-crank', recoversAfterCrank, { weight: 0.25 }),
      againstIt('heater-stays-on', heaterStaysOn, { weight: 2, excludes: true }),
      againstIt('heater-on-before-lamp', heaterOnBeforeLamp, { weight: 2, excludes: true }),
    ],
    steps: [
      POSTS,
      step('off', 'battery tester', 'Charge it fully, let it rest four hours, then load-test it.', 'battery'),
      step('off', METER, 'Current drawn with the key off and all asleep: a few hundredths of an ampere.', 'battery'),
      VOLT_DROP,
    ],
  },
  {
    id: 'not-charging',
    title: 'The alternator does not charge',
    roots: [{ spns: [167, 168, 115, 3353], classes: ['low', 'volts-low', 'unspecific', 'open'] }],
    follows: [{ spns: [158, 168, 444], classes: ['low'] }],
    unreported: true,
    checks: ['charging-voltage'],
    clues: [
      eitherWay('not-charging', notCharging, { weight: 2.5, decisive: true, excludes: true }),
      againstIt('heater-stays-on', heaterStaysOn, { excludes: true }),
      againstIt('heater-on-before-lamp', heaterOnBeforeLamp, { excludes: true }),
    ],
    steps: [
      step('off', null, 'Belt: there, tight, not glazed; the pulley turns the rotor.', 'rotating-parts'),
      step('on', METER, 'Exciter or lamp wire at the alternator: is there battery voltage with the key on?', 'battery'),
      step(
        'running',
        METER,
        'Output stud of the alternator against the positive post: more than 0.5 V difference is the cable, its fuse or a joint.',
        'battery',
        'rotating-parts',
      ),
      step(
        'running',
        METER,
        'Output stud to alternator body: below 13 V with belt and exciter good: the alternator or its regulator.',
        'battery',
        'rotating-parts',
      ),
    ],
  },
  {
    id: 'overcharging',
    title: 'The alternator charges too high',
    roots: [{ spns: [167, 168, 444], classes: ['high', 'volts-high'] }],
    follows: [],
    checks: ['charging-voltage'],
    clues: [eitherWay('too-much-charge', overCharging, { weight: 2.5, decisive: true, excludes: true })],
    steps: [
      step('running', METER, 'Measure at the battery posts; stop if it is above 15.5 V.', 'battery', 'rotating-parts'),
      step('off', METER, 'Sense wire of the regulator: connected to the battery, not broken?', 'battery'),
      step('off', null, 'Is this alternator for this voltage? Regulator last.', 'battery'),
    ],
  },
  {
    id: 'key-feed-lost',
    title: 'The ignition feed of the engine controller drops out',
    roots: [{ spns: [158], classes: ['implausible', 'low', 'volts-low', 'open', 'unspecific', 'high', 'no-response'] }],
    follows: [{ kinds: ['network'] }, { spns: [190, 636, 1485], of: 'engine' }],
    windows: (context, roots) => [...activeSpans(roots), ...keyFeedSpans(context)],
    tail: 6,
    checks: ['controller-reset', 'missing-messages', 'rail-pressure'],
    clues: [
      eitherWay('key-feed-lost', keyFeedLost, { weight: 2, decisive: true }),
      forIt('stops-and-goes-on', stopsAndGoesOn, { weight: 2, decisive: true }),
      forIt('recovers-after-crank', recoversAfterCrank, { weight: 0.5 }),
      againstIt('not-charging', notCharging),
    ],
    steps: [
      step(
        'on',
        METER,
        'Meter on the controller’s key feed at its fuse; wiggle fuse, relay, key switch and the joint made in the repower, and watch it drop.',
      ),
      step('off', null, 'Look at fuse legs, relay socket and crimps of that wire: loose, green, burnt?'),
      step('on', METER, 'Feed the relay’s coil and contact one after the other: which of the two goes away?'),
      step(
        'running',
        THIS_PROGRAM,
        'Record again with the repaired feed: keyswitch voltage must follow the battery in every message.',
      ),
    ],
  },
]

function nodeRestartedInCrank(
  ...[context, faults]: Parameters<typeof nodeRestarted>
): ReturnType<typeof nodeRestarted> {
  const spans = crankings(context)
  const found = context.silences.restarts.find(({ from, to }) =>
    spans.some((span) => from <= span.to && to >= span.from),
  )
  if (found === undefined) return nodeRestarted(context, faults)?.seen ? null : nodeRestarted(context, faults)
  const text = `While the starter turns address ${found.sender.sa} falls silent and claims its address anew: its supply broke down.`
  return { seen: true, text, from: found.from, to: found.to, signals: [] }
}
