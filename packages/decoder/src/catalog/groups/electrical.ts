/** Battery, charging and mains. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { AMPERES_AC, HERTZ, RPM_0_5, slot, TEMP_8, VOLTS, VOLTS_AC } from '../slots.js'
import { CHARGING } from '../states.js'

export const ELECTRICAL: readonly GroupDefinition[] = [
  {
    pgn: 65271,
    acronym: 'VEP1',
    name: 'Vehicle electrical power 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['charger', 'list', 'recording'],
    signals: [
      num(114, 'Net battery current', '1', slot(8, 1, -125, 'A'), ['charger', 'list', 'memory'], 0),
      num(115, 'Alternator current', '2', slot(8, 1, 0, 'A'), ['list', 'memory'], 0),
      num(167, 'Charging system potential', '3', VOLTS, ['list', 'memory'], 0),
      num(168, 'Battery potential/power input 1', '5', VOLTS, ['charger', 'list', 'recording', 'memory'], 0),
      num(158, 'Keyswitch battery potential', '7', VOLTS, ['list', 'recording', 'memory'], 0),
    ],
  },
  {
    pgn: 65237,
    acronym: 'AS',
    name: 'Alternator information',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['list'],
    signals: [
      num(589, 'Alternator speed', '1', RPM_0_5, ['list', 'memory'], 0),
      state(3353, 'Alternator 1 status', '3', 2, CHARGING, ['list', 'memory'], 0),
      state(3354, 'Alternator 2 status', '3.3', 2, CHARGING, ['list', 'memory'], 0),
      state(3355, 'Alternator 3 status', '3.5', 2, CHARGING, ['memory'], 0),
      state(3356, 'Alternator 4 status', '3.7', 2, CHARGING, ['memory'], 0),
    ],
  },
  {
    pgn: 65104,
    acronym: 'BT1',
    name: 'Battery temperature',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['charger'],
    signals: [
      num(1800, 'Battery 1 temperature', '1', TEMP_8, ['charger', 'memory'], 0),
      num(1801, 'Battery 2 temperature', '2', TEMP_8, ['memory'], 0),
    ],
  },
  {
    pgn: 65014,
    acronym: 'UPAAC',
    name: 'Utility phase A basic AC quantities',
    length: 8,
    priority: 3,
    period: 100,
    sources: ['charger'],
    signals: [
      num(2475, 'Utility phase A line-line AC RMS voltage', '1', VOLTS_AC, ['memory'], 0),
      num(2479, 'Utility phase A line-neutral AC RMS voltage', '3', VOLTS_AC, ['charger', 'memory'], 0),
      num(2471, 'Utility phase A AC frequency', '5', HERTZ, ['charger', 'memory'], 0),
      num(2483, 'Utility phase A AC RMS current', '7', AMPERES_AC, ['memory'], 0),
    ],
  },
]
