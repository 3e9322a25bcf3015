/** Stories of heat. */
import { PASS_ROAD, VALLEY_ROAD } from '../driver/roads.js'
import type { Scenario } from '../scenario.js'

export const COOLING_STORIES: readonly Scenario[] = [
  {
    name: 'thermostat-stuck-open',
    title: 'The thermostat never closes',
    story:
      'On the valley road the coolant climbs slowly, levels off near 55 °C and falls downhill. A quarter of an hour into the drive the controller reports that it does not get warm.',
    diagnosis: 'Thermostat stuck open: feel the lower hose, it is warm too early.',
    cause: 'thermostat-open',
    start: '2025-11-20T08:00:00Z',
    ambient: 2,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.8 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 120 },
      { do: 'drive', road: VALLEY_ROAD, repeat: 4 },
      { do: 'park' },
      { do: 'idle', for: 30 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'thermostat', kind: 'stuck open', hardware: { thermostatStuck: 0.45 } }],
    expected: [{ sa: 0, spn: 110, fmi: 17, root: true }],
  },
  {
    name: 'radiator-blocked',
    title: 'The engine gets too hot on the climb',
    story:
      'The radiator is full of straw. On the climb the coolant passes 106 °C: the protect lamp, less torque as engine protection takes hold; past 112 °C the red lamp. It cools slowly on the way down.',
    diagnosis: 'Cooling path first: radiator, fan, level. The torque reduction is the consequence.',
    cause: 'radiator-blocked',
    start: '2025-07-16T13:10:00Z',
    ambient: 29,
    engine: 70,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 3 },
      { do: 'crank', atMost: 10 },
      { do: 'idle', for: 30 },
      { do: 'drive', road: PASS_ROAD, repeat: 2 },
      { do: 'park' },
      { do: 'idle', for: 60 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'radiator', kind: 'blocked', hardware: { radiator: 0.18 } }],
    expected: [
      { sa: 0, spn: 110, fmi: 16, root: true },
      { sa: 0, spn: 110, fmi: 0, root: true },
      { sa: 0, spn: 1569, fmi: 31, root: false },
    ],
  },
]
