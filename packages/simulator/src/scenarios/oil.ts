/** Stories of oil pressure. */
import { OIL } from '../figures.js'
import type { Scenario } from '../scenario.js'

export const OIL_STORIES: readonly Scenario[] = [
  {
    name: 'dry-remote-filter',
    title: 'A dry remote oil filter',
    story:
      'The remote filter was fitted empty. The engine fires, and for six and a half seconds there is no oil pressure at all; then it is there at once. The restart a few minutes later has it after a second and a half.',
    diagnosis: 'Caution once: fill the filter before the start, and check the level again.',
    cause: 'oil-filter-dry',
    start: '2025-03-17T10:00:00Z',
    ambient: 11,
    script: [
      { do: 'key-on' },
      { do: 'wait-for-lamp', pause: 0.3 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 120 },
      { do: 'key-off', wait: 20 },
      { do: 'key-on' },
      { do: 'wait', for: 5 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 60 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'remote oil filter', kind: 'fitted dry', hardware: { oilToFill: OIL.dryFilter } }],
    expected: [],
  },
  {
    name: 'blocked-oil-hose',
    title: 'A hose to the remote oil filter is blocked',
    story:
      'The engine fires and the oil pressure stays near zero. After five seconds the red lamp comes on with low oil pressure; the driver switches off ten seconds after the engine fired.',
    diagnosis: 'Stop. Mechanical gauge first, then the way of the hoses; the sensor last.',
    cause: 'oil-way-blocked',
    start: '2025-03-18T09:30:00Z',
    ambient: 19,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 6.3 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 10 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'hose of the remote oil filter', kind: 'blocked', hardware: { oilBlocked: 0.975 } }],
    expected: [
      { sa: 0, spn: 100, fmi: 1, root: true },
      { sa: 0, spn: 1569, fmi: 31, root: false },
    ],
  },
  {
    name: 'oil-pressure-switch',
    title: 'A pressure switch where the sender belongs',
    story:
      'Oil pressure knows two values only, nothing and 276 kPa, at every speed and temperature. Somebody fitted a switch. It tells that there is pressure, and not how much.',
    diagnosis: 'Judge presence, not level; fit the sender if the level is to be seen.',
    cause: 'oil-switch',
    start: '2025-05-06T12:10:00Z',
    ambient: 17,
    script: [
      { do: 'key-on' },
      { do: 'wait', for: 4 },
      { do: 'crank', atMost: 15 },
      { do: 'idle', for: 60 },
      { do: 'rev', rpm: 2200, for: 30 },
      { do: 'idle', for: 60 },
      { do: 'key-off', wait: 8 },
    ],
    failures: [{ component: 'oil pressure sender', kind: 'a switch in its place', hardware: { oilSwitch: 1 } }],
    expected: [],
  },
]
