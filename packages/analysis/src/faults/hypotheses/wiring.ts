/** Causes several sensors share: their supply, their ground, their plug; and two plugs swapped. */
import { INFRARED, METER, step, THIS_PROGRAM } from '../knowledge/index.js'
import { coolantAndIntakeSwapped, intakeWarmsLikeCoolant } from '../patterns/cooling.js'
import { supplyGoodThen } from '../patterns/network.js'
import {
  circuitShown,
  comesAndGoes,
  FED,
  mixedFaultsTogether,
  sensorsFailTogether,
  supplyReported,
  supplyVoltageWrong,
  thermistorsUnharmed,
} from '../patterns/together.js'
import { siblingsDiffer } from '../patterns/value.js'
import { againstIt, eitherWay, forIt, type Hypothesis } from './hypothesis.js'

const UNPLUG_IN_TURN = step(
  'on',
  METER,
  'Measure the supply at one of the plugs. Unplug the sensors of that supply one at a time, key off between. When the 5 V come back, the last one or its wire is the short.',
  'key-off-measuring',
)
const FOLLOW_HARNESS = step(
  'off',
  null,
  'Then follow that harness where it moves, bends or touches metal: brackets, edges, hot parts, steering. Look for a chafed place.',
  'hot-parts',
)
const CONTROLLER_PLUG = step(
  'off',
  null,
  'Wait until the controller sleeps, unplug it and look for bent, spread or green pins of supply and sensor ground.',
  'key-off-measuring',
)
const WIGGLE = step(
  'on',
  THIS_PROGRAM,
  'Move the harness piece by piece while recording, and look where the values jump.',
  'key-off-measuring',
)

const FED_LOW = { kinds: FED, classes: ['volts-low', 'low', 'implausible'], of: 'engine' } as const
const FED_HIGH = { kinds: FED, classes: ['volts-high', 'high', 'implausible'], of: 'engine' } as const

