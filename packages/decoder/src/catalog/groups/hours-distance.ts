/** Hours, distances and service. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { HOURS_0_05, KM, LITRES, M_5, slot } from '../slots.js'
import { NUMBER_ONLY } from '../states.js'

export const HOURS_DISTANCE: readonly GroupDefinition[] = [
  {
    pgn: 65253,
    acronym: 'HOURS',
    name: 'Engine hours, revolutions',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['list', 'recording'],
    signals: [
      num(247, 'Engine total hours of operation', '1', HOURS_0_05, ['list', 'recording', 'memory'], 0),
      num(249, 'Engine total revolutions', '5', slot(32, 1000, 0, 'rev'), ['list', 'recording', 'memory'], 0),
    ],
  },
  {
    pgn: 65255,
    acronym: 'VH',
    name: 'Vehicle hours',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['list', 'recording'],
    signals: [
      num(246, 'Total vehicle hours', '1', HOURS_0_05, ['list', 'memory'], 0),
      num(248, 'Total power takeoff hours', '5', HOURS_0_05, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65248,
    acronym: 'VD',
    name: 'Vehicle distance',
    length: 8,
    priority: 6,
    period: 100,
    sources: ['list', 'recording'],
    signals: [
      num(244, 'Trip distance', '1', KM, ['list', 'recording', 'memory'], 0),
      num(245, 'Total vehicle distance', '5', KM, ['list', 'recording', 'memory'], 0),
    ],
  },
  {
    pgn: 65217,
    acronym: 'VDHR',
    name: 'High resolution vehicle distance',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['truck-fms', 'course', 'recording'],
    signals: [
      num(917, 'High resolution total vehicle distance', '1', M_5, ['truck-fms', 'course', 'recording'], 2),
      num(918, 'High resolution trip distance', '5', M_5, ['truck-fms', 'course', 'recording'], 2),
    ],
  },
  {
    pgn: 65244,
    acronym: 'IO',
    name: 'Idle operation',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['list', 'recording'],
    signals: [
      num(236, 'Engine total idle fuel used', '1', LITRES, ['list', 'recording', 'memory'], 0),
      num(235, 'Engine total idle hours', '5', HOURS_0_05, ['list', 'recording', 'memory'], 0),
    ],
  },
  {
    pgn: 65201,
    acronym: 'EH',
    name: 'ECU history',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['positions'],
    signals: [
      num(1032, 'Total ECU distance', '1', KM, ['memory'], 0),
      num(1033, 'Total ECU run time', '5', HOURS_0_05, ['memory'], 0),
    ],
  },
  {
    pgn: 65216,
    acronym: 'SERV',
    name: 'Service information',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['course'],
    signals: [
      state(911, 'Service component identification 1', '1', 8, NUMBER_ONLY, ['course'], 1),
      num(914, 'Service distance', '2', slot(16, 5, -160635, 'km'), ['course'], 1, {
        note: 'the course table mangles the offset in converting units; its range gives this one',
      }),
      state(912, 'Service component identification 2', '4', 8, NUMBER_ONLY, ['course'], 1),
      num(915, 'Service delay, calendar time', '5', slot(8, 1, -125, 'week'), ['course'], 1),
      state(913, 'Service component identification 3', '6', 8, NUMBER_ONLY, ['course'], 1),
      num(916, 'Service delay, operational time', '7', slot(16, 1, -32127, 'h'), ['course'], 1, {
        note: 'the course table mangles the offset in converting units; its range gives this one',
      }),
    ],
  },
]
