/** Causes that show on the road: air mass, boost, exhaust gas, coolant, pedal, speed sensor. */

import type { ActiveFault } from '../finding.js'
import { INFRARED, METER, step, THIS_PROGRAM } from '../knowledge/index.js'
import { airInputsDoubtful, airLostWithBoost, airRatioConstant, airRatioFalls, airZero } from '../patterns/air.js'
import { boostAtRest, boostWeakUnderLoad } from '../patterns/boost.js'
import {
  coolantAndIntakeSwapped,
  coolantNeverWarm,
  fanAtFull,
  hotUnderLoad,
  oilHotToo,
  oilTemperatureAgrees,
} from '../patterns/cooling.js'
import { halfOrderSwing } from '../patterns/idle.js'
import { supplyGoodThen } from '../patterns/network.js'
import { dropsWithVibration, oilSteadyInDrops, speedDrops } from '../patterns/speed.js'
import { comesAfter, comesAndGoes } from '../patterns/together.js'
import { impossibleStep, limitCrossed, siblingsDiffer } from '../patterns/value.js'
import { egrDoesNotFollow } from '../patterns/valve.js'
import { againstIt, type Clue, eitherWay, forIt, type Hypothesis, otherwise } from './hypothesis.js'

/** A pattern of one fault, asked of the first fault with one of these SPNs. */
function ofFault(
  spns: readonly number[],
  look: (...args: [Parameters<Clue['look']>[0], ActiveFault]) => ReturnType<Clue['look']>,
): Clue['look'] {
  return (context, faults) => {
    const fault = faults.find(({ spn }) => spns.includes(spn))
    return fault === undefined ? null : look(context, fault)
  }
}

/** A run of SPNs, one for each cylinder. */
function cylinders(first: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => first + i)
}

const AIR_FAULTS = { spns: [132], classes: ['implausible', 'low', 'high', 'calibration'], of: 'engine' } as const
const FOLLOWS_AIR = [
  { spns: [27, 2791, 102, 1569, 2659, 411], classes: ['implausible', 'unspecific', 'no-response'], of: 'engine' },
] as const
const LEAKS = step(
  'off',
  'hand pump or regulated air',
  'Hoses from the compressor to the manifold: clamps, splits, intercooler tanks, oil traces; press them with a little air as the manual allows, and listen.',
  'hot-parts',
)
const ZERO = step('on', THIS_PROGRAM, 'Still air: record ten seconds; the air-mass reading must be near zero.')

