/** Temperature sensors of engine, intake and ambient air, fuel, oil, gearbox and controller. */
import { type Component, INFRARED, MEMORY, METER, PRACTICE, step, THIS_PROGRAM } from './component.js'

/** After hours of standing all of these read the same. Source: common practice. */
const COLD_SOAK = [110, 105, 172, 174, 175, 171] as const

const others = (spn: number): number[] => COLD_SOAK.filter((other) => other !== spn)

const COMPARE = step(
  'off',
  THIS_PROGRAM,
  'Leave the engine standing overnight, then record ten seconds of key-on: all temperatures must lie within 5 °C. The one that does not is the bad one.',
)
const UNPLUG_TEST = step(
  'on',
  null,
  'Watch the reading and unplug the sensor. It should go to the coldest figure; if it does, wires and controller are good and the sensor is suspect. If nothing changes, the wires are.',
  'key-off-measuring',
)

export const TEMPERATURES: readonly Component[] = [
  {
    spns: [110, 1637, 4076],
    part: 'coolant temperature sensor',
    kind: 'thermistor',
    about: 'The coolant temperature in the cylinder head: it decides preheating, idle speed, fan and protection.',
    siblings: [{ spns: others(110), when: 'cold' }],
    high: { value: 102, unit: '°C', source: PRACTICE },
    low: { value: 75, unit: '°C', source: PRACTICE },
    first: {
      high: [
        step('off', null, 'Let it cool, then check the coolant level and look for leaks.', 'hot-parts'),
        step(
          'off',
          null,
          'Radiator and intercooler faces clear, fan and belt whole, fan turning freely.',
          'rotating-parts',
        ),
        step(
          'running',
          INFRARED,
          'Compare the reading with an infrared thermometer at the thermostat housing: real heat or a wrong reading?',
          'hot-parts',
        ),
        step(
          'running',
          null,
          'Feel both radiator hoses once it is warm: one cold hose means no flow: thermostat, pump or air in the system.',
          'hot-parts',
        ),
      ],
      low: [
        step(
          'running',
          INFRARED,
          'Compare the reading with an infrared thermometer at the thermostat housing: really cold, or a wrong reading?',
          'hot-parts',
        ),
        step(
          'running',
          null,
          'Feel the lower radiator hose while it warms up: warm too early means the thermostat does not close.',
          'hot-parts',
        ),
      ],
      'volts-high': [UNPLUG_TEST],
      'volts-low': [UNPLUG_TEST],
      implausible: [COMPARE],
    },
  },
  {
    spns: [105, 1636, 1131, 1132, 1133],
    part: 'intake manifold temperature sensor',
    kind: 'thermistor',
    about:
      'The temperature of the air going into the cylinders, behind intercooler and heater; often in one housing with the boost sensor.',
    siblings: [{ spns: others(105), when: 'cold' }],
    high: { value: 90, unit: '°C', source: PRACTICE },
    first: {
      high: [
        step(
          'off',
          null,
          'Intercooler face clear, ducts on, no hot air from the engine bay drawn in. Is the intake heater off?',
          'intake-heater',
        ),
        step(
          'off',
          null,
          'Exhaust gas recirculation: a valve stuck open or a cooler that does not cool heats the intake.',
          'hot-parts',
        ),
      ],
      'volts-high': [UNPLUG_TEST],
      'volts-low': [UNPLUG_TEST],
      implausible: [COMPARE],
    },
  },
  {
    spns: [172],
    part: 'air inlet temperature sensor',
    kind: 'thermistor',
    about: 'The temperature of the air at the filter, often inside the air-mass sensor and in the same plug.',
    siblings: [{ spns: others(172), when: 'cold' }],
    first: {
      any: [
        step('off', null, 'Usually one plug with the air-mass sensor: look at both signals before touching either.'),
      ],
      implausible: [COMPARE],
    },
  },
  {
    spns: [171],
    part: 'ambient temperature sensor',
    kind: 'thermistor',
    about: 'The outside air temperature, from a sensor in front of the radiator or from another node on the bus.',
    siblings: [{ spns: others(171), when: 'cold' }],
    first: {
      any: [
        step(
          'any',
          null,
          'Find out who sends it: a sensor of the engine, or the body controller over the bus. After a repower that sensor may not exist.',
        ),
      ],
    },
  },
  {
    spns: [174],
    part: 'fuel temperature sensor',
    kind: 'thermistor',
    about: 'The fuel temperature at the pump: the controller corrects the quantity with it.',
    siblings: [{ spns: others(174), when: 'cold' }],
    high: { value: 80, unit: '°C', source: PRACTICE },
    first: {
      high: [
        step(
          'off',
          null,
          'Tank nearly empty, return line hot, fuel cooler blocked? Hot fuel is real more often than not.',
        ),
      ],
      implausible: [COMPARE],
    },
    cautions: ['fuel-pressure'],
  },
  {
    spns: [175, 1135],
    part: 'oil temperature sensor',
    kind: 'thermistor',
    about: 'The oil temperature in the gallery or sump; at rest it follows the coolant.',
    siblings: [{ spns: others(175), when: 'cold' }],
    high: { value: 125, unit: '°C', source: PRACTICE },
    first: {
      high: [
        step(
          'off',
          null,
          'Oil level and grade, oil cooler and its coolant flow; then compare with an infrared thermometer at the sump.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [412, 4750],
    part: 'exhaust gas recirculation temperature sensor',
    kind: 'thermistor',
    about:
      'The temperature of the exhaust gas behind its cooler: it tells whether gas flows and whether the cooler cools.',
    first: {
      high: [step('off', null, 'Cooler blocked with soot, coolant flow through it, valve stuck open.', 'hot-parts')],
      any: [step('off', null, 'Soot insulates this sensor: pull it and look before measuring.', 'hot-parts')],
    },
  },
  {
    spns: [1136],
    part: 'controller temperature',
    kind: 'controller',
    about: 'The temperature inside the engine controller, from a sensor on its board.',
    siblings: [{ spns: [110, 105], when: 'cold' }],
    high: { value: 85, unit: '°C', source: PRACTICE },
    first: {
      high: [
        step(
          'off',
          null,
          'Where does the controller sit? Not over the exhaust or the grid heater; its fuel or air cooling connected, air can reach it.',
        ),
      ],
      any: [
        step(
          'off',
          THIS_PROGRAM,
          'Compare it with coolant and intake after a night of standing: an outlier there is inside the controller.',
        ),
      ],
    },
  },
  {
    spns: [177],
    part: 'gearbox oil temperature sensor',
    kind: 'thermistor',
    about: 'The oil temperature of the gearbox, measured and sent by the gearbox controller.',
    high: { value: 120, unit: '°C', source: PRACTICE },
    first: {
      high: [
        step(
          'off',
          null,
          'Gearbox oil level and cooler: is its cooler still in the coolant circuit after the repower?',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [52, 2630],
    part: 'charge air cooler temperature sensor',
    kind: 'thermistor',
    about: 'The temperature behind the intercooler.',
    siblings: [{ spns: [105, 110, 172], when: 'cold' }],
    first: {
      high: [
        step('off', null, 'Intercooler face clear and its fan or coolant flowing; ducts not sucking engine-bay air.'),
      ],
    },
  },
  {
    spns: [2629, 1172],
    part: 'compressor temperature sensor',
    kind: 'thermistor',
    about: 'The air temperature at the compressor; a leak behind it makes the compressor work harder and hotter.',
    first: {
      high: [
        step(
          'off',
          null,
          'Look for a boost leak and a blocked air filter before anything else: both heat the compressor.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [173, 1180, 1184, 2789, 2790],
    part: 'exhaust temperature sensor',
    kind: 'exhaust-probe',
    about: 'The exhaust gas temperature at the turbine.',
    high: { value: 780, unit: '°C', source: MEMORY },
    first: {
      high: [
        step(
          'off',
          null,
          'Too little air or too much fuel: air filter, boost leak, injectors. Let it cool before touching anything.',
          'hot-parts',
        ),
      ],
      any: [
        step('off', METER, 'Unplug cold and measure the probe itself; compare with the manual’s table.', 'hot-parts'),
      ],
    },
  },
]
