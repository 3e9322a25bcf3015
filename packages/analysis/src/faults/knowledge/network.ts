/** Data links and the nodes on them, protection functions, and coolant level. */
import { type Component, METER, step, THIS_PROGRAM } from './component.js'

const SIXTY_OHMS = step(
  'off',
  METER,
  'Batteries off too: across the bus pair at any plug: 60 Ω. 120 Ω: one terminator or its contact lost. 40 Ω: one too many. Then move plugs and harness and watch the figure.',
  'bus-measuring',
)
const UNPLUG_NODES = step(
  'on',
  THIS_PROGRAM,
  'Unplug one node at a time, key off between, and record: what disappears was that node; what gets well was its fault.',
  'key-off-measuring',
)

export const NETWORK: readonly Component[] = [
  {
    spns: [639, 1231, 1235, 1668, 1669, 625, 608],
    part: 'data link',
    kind: 'network',
    about: 'The bus as one node sees it: messages it needs do not come, or it cannot send.',
    cautions: ['bus-measuring'],
    first: { any: [SIXTY_OHMS, UNPLUG_NODES] },
  },
  {
    spns: [1484],
    part: 'other controllers’ faults',
    kind: 'estimate',
    about: 'A pointer: another node has the fault.',
    first: { any: [step('any', null, 'Look at the faults of the other nodes in this report.')] },
  },
  {
    spns: [1569, 1632, 3357],
    part: 'torque reduction',
    kind: 'estimate',
    about: 'The engine is allowed less torque because of another fault. A consequence, never a root.',
    first: { any: [step('any', null, 'Look for the fault that came before it; this one goes when that one goes.')] },
  },
  {
    spns: [1109, 1110, 1107],
    part: 'engine protection',
    kind: 'estimate',
    about: 'Engine protection warns or has stopped the engine because of another fault.',
    first: {
      any: [step('any', null, 'Look for the fault that came before it: oil pressure, coolant temperature or level.')],
    },
  },
  {
    spns: [111, 6303],
    part: 'coolant level sensor',
    kind: 'switch',
    about: 'A probe or float in the expansion tank.',
    cautions: ['hot-parts'],
    first: {
      any: [
        step('off', null, 'Cold: look at the level itself first.', 'hot-parts'),
        step('off', null, 'Is the probe fitted in this vehicle’s tank? If not, the calibration has to know.'),
      ],
    },
  },
  {
    spns: [98, 1380],
    part: 'oil level sensor',
    kind: 'position-sensor',
    about: 'The oil level in the sump; true only some minutes after stopping, on level ground.',
    first: { any: [step('off', null, 'Dipstick, on level ground, ten minutes after stopping.', 'hot-parts')] },
  },
  {
    spns: [593, 594],
    part: 'idle shutdown',
    kind: 'estimate',
    about: 'The controller stopped the engine after long idling, as it was programmed to.',
    first: { any: [step('any', null, 'A setting of the controller, not a failure.')] },
  },
]
