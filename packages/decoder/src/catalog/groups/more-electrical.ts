/** Sensor supplies, second battery, alternator temperatures, battery main switch, charger. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { TEMP_8, VOLTS } from '../slots.js'
import { REQUESTED } from '../states.js'

export const MORE_ELECTRICAL: readonly GroupDefinition[] = [
  {
    pgn: 64925,
    acronym: 'SEP1',
    name: 'Sensor electrical power 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [
      num(3509, 'Sensor supply voltage 1', '1', VOLTS, ['memory'], 0),
      num(3510, 'Sensor supply voltage 2', '3', VOLTS, ['memory'], 0),
      num(3511, 'Sensor supply voltage 3', '5', VOLTS, ['memory'], 0),
      num(3512, 'Sensor supply voltage 4', '7', VOLTS, ['memory'], 0),
    ],
  },
  {
    pgn: 64924,
    acronym: 'SEP2',
    name: 'Sensor electrical power 2',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [
      num(3513, 'Sensor supply voltage 5', '1', VOLTS, ['memory'], 0),
      num(3514, 'Sensor supply voltage 6', '3', VOLTS, ['memory'], 0),
    ],
  },
  {
    pgn: 65165,
    acronym: 'VEP2',
    name: 'Vehicle electrical power 2',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [num(444, 'Battery 2 potential', '1', VOLTS, ['memory'], 0)],
  },
  {
    pgn: 64934,
    acronym: 'VEP3',
    name: 'Vehicle electrical power 3',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [],
  },
  {
    pgn: 65191,
    acronym: 'AT',
    name: 'Alternator temperature',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [
      num(1122, 'Engine alternator bearing 1 temperature', '1', TEMP_8, ['memory'], 0),
      num(1123, 'Engine alternator bearing 2 temperature', '2', TEMP_8, ['memory'], 0),
      num(1124, 'Engine alternator winding 1 temperature', '3', TEMP_8, ['memory'], 0),
      num(1125, 'Engine alternator winding 2 temperature', '4', TEMP_8, ['memory'], 0),
      num(1126, 'Engine alternator winding 3 temperature', '5', TEMP_8, ['memory'], 0),
    ],
  },
  {
    pgn: 65126,
    acronym: 'BM',
    name: 'Battery main switch information',
    length: 8,
    priority: 6,
    sources: ['memory'],
    signals: [
      state(1681, 'Battery main switch hold state', '1', 2, { 0: 'not held', 1: 'held' }, ['memory'], 0),
      state(1682, 'Battery main switch hold request', '1.3', 2, REQUESTED, ['memory'], 0),
    ],
  },
  {
    pgn: 64789,
    acronym: 'BCH1',
    name: 'Battery charger 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['charger'],
    signals: [],
  },
]
