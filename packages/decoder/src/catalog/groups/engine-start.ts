/** Starting and stopping: aids, lamps, protection and idle shutdown. */
import type { GroupDefinition } from '../definition.js'
import { num, state, UNREMEMBERED } from '../rows.js'
import { KPA_4 } from '../slots.js'
import { ACTIVE, CALIBRATED, NO_YES, NUMBER_ONLY, OFF_ON } from '../states.js'

export const ENGINE_START: readonly GroupDefinition[] = [
  {
    pgn: 65252,
    acronym: 'SHUTDN',
    name: 'Shutdown',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['list', 'course', 'recording'],
    signals: [
      state(593, 'Engine idle shutdown has shut down engine', '1', 2, NO_YES, ['list', 'recording', 'memory'], 0),
      state(594, 'Engine idle shutdown driver alert mode', '1.3', 2, ACTIVE, ['list', 'memory'], 0),
      state(592, 'Engine idle shutdown timer override', '1.5', 2, ACTIVE, ['list', 'memory'], 0),
      state(590, 'Engine idle shutdown timer state', '1.7', 2, ACTIVE, ['list', 'memory'], 0),
      state(591, 'Engine idle shutdown timer function', '2.7', 2, CALIBRATED, ['list', 'memory'], 0),
      state(985, 'A/C high pressure fan switch', '3', 2, OFF_ON, ['course'], 1),
      state(875, 'Refrigerant low pressure switch', '3.3', 2, OFF_ON, ['course'], 1),
      state(605, 'Refrigerant high pressure switch', '3.5', 2, OFF_ON, ['list', 'memory'], 0),
      state(1081, 'Engine wait to start lamp', '4', 2, OFF_ON, ['list', 'memory'], 0),
      state(1110, 'Engine protection system has shut down engine', '5', 2, NO_YES, ['list', 'recording', 'memory'], 0),
      state(1109, 'Engine protection system approaching shutdown', '5.3', 2, NO_YES, ['list', 'memory'], 0),
      state(1108, 'Engine protection system timer override', '5.5', 2, ACTIVE, ['list', 'memory'], 0),
      state(1107, 'Engine protection system timer state', '5.7', 2, ACTIVE, ['list', 'memory'], 0),
      state(1111, 'Engine protection system configuration', '6.7', 2, CALIBRATED, ['list', 'memory'], 0),
      state(2815, 'Engine alarm acknowledge', '7', 2, NO_YES, ['memory'], 0),
      state(2814, 'Engine alarm output command status', '7.3', 2, OFF_ON, ['memory'], 0),
      state(2813, 'Engine air shutoff command status', '7.5', 2, ACTIVE, ['memory'], 0),
      state(2812, 'Engine overspeed test', '7.7', 2, ACTIVE, ['memory'], 0),
      state(3667, 'Engine air shutoff status', '8', 2, ACTIVE, ['memory'], 0),
    ],
  },
  {
    pgn: 64966,
    acronym: 'CSA',
    name: 'Cold start aids',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['memory'],
    note: 'the configuration of the second device is left out: SPN 2900 is remembered as a transmission signal (ETC7)',
    signals: [
      state(626, 'Engine start enable device 1', '1', 2, OFF_ON, ['memory'], 0),
      state(1804, 'Engine start enable device 2', '1.3', 2, OFF_ON, ['memory'], 0),
      state(2899, 'Engine start enable device 1 configuration', '2', 4, NUMBER_ONLY, ['memory'], 0, UNREMEMBERED),
    ],
  },
  {
    pgn: 65246,
    acronym: 'AIR2',
    name: 'Air start pressure',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['course'],
    signals: [num(82, 'Engine air start pressure', '1', KPA_4, ['course'], 1)],
  },
  {
    pgn: 65279,
    acronym: 'OI',
    name: 'Operator indicators',
    length: 8,
    priority: 6,
    period: 10000,
    sources: ['course', 'recording'],
    signals: [state(97, 'Water in fuel indicator 1', '1', 2, NO_YES, ['course'], 1)],
  },
]