export const WIRING: readonly Hypothesis[] = [
  {
    id: 'sensor-supply-short',
    title: 'A 5 V sensor supply is shorted to ground',
    roots: [{ kinds: ['sensor-supply'], classes: ['volts-low', 'low', 'implausible', 'unspecific'], of: 'engine' }],
    follows: [FED_LOW, { spns: [1569, 558], of: 'engine' }],
    tail: 2.5,
    checks: ['pedal-agreement'],
    clues: [
      forIt('supply-reported', supplyReported, { weight: 2, decisive: true }),
      eitherWay('sensors-fail-together', sensorsFailTogether, { weight: 2, decisive: true }),
      forIt('supply-voltage-wrong', supplyVoltageWrong, { weight: 2, decisive: true }),
      eitherWay('others-unharmed', thermistorsUnharmed),
      forIt('circuit-shown', circuitShown),
      eitherWay('supply-good-then', supplyGoodThen),
      forIt('comes-and-goes', comesAndGoes, { weight: 0.5 }),
    ],
    steps: [UNPLUG_IN_TURN, FOLLOW_HARNESS, CONTROLLER_PLUG, WIGGLE],
  },
  {
    id: 'sensor-supply-lost',
    title: 'Several sensors have lost their 5 V supply: a wire or joint they share is broken or shorted',
    roots: [{ kinds: FED, classes: ['volts-low'], of: 'engine' }],
    follows: [{ spns: [1569, 558], of: 'engine' }],
    atLeast: 2,
    checks: [],
    clues: [
      eitherWay('sensors-fail-together', sensorsFailTogether, { weight: 2, decisive: true, excludes: true }),
      eitherWay('others-unharmed', thermistorsUnharmed),
      forIt('circuit-shown', circuitShown),
      eitherWay('supply-good-then', supplyGoodThen),
    ],
    steps: [UNPLUG_IN_TURN, FOLLOW_HARNESS, CONTROLLER_PLUG, WIGGLE],
  },
  {
    id: 'sensor-supply-high',
    title: 'A 5 V sensor supply touches battery voltage',
    roots: [{ kinds: ['sensor-supply'], classes: ['volts-high', 'high'], of: 'engine' }],
    follows: [FED_HIGH, { spns: [1569, 558], of: 'engine' }],
    checks: [],
    clues: [
      forIt('supply-reported', supplyReported, { weight: 2, decisive: true }),
      forIt('sensors-fail-together', sensorsFailTogether, { weight: 1 }),
      forIt('supply-voltage-wrong', supplyVoltageWrong, { weight: 2, decisive: true }),
      eitherWay('supply-good-then', supplyGoodThen),
    ],
    steps: [
      step(
        'off',
        null,
        'Disconnect nothing in a hurry: 12 V on the 5 V rail can destroy sensors. Key off first.',
        'key-off-measuring',
      ),
      UNPLUG_IN_TURN,
      FOLLOW_HARNESS,
    ],
  },
  {
    id: 'sensor-ground-lost',
    title: 'The sensors’ common ground is lost',
    roots: [{ kinds: FED, classes: ['volts-high'], of: 'engine' }],
    follows: [
      { kinds: ['thermistor'], classes: ['volts-high'], of: 'engine' },
      { spns: [1569, 558], of: 'engine' },
    ],
    atLeast: 2,
    checks: [],
    clues: [
      eitherWay('sensors-fail-together', sensorsFailTogether, { weight: 2, decisive: true, excludes: true }),
      againstIt('supply-reported', supplyReported),
      forIt('circuit-shown', circuitShown),
      eitherWay('supply-good-then', supplyGoodThen),
    ],
    steps: [
      step(
        'on',
        METER,
        'Sensor unplugged: from its ground pin to the battery’s negative post: less than 0.1 V. More means the common ground is open.',
        'key-off-measuring',
      ),
      CONTROLLER_PLUG,
      FOLLOW_HARNESS,
      WIGGLE,
    ],
  },
  {
    id: 'connector-off',
    title: 'A plug that several parts share is loose or off',
    roots: [
      {
        classes: ['volts-high', 'volts-low', 'open'],
        of: 'engine',
        kinds: [...FED, 'thermistor', 'driver', 'actuator', 'injector', 'heater', 'air-mass', 'pickup', 'switch'],
      },
    ],
    follows: [],
    atLeast: 2,
    checks: [],
    clues: [
      eitherWay('mixed-faults-together', mixedFaultsTogether, { weight: 2, decisive: true, excludes: true }),
      againstIt('supply-reported', supplyReported, { excludes: true }),
      forIt('circuit-shown', circuitShown),
      forIt('comes-and-goes', comesAndGoes, { weight: 0.5 }),
    ],
    steps: [
      step(
        'off',
        null,
        'Wait until the controller sleeps. Find the connector all these wires pass through: is it locked, dry, are pins bent, spread or pushed back?',
        'key-off-measuring',
      ),
      FOLLOW_HARNESS,
      WIGGLE,
      step(
        'off',
        METER,
        'Battery isolated: continuity of each wire, and no connection to ground or its neighbour.',
        'key-off-measuring',
        'battery',
      ),
    ],
  },
  {
    id: 'sensors-swapped',
    title: 'The plugs of two temperature sensors are swapped',
    roots: [{ spns: [110, 105], classes: ['low', 'high', 'implausible', 'calibration'], of: 'engine' }],
    follows: [{ spns: [132, 102, 1569, 729], classes: ['implausible', 'low', 'unspecific'], of: 'engine' }],
    windows: (context) => [context.span],
    unreported: true,
    checks: ['warm-up-rate', 'thermostat', 'air-mass-idle'],
    clues: [
      eitherWay('coolant-and-intake-crossed', coolantAndIntakeSwapped, { weight: 2, decisive: true, excludes: true }),
      forIt('intake-warms-like-coolant', intakeWarmsLikeCoolant),
      {
        pattern: 'siblings-differ',
        look: (context, faults) => {
          const first = faults.find(({ spn }) => spn === 110 || spn === 105)
          return first === undefined ? null : siblingsDiffer(context, first)
        },
        seen: 'against',
        absent: 'for',
        weight: 0.5,
      },
    ],
    steps: [
      step(
        'off',
        null,
        'Find both sensors. Do their plugs fit each other? Compare wire colours with the diagram.',
        'hot-parts',
      ),
      step('on', null, 'Unplug one of the two and see which reading goes to the coldest figure.', 'key-off-measuring'),
      step('off', null, 'Swap the plugs back and mark them.'),
      step('running', INFRARED, 'Warm up again: coolant must follow the thermometer at the housing.', 'hot-parts'),
    ],
  },
]
