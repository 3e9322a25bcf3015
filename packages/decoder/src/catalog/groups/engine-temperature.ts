/** Temperatures of engine and exhaust, coolant circuits, fan. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { KPA_0_5_16, KPA_4, KPA_16, KPA_SIGNED, PERCENT, RPM, TEMP_8, TEMP_16 } from '../slots.js'
import { ACTIVE, FAN_DRIVE_STATE, OFF_ON } from '../states.js'

export const ENGINE_TEMPERATURE: readonly GroupDefinition[] = [
  {
    pgn: 65262,
    acronym: 'ET1',
    name: 'Engine temperature 1',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['positions', 'fan', 'list', 'genset-table', 'recording'],
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
    pgn: 65129,
    acronym: 'ET3',
    name: 'Engine temperature 3',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['recording', 'memory'],
    signals: [
      num(
        1636,
        'Engine intake manifold 1 air temperature (high resolution)',
        '1',
        TEMP_16,
        ['recording', 'memory'],
        0,
        { note: 'agrees with SPN 105 within 1 °C in a recording of a heavy truck' },
      ),
      num(1637, 'Engine coolant temperature (high resolution)', '3', TEMP_16, ['recording', 'memory'], 0),
      num(2986, 'Engine intake valve actuation system oil temperature', '5', TEMP_16, ['memory'], 0),
      num(2630, 'Engine charge air cooler 1 outlet temperature', '7', TEMP_16, ['recording', 'memory'], 0),
    ],
  },
  {
    pgn: 64870,
    acronym: 'ET4',
    name: 'Engine temperature 4',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['recording', 'memory'],
    signals: [
      num(4076, 'Engine coolant temperature 2', '1', TEMP_8, ['memory'], 0),
      num(4193, 'Engine coolant pump outlet temperature', '2', TEMP_8, ['recording', 'memory'], 0, {
        note: 'agrees with SPN 110 within 2 °C in a recording of a heavy truck',
      }),
      num(4194, 'Engine coolant thermostat opening', '3', PERCENT, ['memory'], 0),
    ],
  },
  {
    pgn: 65031,
    acronym: 'ET',
    name: 'Exhaust temperature',
    length: 8,
    priority: 6,
    sources: ['memory'],
    signals: [
      num(2433, 'Engine exhaust gas temperature, right manifold', '1', TEMP_16, ['memory'], 0),
      num(2434, 'Engine exhaust gas temperature, left manifold', '3', TEMP_16, ['memory'], 0),
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
    pgn: 65278,
    acronym: 'AWPP',
    name: 'Auxiliary water pump pressure',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [num(73, 'Auxiliary pump pressure', '1', KPA_16, ['memory'], 0)],
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
      num(975, 'Estimated percent fan speed', '1', PERCENT, ['course', 'fan'], 1, {
        note: 'named engine fan 1 estimated percent speed in newer editions, from memory',
      }),
      state(977, 'Fan drive state', '2', 4, FAN_DRIVE_STATE, ['course', 'fan'], 1, {
        range: 14,
        note: '1110 is "other", a state of its own; only 1111 is not available',
      }),
      num(1639, 'Fan speed', '3', RPM, ['list', 'memory'], 0, {
        note: 'named engine fan 1 speed in newer editions, from memory',
      }),
      num(4211, 'Hydraulic fan motor pressure', '5', KPA_0_5_16, ['memory'], 0),
      num(4212, 'Fan drive bypass command status', '7', PERCENT, ['memory'], 0),
    ],
  },
  {
    pgn: 57344,
    acronym: 'CM1',
    name: 'Cab message 1',
    length: 8,
    priority: 6,
    period: 1000,
    destination: 'either',
    sources: ['course', 'fan', 'governor', 'recording'],
    signals: [
      num(986, 'Requested percent fan speed', '1', PERCENT, ['course', 'fan'], 1, {
        note: 'named engine fan 1 requested percent speed in newer editions (from memory)',
      }),
      num(1691, 'Cab interior temperature command', '2', TEMP_16, ['memory'], 0),
      state(1856, 'Seat belt switch', '4.7', 2, { 0: 'not buckled', 1: 'buckled' }, ['recording', 'memory'], 0),
      state(1655, 'Vehicle limiting speed governor decrement switch', '5.3', 2, OFF_ON, ['governor'], 1),
      state(1654, 'Vehicle limiting speed governor increment switch', '5.5', 2, OFF_ON, ['governor'], 1),
      state(1653, 'Vehicle limiting speed governor enable switch', '5.7', 2, OFF_ON, ['governor'], 1, {
        note: 'the manual gives the three switches bits 3 to 8 without an order; its two examples and the names, from memory, decide it',
      }),
      state(3695, 'Aftertreatment regeneration inhibit switch', '6', 2, ACTIVE, ['memory'], 0),
      state(3696, 'Aftertreatment regeneration force switch', '6.3', 2, ACTIVE, ['recording', 'memory'], 0),
      state(1656, 'Engine automatic start enable switch', '6.7', 2, OFF_ON, ['governor'], 1),
    ],
  },
]
