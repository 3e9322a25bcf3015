/** Retarders. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { KPA_16, NEWTON_METRES, PERCENT, RPM, slot, TEMP_8, TORQUE_PCT } from '../slots.js'
import { ENABLED, NUMBER_ONLY, REQUESTED, RETARDER_LOCATION, RETARDER_TORQUE_MODE, RETARDER_TYPE } from '../states.js'

export const RETARDER: readonly GroupDefinition[] = [
  {
    pgn: 61440,
    acronym: 'ERC1',
    name: 'Electronic retarder controller 1',
    length: 8,
    priority: 6,
    period: 100,
    sources: ['truck', 'course', 'list', 'truck-fms', 'recording'],
    signals: [
      state(900, 'Retarder torque mode', '1', 4, RETARDER_TORQUE_MODE, ['truck', 'course'], 2, {
        range: 14,
        note: '1110 is "other", a mode of its own; only 1111 is not available',
      }),
      state(571, 'Retarder enable brake assist switch', '1.5', 2, ENABLED, ['truck', 'list'], 1),
      state(572, 'Retarder enable shift assist switch', '1.7', 2, ENABLED, ['truck-fms', 'list'], 1),
      num(520, 'Actual retarder percent torque', '2', TORQUE_PCT, ['truck', 'truck-fms', 'list'], 1),
      num(1085, 'Intended retarder percent torque', '3', TORQUE_PCT, ['truck', 'truck-fms', 'list'], 1),
      state(
        1082,
        'Engine coolant load increase',
        '4',
        2,
        { 0: 'no increase', 1: 'increase possible' },
        ['truck-fms', 'list'],
        1,
      ),
      state(1667, 'Retarder requesting brake light', '4.3', 2, REQUESTED, ['truck', 'truck-fms', 'list'], 1),
      state(
        1480,
        'Source address of controlling device for retarder control',
        '5',
        8,
        NUMBER_ONLY,
        ['truck', 'list', 'recording'],
        1,
        { range: 253 },
      ),
      num(1715, "Driver's demand retarder percent torque", '6', TORQUE_PCT, ['list', 'memory'], 0),
      num(1716, 'Retarder selection, non-engine', '7', PERCENT, ['list', 'memory'], 0),
      num(1717, 'Actual maximum available retarder percent torque', '8', TORQUE_PCT, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65249,
    acronym: 'RC',
    name: 'Retarder configuration',
    length: 19,
    priority: 6,
    period: 5000,
    sources: ['course', 'engine', 'list', 'recording'],
    signals: [
      state(901, 'Retarder type', '1', 4, RETARDER_TYPE, ['course', 'recording'], 1, {
        range: 14,
        note: 'labels from memory; 3 agrees with a recording; 1110 is "other"',
      }),
      state(902, 'Retarder location', '1.5', 4, RETARDER_LOCATION, ['course', 'recording'], 1, {
        range: 14,
        note: 'labels from memory; 0 agrees with a recording; 1110 is "other"',
      }),
      num(557, 'Retarder control method', '2', slot(8, 1, 0, 'step'), ['engine', 'list', 'recording'], 1, {
        note: '0: continuous; 1: on and off; from 2: number of steps',
      }),
      num(546, 'Retarder speed at idle, point 1', '3', RPM, ['engine', 'list', 'recording'], 1),
      num(551, 'Retarder percent torque at idle, point 1', '5', TORQUE_PCT, ['engine', 'list', 'recording'], 1),
      num(548, 'Maximum retarder speed, point 2', '6', RPM, ['engine', 'list', 'recording'], 1),
      num(
        552,
        'Retarder percent torque at maximum speed, point 2',
        '8',
        TORQUE_PCT,
        ['engine', 'list', 'recording'],
        1,
      ),
      num(549, 'Retarder speed at point 3', '9', RPM, ['engine', 'list', 'recording'], 1),
      num(553, 'Retarder percent torque at point 3', '11', TORQUE_PCT, ['engine', 'list', 'recording'], 1),
      num(550, 'Retarder speed at point 4', '12', RPM, ['engine', 'list', 'recording'], 1),
      num(554, 'Retarder percent torque at point 4', '14', TORQUE_PCT, ['engine', 'list', 'recording'], 1),
      num(547, 'Retarder speed at peak torque, point 5', '15', RPM, ['engine', 'list', 'recording'], 1),
      num(556, 'Reference retarder torque', '17', NEWTON_METRES, ['engine', 'list', 'recording'], 1),
      num(555, 'Retarder percent torque at peak torque, point 5', '19', TORQUE_PCT, ['engine', 'list', 'recording'], 1),
    ],
  },
  {
    pgn: 65275,
    acronym: 'RF',
    name: 'Retarder fluids',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['list'],
    signals: [
      num(119, 'Hydraulic retarder pressure', '1', KPA_16, ['list', 'memory'], 0),
      num(120, 'Hydraulic retarder oil temperature', '2', TEMP_8, ['list', 'memory'], 0),
    ],
  },
]
