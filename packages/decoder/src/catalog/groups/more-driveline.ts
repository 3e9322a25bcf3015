/** Transmission control and configuration beyond the usual groups, power takeoff engagement. */
import type { GroupDefinition, StateLabels } from '../definition.js'
import { num, state } from '../rows.js'
import { GEAR, NEWTON_METRES, PERCENT } from '../slots.js'
import { NUMBER_ONLY } from '../states.js'

const MODE: StateLabels = { 0: 'disable mode', 1: 'enable mode' }
const RELEASE_LOCK: StateLabels = { 0: 'lock allowed', 1: 'disengage the lock' }

export const MORE_DRIVELINE: readonly GroupDefinition[] = [
  {
    pgn: 256,
    acronym: 'TC1',
    name: 'Transmission control 1',
    length: 8,
    priority: 3,
    period: 50,
    sources: ['memory'],
    signals: [
      state(
        681,
        'Transmission gear shift inhibit request',
        '1',
        2,
        { 0: 'shifts allowed', 1: 'shifts inhibited' },
        ['memory'],
        0,
      ),
      state(682, 'Transmission torque converter lockup request', '1.3', 2, NUMBER_ONLY, ['memory'], 0, {
        note: 'codes not listed: no source seen',
      }),
      state(
        683,
        'Disengage driveline request',
        '1.5',
        2,
        { 0: 'driveline engagement allowed', 1: 'disengage the driveline' },
        ['memory'],
        0,
      ),
      num(684, 'Requested percent clutch slip', '2', PERCENT, ['memory'], 0),
      num(525, 'Transmission requested gear', '3', GEAR, ['memory'], 0, {
        note: 'raw 251, parameter specific, is park',
      }),
      state(685, 'Disengage differential lock request, front axle 1', '4', 2, RELEASE_LOCK, ['memory'], 0),
      state(686, 'Disengage differential lock request, front axle 2', '4.3', 2, RELEASE_LOCK, ['memory'], 0),
      state(687, 'Disengage differential lock request, rear axle 1', '4.5', 2, RELEASE_LOCK, ['memory'], 0),
      state(688, 'Disengage differential lock request, rear axle 2', '4.7', 2, RELEASE_LOCK, ['memory'], 0),
      state(689, 'Disengage differential lock request, central', '5', 2, RELEASE_LOCK, ['memory'], 0),
      state(690, 'Disengage differential lock request, central front', '5.3', 2, RELEASE_LOCK, ['memory'], 0),
      state(691, 'Disengage differential lock request, central rear', '5.5', 2, RELEASE_LOCK, ['memory'], 0),
      state(1852, 'Transmission mode 1', '6', 2, MODE, ['memory'], 0),
      state(1853, 'Transmission mode 2', '6.3', 2, MODE, ['memory'], 0),
      state(1854, 'Transmission mode 3', '6.5', 2, MODE, ['memory'], 0),
      state(1855, 'Transmission mode 4', '6.7', 2, MODE, ['memory'], 0),
    ],
  },
  {
    pgn: 61452,
    acronym: 'ETC8',
    name: 'Electronic transmission controller 8',
    length: 8,
    sources: ['memory'],
    signals: [
      num(
        3030,
        'Transmission torque converter ratio',
        '1',
        { bits: 16, resolution: 0.001, offset: 0, unit: 'ratio' },
        ['memory'],
        0,
      ),
    ],
  },
  {
    pgn: 65195,
    acronym: 'ETC6',
    name: 'Electronic transmission controller 6',
    length: 8,
    priority: 6,
    period: 100,
    sources: ['memory'],
    signals: [num(1113, 'Recommended gear', '1', GEAR, ['memory'], 0)],
  },
  {
    pgn: 65098,
    acronym: 'ETC7',
    name: 'Electronic transmission controller 7',
    length: 8,
    priority: 6,
    period: 100,
    sources: ['memory'],
    signals: [],
  },
  {
    pgn: 65099,
    acronym: 'TCFG2',
    name: 'Transmission configuration 2',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [num(1845, 'Transmission torque limit', '1', NEWTON_METRES, ['memory'], 0)],
  },
  {
    pgn: 64917,
    acronym: 'TRF2',
    name: 'Transmission fluids 2',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [],
  },
  {
    pgn: 64932,
    acronym: 'PTODE',
    name: 'PTO drive engagement',
    length: 8,
    priority: 5,
    period: 100,
    sources: ['memory', 'recording'],
    signals: [],
  },
]
