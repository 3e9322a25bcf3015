/** Causes of the first minutes: intake heater, fuel supply, water, oil. */
import { CLAMP, MECHANICAL_GAUGE, METER, step, THIS_PROGRAM } from '../knowledge/index.js'
import { deliveryHunts, deliveryStarved, hardStart, railLow, waterReported } from '../patterns/fuel.js'
import { heaterDrawsNothing, heaterOnBeforeLamp, heaterStaysOn, loadedAfterStop } from '../patterns/heater.js'
import {
  oilCircuitWhole,
  oilPressureAbsent,
  oilPressureLate,
  oilPressureQuickLater,
  oilPressureTwoValues,
  oilSenderAlive,
} from '../patterns/oil.js'
import { chargingHeldDown } from '../patterns/power.js'
import { againstIt, eitherWay, forIt, type Hypothesis, otherwise } from './hypothesis.js'

const LOOK_FUEL = step(
  'off',
  null,
  'Fuel in the tank, shut-off open, filter tight and its seal right, lines not swapped or kinked.',
  'fuel-pressure',
)
const CLEAR_HOSE = step(
  'running',
  'clear hose',
  'A piece of clear hose in the suction line, put in with the engine stopped: bubbles mean air before the pump. Look at every joint made in the repower.',
  'fuel-pressure',
)
const BLEED = step(
  'off',
  null,
  'Bleed the system as the manual says. Never loosen a high-pressure line.',
  'fuel-pressure',
)
const LOW_GAUGE = step(
  'running',
  MECHANICAL_GAUGE,
  'Low-pressure gauge at the test port, fitted with the engine stopped; read it cranking and running: compare with the maker’s figure.',
  'fuel-pressure',
  'before-cranking',
  'crank-limit',
)

