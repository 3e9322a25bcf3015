/** Stories of the first seconds: heater, battery, grounds, fuel. */

import { VILLAGE_ROAD } from '../driver/roads.js'
import type { Scenario } from '../scenario.js'

export const STARTING: readonly Scenario[] = [
  {
    name: 'heater-link-open',
    title: 'The intake heater draws nothing',
    story:
      'At −5 °C the wait-to-start lamp burns its twelve seconds, but the battery does not sag: no current flows. It takes eleven seconds of cranking until the engine fires, and it runs unevenly for a while.',
    diagnosis: 'Fusible link, solenoid or grid open; a meter across each decides which.',
    cause: 'heater-open',
    start: '2025-03-12T06:10:00Z',
    ambient: -5,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 20 },
      { do: 'idle', for: 120 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'fusible link of the intake heater', kind: 'open circuit', hardware: { heaterLink: 0 } }],
    expected: [{ sa: 0, spn: 729, fmi: 5, root: true }],
  },
  {
    name: 'heater-stuck-on',
    title: 'The intake heater never switches off',
    story:
      'The lamp goes out after five seconds but the battery stays 0.9 V down until the starter turns. Running, the system holds 13.6 V instead of 14.3 V, without the ups and downs of a heater that cycles, for as long as the recording lasts. No controller noticed.',
    diagnosis: 'Heater solenoid welded. Isolate the battery: the grid can set things on fire.',
    cause: 'heater-stuck-on',
    start: '2025-03-12T13:25:00Z',
    ambient: 12,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 1.2 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 310 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'solenoid of the intake heater', kind: 'contact welded', hardware: { heaterWelded: 1 } }],
    expected: [],
  },
  {
    name: 'poor-ground-in-crank',
    title: 'Controllers drop out while cranking',
    story:
      'Everything is normal until the starter turns. Then the voltage falls below 8 V, the engine turns at a bare 105 rpm, its controller falls silent for half a second and claims its address again. The gauge misses the engine.',
    diagnosis: 'Voltage drop in the ground between battery and engine; neither a controller nor the bus is at fault.',
    cause: 'poor-ground',
    start: '2025-03-13T08:05:00Z',
    ambient: 9,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.6 },
      { do: 'crank', atMost: 20 },
      { do: 'idle', for: 90 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      {
        component: 'ground strap between battery and engine',
        kind: '6 mΩ too much',
        hardware: { groundResistance: 0.006 },
      },
    ],
    expected: [
      { sa: 0, spn: 168, fmi: 18, root: true },
      { sa: 40, spn: 639, fmi: 9, root: false },
      { sa: 3, spn: 639, fmi: 9, root: false },
    ],
  },
  {
    name: 'weak-battery',
    title: 'A tired, half-empty battery',
    story:
      'The rested voltage is already low at key-on. The heater and the starter pull it far down, the engine turns slowly, but it starts. Afterwards the alternator charges hard.',
    diagnosis: 'Charge and test the battery before looking at anything else.',
    cause: 'battery-low',
    start: '2025-11-28T06:35:00Z',
    ambient: 3,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 20 },
      { do: 'idle', for: 120 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      {
        component: 'battery',
        kind: 'half charged and aged',
        hardware: { batteryCharge: 0.5, batteryAge: 1.35 },
      },
    ],
    expected: [],
  },
  {
    name: 'air-in-fuel',
    title: 'Air in the fuel after a filter change',
    story:
      'The lift pump makes less pressure than it should, the rail is slow to fill and the engine needs two long attempts. It dies once, then runs with a hunting rail pressure until the air is out.',
    diagnosis: 'Bleed the fuel system, then look for the leak on the suction side.',
    cause: 'fuel-air',
    start: '2025-04-02T09:50:00Z',
    ambient: 11,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 12, tries: 4, rest: 15 },
      { do: 'idle', for: 60 },
      { do: 'rev', rpm: 2000, for: 60 },
      { do: 'idle', for: 40 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      { component: 'fuel supply', kind: 'air in the lines', pattern: { until: 62 }, hardware: { fuelAir: 0.8 } },
      {
        component: 'fuel supply',
        kind: 'air still coming',
        pattern: { from: 62, until: 185 },
        hardware: { fuelAir: 0.52 },
      },
    ],
    expected: [
      { sa: 0, spn: 94, fmi: 18, root: true },
      { sa: 0, spn: 157, fmi: 18, root: false },
      { sa: 0, spn: 1569, fmi: 31, root: false },
    ],
  },
  {
    name: 'water-in-fuel',
    title: 'Water in the fuel filter',
    story: 'Ten seconds after key-on the probe in the filter bowl reports water. The engine still runs as it should.',
    diagnosis: 'Drain the filter and look at what comes out; if it is dry, the probe or its wire.',
    cause: 'fuel-water',
    start: '2025-04-03T07:20:00Z',
    ambient: 14,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 4 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 90 },
      { do: 'drive', road: VILLAGE_ROAD },
      { do: 'park' },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'fuel filter', kind: 'water reaches the probe', hardware: { fuelWater: 1 } }],
    expected: [{ sa: 0, spn: 97, fmi: 15, root: true }],
  },
  {
    name: 'one-weak-cylinder',
    title: 'One cylinder pulls less than the others',
    story:
      'The engine starts a little late and shakes at idle: its speed swings once in every two turns, by two to three times what is usual for this engine. No controller reports anything, and with more speed it can hardly be felt.',
    diagnosis: 'Injector, its wires, or compression of one cylinder; cut them out one by one.',
    cause: 'weak-cylinder',
    start: '2025-04-09T13:15:00Z',
    ambient: 16,
    engine: 60,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 3 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 120 },
      { do: 'rev', rpm: 1800, for: 20 },
      { do: 'idle', for: 40 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [
      { component: 'injector of one cylinder', kind: 'gives hardly any fuel', hardware: { weakCylinder: 0.1 } },
    ],
    expected: [],
  },
  {
    name: 'deep-cold-start',
    title: 'A start far below what anybody set as a limit',
    story:
      'At −29 °C the lamp burns twenty seconds, the starter turns at a little over 100 rpm and the engine takes long to fire; the heater goes on and off for a minute afterwards. All of this is as it must be.',
    diagnosis: 'Pass at this temperature: limits for mild weather do not apply.',
    cause: 'none',
    start: '2026-01-09T05:55:00Z',
    ambient: -29,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.6 },
      { do: 'crank', atMost: 25 },
      { do: 'idle', for: 240 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [],
    expected: [],
  },
]