export const RUNNING_CAUSES: readonly Hypothesis[] = [
  {
    id: 'air-mass-tube',
    title: 'The air-mass sensor sits in a tube of another bore than its calibration',
    roots: [AIR_FAULTS],
    follows: FOLLOWS_AIR,
    tail: 30,
    unreported: true,
    checks: ['air-mass-idle'],
    clues: [
      eitherWay('air-ratio-constant', airRatioConstant, { weight: 1.5, decisive: true, excludes: true }),
      againstIt('air-inputs-doubtful', airInputsDoubtful, { excludes: true }),
      otherwise('air-zero', airZero, { weight: 0.2, excludes: true }),
      otherwise('air-lost-with-boost', airLostWithBoost, { weight: 0.2, excludes: true }),
      againstIt('valve-does-not-follow', egrDoesNotFollow, { excludes: true }),
      againstIt('coolant-and-intake-crossed', coolantAndIntakeSwapped, { excludes: true }),
    ],
    steps: [
      step(
        'off',
        'caliper',
        'Measure the inside of the tube at the sensor and compare with the bore the calibration is for: the reading falls with the square of the bore.',
      ),
      step(
        'off',
        null,
        'Is the tube the one that belongs to the sensor? Arrow to the engine, screens in place, straight pipe before it.',
      ),
      step(
        'any',
        null,
        'If the tube has to stay, the calibration has to be changed by its maker; never bend the reading by an adapter.',
      ),
      ZERO,
    ],
  },
  {
    id: 'air-mass-dirt-or-leak',
    title: 'Air gets past the air-mass sensor, or its film is dirty',
    roots: [AIR_FAULTS],
    follows: FOLLOWS_AIR,
    tail: 30,
    checks: ['air-mass-idle'],
    clues: [
      eitherWay('air-ratio-falls', airRatioFalls, { weight: 2, decisive: true }),
      againstIt('air-inputs-doubtful', airInputsDoubtful, { excludes: true }),
      againstIt('air-ratio-constant', airRatioConstant),
      againstIt('air-lost-with-boost', airLostWithBoost),
    ],
    steps: [
      step(
        'off',
        null,
        'Pipe between sensor and turbocharger: split, loose clamp, a hose that was left open.',
        'hot-parts',
      ),
      step(
        'off',
        null,
        'Air filter: right, seated, not oiled. Look at the film through the screen; clean only as its maker allows.',
      ),
      ZERO,
    ],
  },
  {
    id: 'air-mass-offset',
    title: 'The air-mass sensor is off by a fixed amount: supply, ground or the sensor',
    roots: [AIR_FAULTS],
    follows: FOLLOWS_AIR,
    tail: 30,
    checks: ['air-mass-zero'],
    clues: [
      eitherWay('air-zero', airZero, { weight: 2, decisive: true }),
      againstIt('air-ratio-constant', airRatioConstant),
    ],
    steps: [
      step(
        'on',
        METER,
        'Power and ground at its plug, key on; ground within 0.1 V of the battery’s negative post.',
        'key-off-measuring',
      ),
      ZERO,
    ],
  },
  {
    id: 'air-mass-error-spreads',
    title: 'The air-mass reading is wrong, and what is worked out from it follows',
    roots: [{ spns: [132], of: 'engine' }],
    follows: FOLLOWS_AIR,
    tail: 60,
    checks: ['air-mass-idle'],
    clues: [forIt('comes-after', comesAfter, { decisive: true })],
    steps: [
      step('off', null, 'Settle the air-mass sensor first: plug, tube, arrow, leaks. The others usually go with it.'),
      ZERO,
      step('off', null, 'Only then exhaust gas valve and boost.', 'hot-parts'),
    ],
  },
  {
    id: 'boost-leak',
    title: 'Air escapes between compressor and engine: a hose, a clamp, the intercooler',
    roots: [{ spns: [102, 1127, 3563], classes: ['low', 'implausible'], of: 'engine' }, AIR_FAULTS],
    follows: [{ spns: [132, 1569, 103, 641], of: 'engine' }],
    tail: 30,
    unreported: true,
    checks: ['boost-under-load', 'air-mass-idle'],
    clues: [
      eitherWay('air-lost-with-boost', airLostWithBoost, { weight: 1.5, decisive: true }),
      forIt('boost-weak-under-load', boostWeakUnderLoad, { weight: 1 }),
      otherwise('boost-at-rest', boostAtRest, { weight: 0.4, excludes: true }),
      againstIt('coolant-and-intake-crossed', coolantAndIntakeSwapped, { excludes: true }),
      againstIt('valve-does-not-follow', egrDoesNotFollow, { excludes: true }),
    ],
    steps: [
      LEAKS,
      step('off', null, 'Wastegate or vane linkage and its hose.', 'hot-parts'),
      step('running', THIS_PROGRAM, 'Record a climb again: measured and expected air must meet.', 'driving'),
    ],
  },
  {
    id: 'boost-weak',
    title: 'The turbocharger makes too little boost: linkage, wastegate, air filter, exhaust',
    roots: [{ spns: [102, 1127, 3563], classes: ['low'], of: 'engine' }],
    follows: [{ spns: [1569], of: 'engine' }],
    tail: 30,
    checks: ['boost-under-load'],
    clues: [
      forIt('boost-weak-under-load', boostWeakUnderLoad, { weight: 1 }),
      otherwise('air-lost-with-boost', airLostWithBoost, { weight: 1 }),
      otherwise('boost-at-rest', boostAtRest, { weight: 0.5 }),
    ],
    steps: [
      step('off', null, 'Air filter and its pipe: blocked or sucked flat?'),
      step('off', 'hand pump', 'Wastegate or vanes: linkage moves freely and returns; its hose whole.', 'hot-parts'),
      LEAKS,
    ],
  },
  {
    id: 'boost-sensor-offset',
    title: 'The intake pressure sensor is off: drifted, or dirt or oil in its port',
    roots: [{ spns: [102, 1127, 3563], classes: ['implausible', 'high', 'low', 'calibration'], of: 'engine' }],
    follows: [{ spns: [132, 1569], of: 'engine' }],
    tail: 30,
    unreported: true,
    checks: ['key-on-boost', 'manifold-pressure', 'air-mass-idle'],
    clues: [
      eitherWay('boost-at-rest', boostAtRest, { weight: 2.5, decisive: true, excludes: true }),
      forIt('supply-good-then', supplyGoodThen, { weight: 0.5, absent: 'against' }),
    ],
    steps: [
      step('off', null, 'Take the sensor out, look into its port and clean it as the manual says.'),
      step(
        'on',
        THIS_PROGRAM,
        'Sensor vented: record ten seconds. Still off: check the barometer against a weather station.',
      ),
      step(
        'on',
        METER,
        'Its 5 V supply and ground at the plug: 4.75 to 5.25 V, ground within 0.1 V.',
        'key-off-measuring',
      ),
      step('off', null, 'Only then the sensor.'),
    ],
  },
  {
    id: 'egr-stuck',
    title: 'The exhaust gas recirculation valve does not move',
    roots: [
      {
        spns: [27, 2791, 2659, 411],
        classes: ['no-response', 'implausible', 'high', 'low', 'overcurrent'],
        of: 'engine',
      },
    ],
    follows: [{ spns: [132, 102, 1569, 105], classes: ['implausible', 'low', 'high', 'unspecific'], of: 'engine' }],
    tail: 60,
    unreported: true,
    checks: ['egr-position', 'air-mass-idle'],
    clues: [eitherWay('valve-does-not-follow', egrDoesNotFollow, { weight: 2.5, decisive: true })],
    steps: [
      step(
        'off',
        null,
        'Wait until the controller sleeps, unplug the valve and look: water, heat, pins.',
        'key-off-measuring',
        'hot-parts',
      ),
      step(
        'off',
        null,
        'Take it off if the manual allows: soot, free movement only as the manual says, never by hand under power.',
        'hot-parts',
      ),
      step('on', METER, 'Power, ground and command at its plug; then its position sensor’s 5 V.', 'key-off-measuring'),
      step('any', null, 'The air-mass sensor is not at fault: it sees less air because exhaust takes its place.'),
    ],
  },
  {
    id: 'thermostat-open',
    title: 'The thermostat does not close',
    roots: [{ spns: [110, 1637], classes: ['low', 'implausible', 'no-response'], of: 'engine' }],
    follows: [],
    unreported: true,
    checks: ['thermostat', 'warm-up-rate'],
    clues: [
      eitherWay('coolant-never-warm', coolantNeverWarm, { weight: 2, decisive: true, excludes: true }),
      eitherWay('oil-temperature-agrees', oilTemperatureAgrees, { weight: 1.5, excludes: true }),
      againstIt('coolant-and-intake-crossed', coolantAndIntakeSwapped, { excludes: true }),
    ],
    steps: [
      step(
        'running',
        null,
        'Cold start: feel the lower radiator hose while it warms up. Warm at once means the thermostat lets through.',
        'hot-parts',
        'rotating-parts',
      ),
      step(
        'running',
        INFRARED,
        'Thermometer at the thermostat housing against the reading: is it really cold?',
        'hot-parts',
      ),
      step(
        'off',
        null,
        'Thermostat out: seat, jiggle pin, right way round, right temperature stamped on it.',
        'hot-parts',
      ),
      step('running', null, 'Fan: does it run all the time?', 'rotating-parts'),
    ],
  },
  {
    id: 'overheating',
    title: 'The engine really gets too hot: coolant level, radiator, fan, pump',
    roots: [{ spns: [110, 1637, 175], classes: ['high'], of: 'engine' }],
    follows: [{ spns: [1569, 1109, 1110, 175, 105, 110], classes: ['high', 'unspecific', 'low'], of: 'engine' }],
    tail: 10,
    checks: ['thermostat'],
    clues: [
      eitherWay('limit-crossed', ofFault([110, 1637, 175], limitCrossed), { weight: 2, decisive: true }),
      forIt('hot-under-load', hotUnderLoad, { weight: 1 }),
      forIt('oil-hot-too', oilHotToo, { weight: 1, absent: 'against' }),
      forIt('fan-at-full', fanAtFull, { weight: 0.5 }),
      againstIt('siblings-differ', ofFault([110], siblingsDiffer), { weight: 1.5 }),
    ],
    steps: [
      step('off', null, 'Let it cool. Level in the tank, leaks, hoses; never open a hot cap.', 'hot-parts'),
      step('off', null, 'Radiator and intercooler faces: straw, mud, cardboard, a winter cover?'),
      step(
        'off',
        null,
        'Belt, pump, fan and its clutch: turning, right way round, shroud fitted?',
        'rotating-parts',
        'hot-parts',
      ),
      step(
        'running',
        INFRARED,
        'Thermometer at radiator inlet and outlet: hot in and cold out means little flow; hot in and hot out means little air.',
        'hot-parts',
        'rotating-parts',
      ),
    ],
  },
  {
    id: 'pedal-track',
    title: 'One track of the accelerator pedal loses contact',
    roots: [{ spns: [91, 29, 2623, 974, 28], classes: ['implausible', 'no-response', 'calibration'], of: 'engine' }],
    follows: [{ spns: [558, 1569, 2970], of: 'engine' }],
    tail: 10,
    checks: ['pedal-agreement', 'pedal-travel'],
    clues: [
      eitherWay('impossible-step', ofFault([91, 29], impossibleStep), { weight: 2, decisive: true }),
      forIt('siblings-differ', ofFault([91, 29], siblingsDiffer), { weight: 2, decisive: true, absent: 'against' }),
      forIt('supply-good-then', supplyGoodThen, { weight: 0.5, absent: 'against' }),
      forIt('comes-and-goes', comesAndGoes, { weight: 0.5 }),
    ],
    steps: [
      step('off', null, 'Pedal plug: pins, water, pull on each wire; floor mat and bracket.', 'key-off-measuring'),
      step(
        'on',
        THIS_PROGRAM,
        'Press the pedal slowly over ten seconds, three times, while recording; look for a hole or a step on one track.',
      ),
      step(
        'on',
        METER,
        'Supply and ground of that track at the plug while moving the harness: 4.75 to 5.25 V.',
        'key-off-measuring',
      ),
      step(
        'off',
        null,
        'Wires good and the hole always at the same travel: the track is worn. Then record the same drive again before calling it fixed.',
      ),
    ],
  },
  {
    id: 'cylinder-weak',
    title: 'One cylinder pulls less than the others: its injector, the wires to it, or compression',
    roots: [{ spns: [...cylinders(1322, 25), ...cylinders(5357, 7)], of: 'engine' }],
    follows: [],
    unreported: true,
    checks: ['idle-stability'],
    clues: [eitherWay('half-order-swing', halfOrderSwing, { weight: 2.5, decisive: true, excludes: true })],
    steps: [
      step(
        'running',
        null,
        'Cylinder cut-out test with the maker’s tool: the one that changes nothing is the weak one.',
        'rotating-parts',
      ),
      step(
        'off',
        null,
        'Controller asleep: plug and wires of its injector; oil in the connector through the cylinder head?',
        'key-off-measuring',
      ),
      step(
        'off',
        METER,
        'Resistance of its injector against the neighbours, unplugged. High voltage while running.',
        'key-off-measuring',
      ),
      step('any', null, 'Is the injector’s code written into the controller?'),
      step(
        'cranking',
        'compression tester',
        'Compression against the neighbours, as the manual says.',
        'before-cranking',
        'crank-limit',
        'fuel-pressure',
      ),
    ],
  },
  {
    id: 'crank-sensor',
    title: 'The crankshaft sensor loses pulses: air gap, tone wheel, plug or shield',
    roots: [
      {
        spns: [636, 190, 723, 637, 4201, 4202, 4203],
        classes: ['implausible', 'pulses', 'low', 'unspecific', 'no-response'],
        of: 'engine',
      },
    ],
    follows: [{ spns: [1569, 190, 723], of: 'engine' }],
    unreported: true,
    checks: ['idle-stability'],
    clues: [
      eitherWay('speed-drops', speedDrops, { weight: 2.5, decisive: true }),
      forIt('oil-steady-in-drops', oilSteadyInDrops, { weight: 1, absent: 'against' }),
      forIt('drops-with-vibration', dropsWithVibration, { weight: 0.5 }),
      forIt('supply-good-then', supplyGoodThen, { weight: 0.5, absent: 'against' }),
    ],
    steps: [
      step(
        'off',
        'feeler gauge',
        'Air gap and tight mounting of the sensor; metal dust on its tip; teeth of the wheel.',
      ),
      step('off', null, 'Plug and cable: shield grounded at one end only, not beside starter or injector cables.'),
      step(
        'off',
        METER,
        'Two-wire coil type only, unplugged: roughly 0.5 to 1.5 kΩ. Hall type: never with the ohm-meter.',
        'key-off-measuring',
      ),
    ],
  },
]
