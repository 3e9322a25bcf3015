/** Cruise control, vehicle speed and its limits. */
import type { GroupDefinition } from '../definition.js'
import { num, state } from '../rows.js'
import { KMH_16, KMH_8 } from '../slots.js'
import { AXLE_RANGE, CRUISE_CONTROL_STATE, ENABLED, OFF_ON, PRESSED, PTO_GOVERNOR_STATE, REQUESTED, SET } from '../states.js'

export const CRUISE_CONTROL: readonly GroupDefinition[] = [
  {
    pgn: 65265,
    acronym: 'CCVS1',
    name: 'Cruise control/vehicle speed 1',
    length: 8,
    priority: 6,
    period: 100,
    sources: ['list', 'course', 'recording'],
    signals: [
      state(69, 'Two speed axle switch', '1', 2, AXLE_RANGE, ['list', 'memory'], 0),
      state(70, 'Parking brake switch', '1.3', 2, SET, ['list', 'recording', 'memory'], 0),
      state(1633, 'Cruise control pause switch', '1.5', 2, OFF_ON, ['list', 'memory'], 0),
      state(3807, 'Park brake release inhibit request', '1.7', 2, REQUESTED, ['list', 'memory'], 0),
      num(84, 'Wheel-based vehicle speed', '2', KMH_16, ['course', 'recording'], 1),
      state(595, 'Cruise control active', '4', 2, OFF_ON, ['list', 'memory'], 0),
      state(596, 'Cruise control enable switch', '4.3', 2, ENABLED, ['list', 'memory'], 0),
      state(597, 'Brake switch', '4.5', 2, PRESSED, ['list', 'recording', 'memory'], 0),
      state(598, 'Clutch switch', '4.7', 2, PRESSED, ['list', 'memory'], 0),
      state(599, 'Cruise control set switch', '5', 2, OFF_ON, ['list', 'memory'], 0),
      state(600, 'Cruise control coast (decelerate) switch', '5.3', 2, OFF_ON, ['list', 'memory'], 0),
      state(601, 'Cruise control resume switch', '5.5', 2, OFF_ON, ['list', 'memory'], 0),
      state(602, 'Cruise control accelerate switch', '5.7', 2, OFF_ON, ['list', 'memory'], 0),
      num(86, 'Cruise control set speed', '6', KMH_8, ['course'], 1),
      state(976, 'PTO governor state', '7', 5, PTO_GOVERNOR_STATE, ['course'], 1),
      state(527, 'Cruise control states', '7.6', 3, CRUISE_CONTROL_STATE, ['list', 'memory'], 0, {
        range: 6,
        note: '110 is a state of its own, not an error',
      }),
      state(968, 'Engine idle increment switch', '8', 2, OFF_ON, ['course'], 1),
      state(967, 'Engine idle decrement switch', '8.3', 2, OFF_ON, ['course'], 1),
      state(966, 'Engine diagnostic test mode switch', '8.5', 2, OFF_ON, ['course'], 1),
      state(1237, 'Engine shutdown override switch', '8.7', 2, OFF_ON, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65261,
    acronym: 'CCSS',
    name: 'Cruise control/vehicle speed setup',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['list', 'course', 'recording'],
    signals: [
      num(74, 'Maximum vehicle speed limit', '1', KMH_8, ['list', 'recording', 'memory'], 0),
      num(87, 'Cruise control high set limit speed', '2', KMH_8, ['course', 'recording'], 1),
      num(88, 'Cruise control low set limit speed', '3', KMH_8, ['course', 'recording'], 1),
    ],
  },
  {
    pgn: 64997,
    acronym: 'MVS',
    name: 'Maximum vehicle speed limit status',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(2588, 'Maximum vehicle speed limit 1', '1', KMH_8, ['memory'], 0),
      num(2589, 'Maximum vehicle speed limit 2', '2', KMH_8, ['memory'], 0),
      num(2590, 'Maximum vehicle speed limit 3', '3', KMH_8, ['memory'], 0),
      num(2591, 'Maximum vehicle speed limit 4', '4', KMH_8, ['memory'], 0),
      num(2592, 'Maximum vehicle speed limit 5', '5', KMH_8, ['memory'], 0),
      num(2593, 'Maximum vehicle speed limit 6', '6', KMH_8, ['memory'], 0),
      num(2594, 'Maximum vehicle speed limit 7', '7', KMH_8, ['memory'], 0),
    ],
  },
]
