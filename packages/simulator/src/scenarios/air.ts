/** Stories of air and boost. */

import { PASS_ROAD, VALLEY_ROAD, VILLAGE_ROAD } from '../driver/roads.js'
import type { Scenario } from '../scenario.js'

export const AIR_STORIES: readonly Scenario[] = [
  {
    name: 'missing-air-mass-signal',
    title: 'First start without the air-mass signal',
    story:
      'The air-mass sensor was never plugged in. From key-on its value is an error code, after a second and a half the controller reports the circuit, shuts the exhaust gas valve and allows less torque. The engine starts and idles as it should.',
    diagnosis: 'Plug, wire or supply of the air-mass sensor; look before measuring.',
    cause: 'air-mass-unplugged',
    start: '2025-03-14T08:15:00Z',
    ambient: 8,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 120 },
      { do: 'rev', rpm: 1600, for: 20 },
      { do: 'idle', for: 30 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'air-mass sensor', kind: 'not plugged in', sensors: { 'air-mass': { circuit: 'open' } } }],
    expected: [{ sa: 0, spn: 132, fmi: 4, root: true }],
  },
  {
    name: 'wrong-air-mass-tube',
    title: 'The air-mass sensor sits in a wider tube',
    story:
      'The sensor was put into a tube of 76 mm instead of 70. At rest it reads zero, and at every flow, idle or climb, it reads 0.85 of what the engine draws. After six minutes the controller calls it implausible.',
    diagnosis: 'Wrong bore, not a dirty sensor: dirt would change the ratio with the flow.',
    cause: 'air-mass-tube',
    start: '2025-03-20T09:00:00Z',
    ambient: 10,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 300 },
      { do: 'drive', road: PASS_ROAD },
      { do: 'park' },
      { do: 'idle', for: 20 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      { component: 'tube of the air-mass sensor', kind: '76 mm instead of 70', hardware: { airTubeBore: 76 } },
    ],
    expected: [{ sa: 0, spn: 132, fmi: 2, root: true }],
  },
  {
    name: 'intake-temperature-unplugged',
    title: 'The intake temperature sensor is unplugged',
    story:
      'From key-on the intake temperature reads −40 °C while coolant and air filter say 18. Two seconds later its circuit is reported. Boost and everything else are normal.',
    diagnosis: 'Connector or open wire of that one sensor.',
    cause: 'intake-temperature-open',
    start: '2025-05-02T10:40:00Z',
    ambient: 18,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 5 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 60 },
      { do: 'drive', road: VILLAGE_ROAD },
      { do: 'park' },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      {
        component: 'intake temperature sensor',
        kind: 'unplugged',
        sensors: { 'intake-temperature': { circuit: 'open' } },
      },
    ],
    expected: [{ sa: 0, spn: 105, fmi: 3, root: true }],
  },
  {
    name: 'swapped-sensor-connectors',
    title: 'Two plugs of the same shape, swapped',
    story:
      'The plugs of the coolant and the intake temperature sensor fit each other and were swapped. After a night both read the same, so nothing shows. Warming up, the coolant seems to stay cold while the intake climbs like a coolant should.',
    diagnosis: 'Swap the plugs back: each reading behaves like the other sensor.',
    cause: 'connectors-swapped',
    start: '2025-05-08T07:30:00Z',
    ambient: 13,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 120 },
      { do: 'drive', road: VALLEY_ROAD, repeat: 3 },
      { do: 'park' },
      { do: 'idle', for: 30 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      {
        component: 'plugs of coolant and intake temperature sensor',
        kind: 'swapped',
        sensors: {
          'coolant-temperature': { pluggedInto: 'intake-temperature' },
          'intake-temperature': { pluggedInto: 'coolant-temperature' },
        },
      },
    ],
    expected: [
      { sa: 0, spn: 110, fmi: 17, root: true },
      { sa: 0, spn: 132, fmi: 2, root: false },
    ],
  },
  {
    name: 'boost-hose-off',
    title: 'A boost hose slips off on the climb',
    story:
      'At idle the air-mass ratio is a harmless 1.02. Five minutes into the drive, at nine tenths of full load and 2,000 rpm, boost is 35 instead of 90 kPa while the sensor sees 1.3 times the air the engine can have drawn.',
    diagnosis: 'Leak after the compressor: hose, clamp, intercooler.',
    cause: 'boost-leak',
    start: '2025-06-04T14:00:00Z',
    ambient: 21,
    engine: 78,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 3 },
      { do: 'crank', atMost: 10 },
      { do: 'idle', for: 235 },
      { do: 'drive', road: PASS_ROAD },
      { do: 'park' },
      { do: 'idle', for: 20 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'hose after the compressor', kind: 'slipped off', hardware: { boostLeak: 1 } }],
    expected: [{ sa: 0, spn: 102, fmi: 18, root: true }],
  },
  {
    name: 'boost-sensor-drift',
    title: 'The intake pressure sensor has drifted',
    story:
      'With the engine at rest the intake shows 9 kPa more than the barometer: there is no boost without a turning engine. The controller notices after a few seconds of key-on; running, every boost reading is 9 kPa too high.',
    diagnosis: 'Vent the sensor and read again: drifted sensor, or dirt in its port.',
    cause: 'intake-pressure-drift',
    start: '2025-06-17T09:05:00Z',
    ambient: 16,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 8 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 90 },
      { do: 'rev', rpm: 2000, for: 20 },
      { do: 'idle', for: 20 },
      { do: 'tool', clear: false },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      {
        component: 'intake pressure sensor',
        kind: 'reads 9 kPa too high',
        sensors: { 'intake-pressure': { offset: 9 } },
      },
    ],
    expected: [{ sa: 0, spn: 102, fmi: 20, root: true }],
  },
  {
    name: 'egr-valve-stuck',
    title: 'The exhaust gas valve sticks half open',
    story:
      'The valve stays at 35 % whatever is asked of it. The measured air is lower than speed and density promise, by just the exhaust gas that goes round; after a few seconds of running the controller reports that the valve does not follow.',
    diagnosis:
      'Unplug it, look for soot, free movement only as the manual allows. The air-mass sensor is not at fault.',
    cause: 'egr-stuck',
    start: '2025-06-11T08:45:00Z',
    ambient: 15,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 4 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 150 },
      { do: 'drive', road: VALLEY_ROAD },
      { do: 'park' },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'exhaust gas recirculation valve', kind: 'stuck at 35 %', hardware: { egrStuck: 35 } }],
    expected: [{ sa: 0, spn: 27, fmi: 7, root: true }],
  },
]
