/** Ambient conditions, dash display, weights and tires. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { KG_0_5, KG_2, KG_10, KPA_0_5, KPA_2, KPA_4, PERCENT, slot, TEMP_8, TEMP_16 } from '../slots.js'
import { NUMBER_ONLY, TIRE_THRESHOLD } from '../states.js'

export const BODY: readonly GroupDefinition[] = [
  {
    pgn: 65269,
    acronym: 'AMB',
    name: 'Ambient conditions',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['engine', 'list', 'recording', 'course'],
    signals: [
      num(108, 'Barometric pressure', '1', KPA_0_5, ['engine', 'list', 'recording'], 1),
      num(170, 'Cab interior temperature', '2', TEMP_16, ['list', 'memory'], 0),
      num(171, 'Ambient air temperature', '4', TEMP_16, ['engine', 'list', 'recording'], 1),
      num(172, 'Engine air intake temperature', '6', TEMP_8, ['engine', 'list', 'recording'], 1),
      num(79, 'Road surface temperature', '7', TEMP_16, ['course'], 1),
    ],
  },
  {
    pgn: 65276,
    acronym: 'DD',
    name: 'Dash display 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['course', 'recording', 'list'],
    signals: [
      num(80, 'Washer fluid level', '1', PERCENT, ['course'], 1),
      num(96, 'Fuel level 1', '2', PERCENT, ['course', 'recording'], 1),
      num(95, 'Engine fuel filter differential pressure', '3', KPA_2, ['course'], 1),
      num(99, 'Engine oil filter differential pressure', '4', KPA_0_5, ['course'], 1),
      num(169, 'Cargo ambient temperature', '5', TEMP_16, ['list', 'memory'], 0),
      num(38, 'Fuel level 2', '7', PERCENT, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65258,
    acronym: 'VW',
    name: 'Vehicle weight',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['course', 'list'],
    signals: [
      state(928, 'Axle location', '1', 8, NUMBER_ONLY, ['course'], 1),
      num(582, 'Axle weight', '2', KG_0_5, ['list', 'memory'], 0),
      num(180, 'Trailer weight', '4', KG_2, ['list', 'memory'], 0),
      num(181, 'Cargo weight', '6', KG_2, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65136,
    acronym: 'CVW',
    name: 'Combination vehicle weight',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['recording'],
    signals: [
      num(1585, 'Powered vehicle weight', '1', KG_10, ['memory'], 0),
      num(1760, 'Gross combination vehicle weight', '3', KG_10, ['memory'], 0),
    ],
  },
  {
    pgn: 65268,
    acronym: 'TIRE',
    name: 'Tire condition',
    length: 8,
    priority: 6,
    period: 10000,
    sources: ['course', 'list'],
    signals: [
      state(929, 'Tire location', '1', 8, NUMBER_ONLY, ['course'], 1),
      num(241, 'Tire pressure', '2', KPA_4, ['list', 'memory'], 0),
      num(242, 'Tire temperature', '3', TEMP_16, ['list', 'memory'], 0),
      num(2586, 'Tire air leakage rate', '6', slot(16, 0.1, 0, 'Pa/s'), ['memory'], 0),
      state(2587, 'Tire pressure threshold detection', '8.6', 3, TIRE_THRESHOLD, ['memory'], 0),
    ],
  },
]