export const STARTING_CAUSES: readonly Hypothesis[] = [
  {
    id: 'heater-open',
    title: 'The intake heater draws no current: fusible link, solenoid or grid is open',
    roots: [{ spns: [729, 730, 45], classes: ['open', 'volts-low', 'volts-high', 'no-response', 'low'] }],
    follows: [],
    checks: ['heater-draw', 'crank-time', 'idle-stability'],
    clues: [
      eitherWay('heater-draws-nothing', heaterDrawsNothing, { weight: 2.5, decisive: true, excludes: true }),
      forIt('hard-start', hardStart, { weight: 0.5 }),
      againstIt('heater-stays-on', heaterStaysOn, { excludes: true }),
    ],
    steps: [
      step(
        'off',
        null,
        'Look at fusible link, studs and cables of the heater: burnt, loose, green?',
        'intake-heater',
        'battery',
      ),
      step(
        'on',
        METER,
        'While the lamp burns, measure against ground in turn: battery side of the link, heater side, solenoid output, grid stud. Where the voltage ends is the break.',
        'intake-heater',
        'battery',
      ),
      step(
        'on',
        METER,
        'No voltage behind the solenoid although its coil is fed: the contact; coil not fed: its wire.',
        'intake-heater',
      ),
      step(
        'on',
        CLAMP,
        'Voltage at the grid and still no sag: a clamp on the cable shows whether any current flows; the grid is open.',
        'intake-heater',
      ),
    ],
  },
  {
    id: 'heater-stuck-on',
    title: 'The intake heater never switches off, a fire risk: its solenoid is welded',
    roots: [{ spns: [729, 730, 45], classes: ['overcurrent', 'no-response', 'volts-high', 'high', 'unspecific'] }],
    follows: [{ spns: [168, 167, 158], classes: ['low'] }],
    unreported: true,
    checks: ['heater-release', 'rest-voltage', 'charging-voltage', 'crank-voltage'],
    clues: [
      eitherWay('heater-stays-on', heaterStaysOn, { weight: 2, decisive: true, excludes: true }),
      forIt('heater-on-before-lamp', heaterOnBeforeLamp, { weight: 1 }),
      eitherWay('charging-held-down', chargingHeldDown, { weight: 1.5 }),
      eitherWay('loaded-after-stop', loadedAfterStop, { weight: 1.5, decisive: true }),
    ],
    steps: [
      step('off', null, 'Switch off and isolate the battery now. Leave it isolated.', 'heater-stuck', 'battery'),
      step(
        'off',
        METER,
        'Battery side of the solenoid disconnected: measure across its big studs. Near 0 Ω with the coil dead: welded.',
        'heater-stuck',
        'battery',
      ),
      step(
        'off',
        null,
        'Change solenoid and look at the cables and grid for heat damage; find out why it welded: coil fed too long, low voltage, wrong part.',
        'intake-heater',
      ),
      step('on', CLAMP, 'After the repair: current must end when the lamp goes out.', 'intake-heater'),
    ],
  },
  {
    id: 'fuel-air',
    title: 'Air in the fuel supply',
    roots: [
      { spns: [94, 5578, 1381], classes: ['low', 'implausible'] },
      { spns: [157, 1349, 164], classes: ['low'] },
    ],
    follows: [
      { spns: [157, 1349, 164, 1347], classes: ['low', 'implausible', 'no-response'] },
      { spns: [1569, 190], of: 'engine' },
    ],
    tail: 60,
    unreported: true,
    checks: ['rail-pressure', 'crank-time', 'idle-stability'],
    clues: [
      eitherWay('delivery-hunts', deliveryHunts, { weight: 1.5, decisive: true }),
      eitherWay('delivery-starved', deliveryStarved, { weight: 2, excludes: true }),
      forIt('hard-start', hardStart),
      forIt('rail-low', railLow),
      againstIt('water-reported', waterReported, { weight: 0.5 }),
    ],
    steps: [LOOK_FUEL, CLEAR_HOSE, BLEED, LOW_GAUGE],
  },
  {
    id: 'fuel-restricted',
    title: 'Too little fuel reaches the high-pressure pump: filter, line or lift pump',
    roots: [
      { spns: [94, 5578, 95, 1381, 1382], classes: ['low', 'high'] },
      { spns: [157, 1349, 164], classes: ['low'] },
    ],
    follows: [
      { spns: [157, 1349, 164, 1347], classes: ['low', 'implausible', 'no-response'] },
      { spns: [1569, 190], of: 'engine' },
    ],
    tail: 60,
    checks: ['rail-pressure', 'crank-time'],
    clues: [
      eitherWay('delivery-starved', deliveryStarved, { weight: 2, decisive: true, excludes: true }),
      otherwise('delivery-hunts', deliveryHunts, { weight: 1, required: true }),
      forIt('rail-low', railLow),
      forIt('hard-start', hardStart, { weight: 0.5 }),
    ],
    steps: [
      LOOK_FUEL,
      step('off', null, 'Change the fuel filter if its age is unknown; cut the old one open.', 'fuel-pressure'),
      step('on', METER, 'Electric lift pump: does it run at key-on, has it full voltage and ground?', 'fuel-pressure'),
      LOW_GAUGE,
      CLEAR_HOSE,
    ],
  },
  {
    id: 'rail-does-not-build',
    title:
      'The rail pressure does not build although fuel arrives: metering valve, relief valve, pump or injector return',
    roots: [{ spns: [157, 1349, 164], classes: ['low', 'no-response', 'implausible'] }],
    follows: [{ spns: [1569, 190], of: 'engine' }],
    tail: 30,
    checks: ['rail-pressure'],
    clues: [
      eitherWay('rail-low', railLow, { weight: 1.5, decisive: true }),
      otherwise('delivery-starved', deliveryStarved, { weight: 2, excludes: true }),
      forIt('hard-start', hardStart, { weight: 0.5 }),
    ],
    steps: [
      step('off', null, 'Never probe or open the high-pressure side while it holds pressure.', 'fuel-pressure'),
      step('off', METER, 'Plug and coil of the metering valve, by the manual.', 'fuel-pressure'),
      step(
        'running',
        'return flow kit',
        'Return flow of the injectors and of the relief valve, as the manual describes.',
        'fuel-pressure',
      ),
    ],
  },
  {
    id: 'fuel-water',
    title: 'Water in the fuel',
    roots: [{ spns: [97, 6301], classes: ['high', 'low', 'unspecific'] }],
    follows: [{ spns: [1569], of: 'engine' }],
    checks: [],
    clues: [eitherWay('water-reported', waterReported, { weight: 2.5, decisive: true })],
    steps: [
      step(
        'off',
        'clean glass',
        'Drain the filter bowl into a clean glass and look: water lies under the fuel. Drain until only fuel comes.',
        'fuel-pressure',
      ),
      step(
        'off',
        null,
        'If there was water: look into the tank, and where it came from, before driving on.',
        'fuel-pressure',
      ),
      step(
        'on',
        null,
        'If there was none: unplug the probe. Report gone: the probe; report stays: its wire.',
        'key-off-measuring',
      ),
    ],
  },
  {
    id: 'oil-pressure-missing',
    title: 'No oil pressure reaches the sender: level, filter, hose routing, pick-up; the sender last',
    roots: [{ spns: [100, 19, 1208], classes: ['low'] }],
    follows: [{ spns: [1569, 1109, 1110], of: 'engine' }],
    checks: ['oil-pressure-rise', 'oil-pressure-kept', 'oil-pressure-hot-idle', 'oil-pressure-at-speed'],
    clues: [
      eitherWay('oil-pressure-absent', oilPressureAbsent, { weight: 2, decisive: true }),
      forIt('oil-sender-alive', oilSenderAlive, { weight: 1 }),
      eitherWay('oil-circuit-whole', oilCircuitWhole, { weight: 1 }),
      againstIt('oil-pressure-two-values', oilPressureTwoValues),
    ],
    steps: [
      step('off', null, 'Stop the engine and leave it stopped until this list is done.', 'no-oil-pressure'),
      step('off', null, 'Oil level on the dipstick; oil under the engine?', 'hot-parts'),
      step(
        'off',
        null,
        'Remote filter: hoses not crossed, kinked or blocked; filter filled; gaskets and adapter right.',
      ),
      step(
        'cranking',
        MECHANICAL_GAUGE,
        'Mechanical gauge in the gallery, crank without fuel as the manual says: is there pressure?',
        'no-oil-pressure',
        'crank-limit',
        'before-cranking',
      ),
      step(
        'on',
        METER,
        'Only if the mechanical gauge shows pressure: plug, supply and ground of the sender.',
        'key-off-measuring',
      ),
    ],
  },
  {
    id: 'oil-filter-dry',
    title: 'The oil way was empty at the start: a filter fitted dry, or oil that had drained back',
    roots: [{ spns: [100, 19, 1208], classes: ['low'] }],
    follows: [{ spns: [1569, 1109, 1110], of: 'engine' }],
    tail: 10,
    unreported: true,
    checks: ['oil-pressure-rise'],
    clues: [
      eitherWay('oil-pressure-late', oilPressureLate, { weight: 1.5, decisive: true, excludes: true }),
      forIt('oil-pressure-quick-later', oilPressureQuickLater, { weight: 1, absent: 'against' }),
      againstIt('oil-pressure-absent', oilPressureAbsent, { excludes: true }),
    ],
    steps: [
      step('off', null, 'Check the oil level again: the filter has taken its share.', 'hot-parts'),
      step(
        'cranking',
        THIS_PROGRAM,
        'Record the next cold start: pressure must be there within five seconds of firing.',
        'no-oil-pressure',
        'before-cranking',
      ),
      step(
        'off',
        null,
        'Next time fill filter and hoses before the start, or crank without fuel until there is pressure.',
        'crank-limit',
        'before-cranking',
      ),
    ],
  },
  {
    id: 'oil-pressure-switch',
    title: 'A pressure switch sits where the oil pressure sender belongs',
    roots: [],
    follows: [],
    unreported: true,
    checks: [],
    clues: [eitherWay('oil-pressure-two-values', oilPressureTwoValues, { weight: 3, decisive: true, excludes: true })],
    steps: [
      step(
        'off',
        null,
        'Look at the part in the gallery: one wire or two pins is a switch, three a sender. What does the calibration expect?',
        'hot-parts',
      ),
      step(
        'cranking',
        MECHANICAL_GAUGE,
        'Until a sender is fitted, prove the level once with a mechanical gauge, cold and hot.',
        'before-cranking',
        'no-oil-pressure',
      ),
    ],
  },
]
