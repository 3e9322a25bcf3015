/** Temperatures of the engine, exhaust ports, coolant circuits and fan. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { KPA_4, KPA_SIGNED, PERCENT, RPM, TEMP_8, TEMP_16 } from '../slots.js'
import { ACTIVE, FAN_DRIVE_STATE } from '../states.js'

export const ENGINE_TEMPERATURE: readonly GroupDefinition[] = [
  {
    pgn: 65262,
    acronym: 'ET1',
    name: 'Engine temperature 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['positions', 'fan', 'list', 'recording', 'genset-table'],
    signals: [
      num(110, 'Engine coolant temperature', '1', TEMP_8, ['positions', 'fan', 'list', 'recording', 'memory'], 0),
      num(174, 'Engine fuel temperature 1', '2', TEMP_8, ['list', 'recording', 'memory'], 0),
      num(175, 'Engine oil temperature 1', '3', TEMP_16, ['list', 'recording', 'memory'], 0),
      num(176, 'Engine turbocharger oil temperature', '5', TEMP_16, ['list', 'memory'], 0),
      num(52, 'Engine intercooler temperature', '7', TEMP_8, ['genset-table', 'list', 'recording', 'memory'], 0),
      num(1134, 'Engine intercooler thermostat opening', '8', PERCENT, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65188,
    acronym: 'ET2',
    name: 'Engine temperature 2',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['list', 'recording'],
    signals: [
      num(1135, 'Engine oil temperature 2', '1', TEMP_16, ['list', 'memory'], 0),
      num(1136, 'Engine ECU temperature', '3', TEMP_16, ['list', 'recording', 'memory'], 0),
      num(411, 'Engine EGR 1 differential pressure', '5', KPA_SIGNED, ['list', 'recording', 'memory'], 0),
      num(412, 'Engine EGR 1 temperature', '7', TEMP_16, ['list', 'recording', 'memory'], 0),
    ],
  },
  {
    pgn: 65187,
    acronym: 'EPT1',
    name: 'Exhaust port temperature 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['list'],
    signals: [
      num(1137, 'Engine exhaust port 1 temperature', '1', TEMP_16, ['list', 'memory'], 0),
      num(1138, 'Engine exhaust port 2 temperature', '3', TEMP_16, ['list', 'memory'], 0),
      num(1139, 'Engine exhaust port 3 temperature', '5', TEMP_16, ['list', 'memory'], 0),
      num(1140, 'Engine exhaust port 4 temperature', '7', TEMP_16, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65186,
    acronym: 'EPT2',
    name: 'Exhaust port temperature 2',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['list'],
    signals: [
      num(1141, 'Engine exhaust port 5 temperature', '1', TEMP_16, ['list', 'memory'], 0),
      num(1142, 'Engine exhaust port 6 temperature', '3', TEMP_16, ['list', 'memory'], 0),
      num(1143, 'Engine exhaust port 7 temperature', '5', TEMP_16, ['memory'], 0),
      num(1144, 'Engine exhaust port 8 temperature', '7', TEMP_16, ['memory'], 0),
    ],
  },
  {
    pgn: 65172,
    acronym: 'EAC',
    name: 'Engine auxiliary coolant',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['list', 'course'],
    signals: [
      num(1203, 'Engine auxiliary coolant pressure', '1', KPA_4, ['list', 'memory'], 0),
      num(1212, 'Engine auxiliary coolant temperature', '2', TEMP_8, ['list', 'memory'], 0),
      num(20, 'Engine extended range coolant pressure', '4', KPA_4, ['course'], 1),
    ],
  },
  {
    pgn: 65213,
    acronym: 'FD1',
    name: 'Fan drive 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['course', 'fan', 'list', 'recording'],
    signals: [
      num(975, 'Estimated percent fan speed', '1', PERCENT, ['course', 'fan'], 1),
      state(977, 'Fan drive state', '2', 4, FAN_DRIVE_STATE, ['course', 'fan'], 1, {
        range: 14,
        note: '1110 is "other", a state of its own; only 1111 is not available',
      }),
      num(1639, 'Fan speed', '3', RPM, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 57344,
    acronym: 'CM1',
    name: 'Cab message 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['course', 'fan', 'recording'],
    signals: [
      num(986, 'Requested percent fan speed', '1', PERCENT, ['course', 'fan'], 1),
      num(1691, 'Cab interior temperature command', '2', TEMP_16, ['memory'], 0),
      state(1856, 'Seat belt switch', '4.7', 2, { 0: 'not buckled', 1: 'buckled' }, ['recording', 'memory'], 0),
      state(3695, 'Aftertreatment regeneration inhibit switch', '6', 2, ACTIVE, ['memory'], 0),
      state(3696, 'Aftertreatment regeneration force switch', '6.3', 2, ACTIVE, ['recording', 'memory'], 0),
    ],
  },
]
