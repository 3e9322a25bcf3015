/** Pressure sensors of oil, boost, ambient air, coolant, crankcase and exhaust. */
import { type Component, MECHANICAL_GAUGE, METER, PRACTICE, step, THIS_PROGRAM } from './component.js'

const FIVE_VOLT_CHECK = step(
  'on',
  METER,
  'Sensor unplugged: measure between the plug’s supply and ground pins: 4.75 to 5.25 V. Nothing there: look at the other sensors on that supply.',
  'key-off-measuring',
)
const VENTED = step(
  'on',
  null,
  'What does it read with its port open to the air? A gauge pressure must be zero, an absolute one the barometer’s.',
)

export const PRESSURES: readonly Component[] = [
  {
    spns: [100, 19, 1208],
    part: 'oil pressure sensor',
    kind: 'pressure-sensor',
    about: 'The oil pressure in the main gallery: the one figure that decides whether the engine may run.',
    low: { value: 70, unit: 'kPa', source: 'Workshop article on diesel oil pressure: hot idle 69 to 138 kPa' },
    high: { value: 690, unit: 'kPa', source: PRACTICE },
    cautions: ['no-oil-pressure'],
    first: {
      low: [
        step('off', null, 'Stop the engine and leave it stopped until the next steps are done.', 'no-oil-pressure'),
        step('off', null, 'Oil level and grade on the dipstick; look under the engine.', 'hot-parts'),
        step('off', null, 'Remote filter: hoses not crossed, not kinked, filter filled, adapter and gaskets right.'),
        step(
          'cranking',
          MECHANICAL_GAUGE,
          'Screw a mechanical gauge into the gallery and crank without fuel, or as the manual says: is there pressure?',
          'no-oil-pressure',
          'crank-limit',
          'before-cranking',
        ),
      ],
      high: [
        step(
          'cranking',
          MECHANICAL_GAUGE,
          'Compare with a mechanical gauge; cold thick oil and a stuck relief valve read high for real.',
          'before-cranking',
        ),
      ],
      'volts-high': [FIVE_VOLT_CHECK],
      'volts-low': [FIVE_VOLT_CHECK],
      implausible: [VENTED],
    },
  },
  {
    spns: [102, 1127, 3563],
    part: 'boost pressure sensor',
    kind: 'pressure-sensor',
    about:
      'The pressure in the intake manifold: with it the controller works out the air it has, and how much fuel it may give.',
    siblings: [{ spns: [108], when: 'at-rest' }],
    first: {
      low: [
        step(
          'off',
          null,
          'Look and feel along the hoses from the compressor to the manifold: clamps, splits, intercooler tanks, oil traces.',
          'hot-parts',
        ),
        step(
          'off',
          'hand pump or regulated air',
          'Press the intake side with air at a little pressure, as the manual allows, and listen.',
        ),
        step('off', null, 'Wastegate or vane linkage: moves freely, hose to it on and whole.', 'hot-parts'),
        step('off', null, 'Air filter and its pipe: not blocked, no hose sucked flat.'),
      ],
      high: [step('off', null, 'Wastegate or vane linkage stuck shut? Its hose off or split?', 'hot-parts'), VENTED],
      implausible: [
        step(
          'on',
          THIS_PROGRAM,
          'Vent the sensor’s port and record ten seconds. Boost must read zero, absolute pressure the barometer’s; dirt or oil in the port, or a drifted sensor, shows here.',
        ),
      ],
      'volts-high': [FIVE_VOLT_CHECK],
      'volts-low': [FIVE_VOLT_CHECK],
    },
  },
  {
    spns: [108, 48],
    part: 'barometric pressure sensor',
    kind: 'pressure-sensor',
    about: 'The air pressure outside, often from a sensor inside the controller; altitude limits and boost rest on it.',
    siblings: [{ spns: [3563], when: 'at-rest' }],
    first: {
      any: [
        step(
          'on',
          'weather station',
          'Compare with the station pressure of the place, not the one reduced to sea level: 101 kPa at the sea, about 83 kPa at 1,600 m.',
        ),
      ],
    },
  },
  {
    spns: [94, 5578],
    part: 'fuel delivery pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure the lift pump gives the high-pressure pump.',
    cautions: ['fuel-pressure'],
    first: {
      low: [
        step(
          'off',
          null,
          'Fuel in the tank, shut-off open, filter fitted right and tight, lines not kinked or swapped.',
        ),
        step('on', null, 'Does the lift pump run when the key is turned on? Listen at it.'),
        step(
          'running',
          'clear hose',
          'A clear piece of hose in the suction line, put in with the engine stopped, shows bubbles: air comes in before the pump.',
          'fuel-pressure',
        ),
        step(
          'running',
          MECHANICAL_GAUGE,
          'A low-pressure gauge at the test port, fitted with the engine stopped: compare with the reading and with the maker’s figure.',
          'fuel-pressure',
        ),
        step(
          'off',
          null,
          'Change or clean the fuel filter if its age is unknown; bleed as the manual says.',
          'fuel-pressure',
        ),
      ],
      high: [
        step(
          'running',
          MECHANICAL_GAUGE,
          'A blocked or kinked return line, or a wrong regulator: compare with a gauge.',
          'fuel-pressure',
        ),
      ],
      'volts-high': [FIVE_VOLT_CHECK],
      'volts-low': [FIVE_VOLT_CHECK],
    },
  },
  {
    spns: [1381],
    part: 'fuel suction pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure in front of the fuel pump, on the suction side of the tank line.',
    cautions: ['fuel-pressure'],
    first: {
      low: [
        step('off', null, 'Tank vent, pick-up, pre-filter and line: blocked, kinked or sucked flat?', 'fuel-pressure'),
      ],
    },
  },
  {
    spns: [95, 1382],
    part: 'fuel filter pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure lost across the fuel filter.',
    cautions: ['fuel-pressure'],
    first: {
      high: [
        step('off', null, 'Change the fuel filter; look into the old one for water, wax and growth.', 'fuel-pressure'),
      ],
    },
  },
  {
    spns: [99],
    part: 'oil filter pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure lost across the oil filter; cold oil makes it high for a while.',
    first: { high: [step('off', null, 'Judge it with warm oil only; then change filter and oil.', 'hot-parts')] },
  },
  {
    spns: [101, 22, 153],
    part: 'crankcase pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure in the crankcase: blow-by past the rings, or a blocked breather.',
    first: {
      high: [
        step(
          'off',
          null,
          'Breather hose, separator and its drain: not blocked, not frozen, routed as it was.',
          'runaway',
        ),
        step(
          'running',
          MECHANICAL_GAUGE,
          'Measure crankcase pressure with a gauge on the dipstick tube; compare with the manual.',
          'runaway',
        ),
      ],
    },
  },
  {
    spns: [109],
    part: 'coolant pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure of the coolant behind its pump.',
    first: { low: [step('off', null, 'Coolant level, pump belt, pressure cap.', 'hot-parts', 'rotating-parts')] },
  },
  {
    spns: [107, 2809],
    part: 'air filter restriction sensor',
    kind: 'pressure-sensor',
    about: 'The suction behind the air filter: high means a blocked filter or intake.',
    high: { value: 6.2, unit: 'kPa', source: 'from memory: 25 inches of water' },
    first: {
      high: [
        step(
          'off',
          null,
          'Change or clean the air filter; look for a rag, a cover or a collapsed pipe in front of it.',
        ),
      ],
    },
  },
  {
    spns: [106],
    part: 'air inlet pressure sensor',
    kind: 'pressure-sensor',
    about: 'The absolute pressure in front of the compressor.',
    siblings: [{ spns: [108], when: 'at-rest' }],
    first: { low: [step('off', null, 'Air filter and pipe in front of the compressor: blocked or sucked flat?')] },
  },
  {
    spns: [411],
    part: 'exhaust gas recirculation pressure sensor',
    kind: 'pressure-sensor',
    about:
      'The pressure difference that drives exhaust gas through its cooler: from it the controller works out the flow.',
    first: {
      any: [
        step(
          'off',
          null,
          'Its two hoses block with soot and water: off, blow through, back on the same way round.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [1209, 131],
    part: 'exhaust pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure before the turbine or behind it.',
    first: {
      high: [step('off', null, 'A blocked particulate filter, a closed brake flap, a crushed pipe.', 'hot-parts')],
      any: [step('off', null, 'Its pipe blocks with soot and water: take it off and clear it.', 'hot-parts')],
    },
  },
]
